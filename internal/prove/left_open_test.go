package prove

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// leaving is a tree whose first step pulls a fuse that only a step puts back.
func leaving(first, rest string) string {
	return head + "steps:\n  look: {kind: measure, title: Pull the fuse, leaves: [fuse_out], take: [clamp, temp], together: true" + first + ", to: back}\n" + rest
}

const fuseBack = "  back: {kind: measure, title: Fuse in, restores: [fuse_out], take: [rest], by: rest, bands: [{below: limits.flat, to: flat_battery}, {to: good}]}\n"

// TestAWordOfStepsOnlyMustBePutBack holds the rule to each way on which a step that
// puts back can be missed.
func TestAWordOfStepsOnlyMustBePutBack(t *testing.T) {
	for name, c := range map[string]struct {
		tree string
		open bool
	}{
		"a step on every way":                   {leaving("", fuseBack), false},
		"one way goes past it":                  {leaving(", unable: {to: flat_battery}", fuseBack), true},
		"one way that began the step":           {leaving(", unable: {to: other}", fuseBack+"  other: {kind: retest, title: Again, take: [rest], to: good}\n"), true},
		"a hazard rule comes between":           {leaving("", strings.Replace(fuseBack, "measure", "load", 1)), true},
		"the step that puts back stops instead": {leaving("", strings.Replace(fuseBack, "to: flat_battery", "to: cracked", 1)), true},
		"a way that never began it":             {strings.Replace(leaving("", fuseBack), "take: [clamp, temp], together: true", "unable: {to: good}", 1), false},
	} {
		t.Run(name, func(t *testing.T) {
			r := Library(sample(t, c.tree), nil, Options{})
			if c.open {
				assert.Equal(t, []string{"left-open"}, broken(r))
			} else {
				assert.Empty(t, broken(r))
			}
			said := strings.Replace(c.tree, "steps:\n", "undone: {fuse_out: Put the fuse back.}\nsteps:\n", 1)
			assert.Empty(t, broken(Library(sample(t, said), nil, Options{})), "a sentence is enough")
		})
	}
}

// TestWhatCanBeOpenIsListed tells a trainer what the walk will have to list.
func TestWhatCanBeOpenIsListed(t *testing.T) {
	r := Library(sample(t, strings.Replace(head, "begin: look", "undone: {fuse_out: Put the fuse back., lead_off: Lead back on.}\nbegin: look", 1)+`steps:
  look: {kind: inspect, title: Pull it, leaves: [fuse_out, lead_off], to: back}
  back: {kind: inspect, title: Fuse in, restores: [fuse_out], to: good}
`), nil, Options{})
	assert.Empty(t, broken(r))
	assert.Equal(t, []string{"lead_off"}, r.Trees[0].Open)
	var b strings.Builder
	assert.NoError(t, r.Print(&b))
	assert.Contains(t, b.String(), "  Can be open at a finding, where it is told how it is put back: lead off.\n")
}

// TestMoreWordsThanBits leaves one of very many words open.
func TestMoreWordsThanBits(t *testing.T) {
	words := make([]string, 70)
	for i := range words {
		words[i] = "word_" + strings.Repeat("i", i+1)
	}
	tree := leaving("", fuseBack)
	tree = strings.Replace(tree, "steps:\n", "undone: ["+strings.Join(words, ", ")+"]\nsteps:\n", 1)
	tree = strings.Replace(tree, "leaves: [fuse_out]", "leaves: ["+words[66]+", "+words[67]+"]", 1)
	tree = strings.Replace(tree, "restores: [fuse_out]", "restores: ["+words[66]+"]", 1)
	assert.Equal(t, []string{"left-open"}, broken(Library(sample(t, tree), nil, Options{})))
}

// TestASuspicionLeavesOpenWhatItChanged: the walk goes on past the step that puts it back.
func TestASuspicionLeavesOpenWhatItChanged(t *testing.T) {
	r := Library(sample(t, head+`findings:
  joint: {title: The joint, action: clean, prove_by: pull}
steps:
  look: {kind: inspect, title: Look, take: [clamp], by: clamp, cases: {tight: good, loose: pull, burnt: good}}
  pull: {kind: inspect, title: Pull it, leaves: [fuse_out], take: [temp], to: back}
  back: {kind: measure, title: Fuse in, restores: [fuse_out], take: [rest], by: rest, bands: [{below: limits.flat, to: joint}, {to: good}]}
`), nil, Options{})
	assert.NotContains(t, broken(r), "left-open", "it is put back before the suspicion comes to nothing")
	r = Library(sample(t, head+`findings:
  joint: {title: The joint, action: clean, prove_by: pull}
steps:
  look: {kind: inspect, title: Look, take: [clamp], by: clamp, cases: {tight: good, loose: pull, burnt: good}}
  pull: {kind: inspect, title: Pull it, leaves: [fuse_out], take: [temp, load], branches: [{if: load < limits.flat, to: back}, {if: load >= limits.flat, to: other}]}
  back: {kind: measure, title: Fuse in, restores: [fuse_out], take: [rest], to: joint}
  other: {kind: measure, title: Fuse in, restores: [fuse_out], take: [amps], to: good}
`), nil, Options{})
	assert.Equal(t, []string{"left-open"}, broken(r), "the suspicion is dead before the other step puts it back")
}
