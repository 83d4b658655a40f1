package engine

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestSubTreesThatDoubleAreCountedFirst lays in nothing of trees that would fill the memory.
func TestSubTreesThatDoubleAreCountedFirst(t *testing.T) {
	const levels = 40
	var files []Source
	for i := range levels {
		text := fmt.Sprintf("tree: t%d\ntitle: T\nedition: 1\nbegin: a\nfindings:\n  good%d: {title: Good, action: none}\nsteps:\n", i, i)
		if i == levels-1 {
			text += fmt.Sprintf("  a: {kind: inspect, title: A, to: good%d}\n", i)
		} else {
			text += fmt.Sprintf("  a: {kind: tree, title: A, run: t%d, cases: {good%d: b}}\n  b: {kind: tree, title: B, run: t%d, cases: {good%d: good%d}}\n", i+1, i+1, i+1, i+1, i)
		}
		files = append(files, Source{Name: fmt.Sprintf("t%d.yaml", i), Data: []byte(text)})
	}
	lib, faults := Load(files)
	list := faults.Sorted()
	require.NotEmpty(t, list)
	for _, x := range list {
		require.Equal(t, "too-large", x.Rule)
	}
	require.Contains(t, list[0].Message, `tree "t0" has 1649267441662 steps and findings with its sub-trees laid in, where 20000 are the most`)
	require.Equal(t, "t0.yaml:8:3", list[0].Place.String())
	require.NotNil(t, lib.Tree("t39"))
	require.NotNil(t, lib.Tree("t30"), "1535 steps are not too many")
}
