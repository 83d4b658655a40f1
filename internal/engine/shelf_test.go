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
	shelf := Open(src)
	require.Nil(t, shelf.Tree("nothing"))
	require.Nil(t, shelf.Tree("broken"))
	for _, name := range []string{"other", "small"} {
		require.Equal(t, whole.Tree(name).Hash, shelf.Tree(name).Hash)
		require.Same(t, shelf.Tree(name), shelf.Tree(name))
	}
	w := NewWalk(shelf.Tree("other"), exactMeter, Kit{})
	say(t, w, "rest 11")
	require.True(t, w.Next().Result.CanGoOn)
	say(t, w, "round")
	require.Equal(t, "small", w.Next().Tree.Name, "the next round's tree is loaded when it comes")
	require.Len(t, shelf.Trees(), 2)
	require.Same(t, shelf.Tree("other"), shelf.Trees()[0])
}

func TestWhatAFileSaysOfItselfIsReadWithoutParsingIt(t *testing.T) {
	for text, want := range map[string]head{
		"# a\ntree: no-start # b\nuse: [one, 'two']\nsteps:\n  x: {run: other}\n  y:\n    run: third\n": {kind: "tree", name: "no-start", needs: []string{"shared one", "shared two", "tree other", "tree third"}},
		"tree: plain\nuse:\n- one\n":     {kind: "tree", name: "plain", needs: []string{"shared"}},
		"tree: plain\nuse: [one,\n two]": {kind: "tree", name: "plain", needs: []string{"shared"}},
		"tree: alone\nuse: []\n":         {kind: "tree", name: "alone", needs: []string{"shared "}},
		"shared: common\n":               {kind: "shared", name: "common"},
		"faults:\n- {id: a}\n":           {kind: "faults"},
		"cases: x\ntree: y\n":            {},
		"something else":                 {},
	} {
		got := headOf(Source{"a.yaml", []byte(text)})
		got.source = Source{}
		require.Equal(t, want, got, text)
	}
}
