package engine

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A tree is a draft until it says who tried it and when. Words under `reviewed`, as trees of
// old jobs have them, make it no more than that.
func TestATreeIsADraftUntilItIsReviewed(t *testing.T) {
	for given, want := range map[string]string{
		"":                                  "draft",
		"reviewed: not yet in a workshop\n": "draft: not yet in a workshop",
		"reviewed: {by: A. Trainer, day: 2031-02-01}\n":     "reviewed by A. Trainer on 2031-02-01",
		"reviewed: {by: A. Trainer, day: \"2031-02-01\"}\n": "reviewed by A. Trainer on 2031-02-01",
		"reviewed: {by: A. Trainer, day: 2031-02-30}\n":     `"2031-02-30" is not a day: write year, month and day, as in 2026-03-31`,
		"reviewed: {by: A. Trainer}\n":                      "a review says `by:` whom and on what `day:`; leave `reviewed` out while the tree is a draft",
		"reviewed: [A. Trainer]\n":                          "a list stands here, but a text is wanted: put quotes round a text that begins with \"{\" or \"[\"",
	} {
		lib, faults := Load([]Source{{Name: "t.yaml", Data: []byte("tree: t\ntitle: T\nedition: 1\n" + given + `begin: look
steps:
  look: {kind: inspect, title: Look, to: good}
findings:
  good: {title: Good, action: none}
`)}})
		if !faults.Empty() {
			require.Equal(t, 1, faults.Len(), given)
			require.Equal(t, want, faults.Sorted()[0].Message)
			continue
		}
		review := lib.Tree("t").Review
		require.Equal(t, want, review.String())
		require.Equal(t, strings.HasPrefix(want, "draft"), review.Draft())
	}
}
