package engine

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/source"
)

// Every name that a shipped tree came to have by linking is in the list, at its place.
func TestNamesAreThoseOfTheTrees(t *testing.T) {
	lib := shipped(t)
	all, faults := Names(lib.Sources())
	require.True(t, faults.Empty())
	has := map[[2]string]Name{}
	for _, n := range all {
		assert.NotEmpty(t, n.Means, n.ID)
		has[[2]string{n.What, n.ID}] = n
	}
	place := func(tree *Tree, what, id string, want source.Place) {
		for _, n := range all {
			if n.What == what && n.ID == id && n.Place == want {
				return
			}
		}
		assert.Fail(t, "not listed at its place", "%s: %s %s at %s, but %s", tree.Name, what, id, want, has[[2]string{what, id}].Place)
	}
	for _, tree := range lib.Trees() {
		for _, r := range tree.Readings {
			place(tree, "reading", r.ID, r.Place)
		}
		for _, f := range tree.Findings {
			place(tree, "finding", f.ID, f.Place)
		}
		for what, ids := range map[string][]string{"point": tree.Words.Points, "act": tree.Words.Acts, "thing to look at": tree.Words.Sees,
			"equipment": tree.Words.Equipment, "temporary change": tree.Words.Undone, "state": keys(tree.Words.States)} {
			for _, id := range ids {
				assert.Contains(t, has, [2]string{what, id}, tree.Name)
			}
		}
		for _, l := range tree.Limits {
			assert.Contains(t, has[[2]string{"limit", l.ID}].Means, l.Title, tree.Name)
		}
		for _, v := range tree.Values {
			assert.Contains(t, has, [2]string{"value", v.ID}, tree.Name)
		}
		for _, r := range tree.Before {
			assert.Contains(t, has[[2]string{"hazard rule", r.ID}].Means, r.Why, tree.Name)
		}
	}
	for _, k := range lib.FaultKinds() {
		assert.Equal(t, k.Title, has[[2]string{"fault", k.ID}].Means)
	}
}

func TestATreeAndASharedFileAreNamedAlike(t *testing.T) {
	load := func(name string) *source.Faults {
		_, faults := Load([]Source{
			{Name: "shared.yaml", Data: []byte("shared: " + name + "\npoints: [horn]\n")},
			{Name: "tree.yaml", Data: []byte("tree: " + name + "\ntitle: A\nedition: 1\nuse: [" + name + "]\nbegin: look\nsteps: {look: {kind: inspect, title: Look, to: good}}\nfindings: {good: {title: Good, action: none}}\n")},
		})
		return faults
	}
	for _, right := range []string{"yard", "yard-words", "yard_words", "yard2", "in"} {
		assert.True(t, load(right).Empty(), right)
	}
	for _, wrong := range []string{"Yard", "-yard", "_yard", "2yard", "yard words", strings.Repeat("y", 65)} {
		assert.GreaterOrEqual(t, load(wrong).Len(), 2, wrong)
	}
}
