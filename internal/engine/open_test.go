package engine

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestALibraryThatLoadsWhenAskedGivesTheSameTrees(t *testing.T) {
	src := append(sources(t, "small"), Source{"other.yaml", []byte(`tree: other
title: Another tree that is not needed
edition: 1
use: []
begin: first
readings:
  volts: {ask: Volts, short: rest, unit: V, span: [0, 18]}
limits:
  low: {is: 12 V, source: definition}
findings:
  good: {title: Good, action: none}
  small_again: {title: Bad, action: replace, then: {tree: small, keep: facts}}
steps:
  first: {kind: measure, title: First, take: [volts], by: volts, bands: [{below: limits.low, to: small_again}, {to: good}]}
`)}, Source{"broken.yaml", []byte("tree: broken\n")})
	whole, faults := Load(src)
	require.False(t, faults.Empty(), "the broken one")
	index := Index{"broken": {"broken.yaml"}}
	for _, tree := range whole.Trees() {
		index[tree.Name] = append(tree.Files(), "faults.yaml")
	}
	lazy := Open(src, index)
	require.Nil(t, lazy.Tree("nothing"))
	require.Nil(t, lazy.Tree("broken"))
	for _, name := range []string{"other", "small"} {
		require.Equal(t, whole.Tree(name).Hash, lazy.Tree(name).Hash)
		require.Same(t, lazy.Tree(name), lazy.Tree(name))
	}
	w := NewWalk(lazy.Tree("other"), exactMeter, Kit{})
	say(t, w, "rest 11")
	require.True(t, w.Next().Result.CanGoOn)
	say(t, w, "round")
	require.Equal(t, "small", w.Next().Tree.Name, "the next round's tree is loaded when it comes")
	require.Len(t, lazy.Trees(), 2)
	require.Same(t, lazy.Tree("other"), lazy.Trees()[0])
}
