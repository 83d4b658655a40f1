package prove

import (
	"bytes"
	"embed"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/source"
)

//go:embed testdata/sample.yaml testdata/faults.yaml
var samples embed.FS

// shared is what the samples of the rules share: declarations and a list of faults.
func shared() []engine.Source {
	out := []engine.Source{{Name: "sample.yaml"}, {Name: "faults.yaml"}}
	for i := range out {
		var err error
		if out[i].Data, err = samples.ReadFile("testdata/" + out[i].Name); err != nil {
			panic(err)
		}
	}
	return out
}

// head begins a tree of one file.
const head = `tree: sample-tree
title: A sample
edition: 1
use: [sample]
begin: look
`

// sample loads a rule's sample together with what the samples share.
func sample(t testing.TB, text string) *engine.Library {
	t.Helper()
	sources := shared()
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

// TestEveryFileOfRulesIsOne: no file without a rule, and nothing in one that is not read.
func TestEveryFileOfRulesIsOne(t *testing.T) {
	files, err := ruleTexts.ReadDir("rules")
	require.NoError(t, err)
	require.Len(t, files, len(Rules))
	for _, f := range files {
		data, err := ruleTexts.ReadFile("rules/" + f.Name())
		require.NoError(t, err)
		text := txtar.Parse(data)
		require.Len(t, text.Files, 2, f.Name())
		assert.Equal(t, []string{"wrong.yaml", "right.yaml"}, []string{text.Files[0].Name, text.Files[1].Name}, f.Name())
		assert.Equal(t, 3, strings.Count(string(text.Comment), "\n"), "%s: a title, an empty line, a reason", f.Name())
		assert.NotNil(t, RuleNamed(strings.TrimSuffix(f.Name(), ".txtar")), f.Name())
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
