package prove

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/source"
)

// sample loads a rule's sample together with what the samples share.
func sample(t testing.TB, text string) *engine.Library {
	t.Helper()
	sources := []engine.Source{{Name: "sample.yaml", Data: []byte(SampleShared)}, {Name: "faults.yaml", Data: []byte(SampleFaults)}}
	for i, doc := range strings.Split(text, "---\n") {
		sources = append(sources, engine.Source{Name: fmt.Sprintf("tree-%d.yaml", i+1), Data: []byte(doc)})
	}
	lib, faults := engine.Load(sources)
	var b bytes.Buffer
	faults.Print(&b)
	require.True(t, faults.Empty(), b.String())
	return lib
}

// broken lists the rules that a report says are broken, each once. What the
// samples share need not be used by each of them.
func broken(r *Report) []string {
	var out []string
	for _, f := range []*source.Faults{r.Faults, r.Remarks} {
		for _, x := range f.Sorted() {
			if !slices.Contains(out, x.Rule) && !(x.Rule == "unused-limit" && x.Place.File == "sample.yaml") {
				out = append(out, x.Rule)
			}
		}
	}
	return out
}

// TestEveryRuleHasItsSamples holds each rule to its own samples: the wrong one
// breaks it, the right one breaks no rule at all.
func TestEveryRuleHasItsSamples(t *testing.T) {
	for _, r := range Rules {
		t.Run(r.ID, func(t *testing.T) {
			require.NotEmpty(t, r.Title)
			require.NotEmpty(t, r.Reason)
			bad := Library(sample(t, r.Bad), nil, Options{})
			assert.Contains(t, broken(bad), r.ID)
			assert.Equal(t, r.Remark, !slices.ContainsFunc(bad.Faults.Sorted(), func(f source.Fault) bool { return f.Rule == r.ID }))
			good := Library(sample(t, r.Good), nil, Options{})
			var b bytes.Buffer
			good.Faults.Print(&b)
			good.Remarks.Print(&b)
			assert.Empty(t, broken(good), b.String())
		})
	}
}

// TestNoRuleIsSaidThatIsNotListed keeps the list whole: every fault of every
// sample is by a rule that can be explained.
func TestNoRuleIsSaidThatIsNotListed(t *testing.T) {
	for _, r := range Rules {
		for _, id := range broken(Library(sample(t, r.Bad), nil, Options{})) {
			assert.NotNil(t, RuleNamed(id), id)
		}
	}
}
