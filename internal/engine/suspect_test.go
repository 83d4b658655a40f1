package engine

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// suspecting is a walk of a tree with a step that holds only where the voltage was low.
func suspecting(t *testing.T) *Walk {
	lib, faults := Load([]Source{{Name: "t.yaml", Data: []byte(`tree: t
title: T
edition: 1
begin: look
readings:
  rest: {ask: Rest, short: rest, unit: V, span: [0, 18]}
  colour: {ask: Colour, short: colour, choices: [red, green]}
limits:
  edge: {is: 12 V, source: definition}
findings:
  low: {title: Low, action: charge, prove_by: again}
  good: {title: Good, action: none}
  red: {title: Red, action: paint, prove_by: paint}
steps:
  look: {kind: measure, title: Look, take: [rest], by: rest, bands: [{below: limits.edge, to: paint}, {to: clean}]}
  clean: {kind: inspect, title: Clean it, to: good}
  paint: {kind: inspect, title: Paint, take: [colour], branches: [{if: 'rest < limits.edge and colour == "red"', to: red}, {if: 'rest < limits.edge and colour == "green"', to: again}]}
  again: {kind: retest, title: Again, take: [rest], by: rest, bands: [{below: limits.edge, to: low}, {to: good}]}
`)}})
	var b strings.Builder
	faults.Print(&b)
	require.True(t, faults.Empty(), b.String())
	return NewWalk(lib.Tree("t"), FindMeter("calibrated"), Kit{})
}

// TestADeadSuspicionLeavesTheWalkAsItWas: what was read for it waits until it is asked for.
func TestADeadSuspicionLeavesTheWalkAsItWas(t *testing.T) {
	w := suspecting(t)
	say(t, w, "suspect red")
	out := say(t, w, "colour red")
	require.Contains(t, strings.Join(out.Said, " "), "red cannot be judged yet without rest")
	require.Equal(t, "look", w.Next().Step.ID)
	say(t, w, "rest 11")
	require.Equal(t, "red", w.Next().Result.Finding.ID, "the colour is not asked for again")
}

// TestASuspicionThatReadsAnewBeginsAgain: the walk had come as far by the old reading.
func TestASuspicionThatReadsAnewBeginsAgain(t *testing.T) {
	w := suspecting(t)
	say(t, w, "rest 11")
	require.Equal(t, "paint", w.Next().Step.ID)
	say(t, w, "suspect low")
	out := say(t, w, "rest 13")
	require.Contains(t, strings.Join(out.Said, " "), "not low: the vehicle is no longer as it was read, so the walk begins again")
	require.Equal(t, "clean", w.Next().Step.ID, "the new reading leads on from the beginning")
}

// TestASuspicionOutOfOrderIsNoDeadEnd: no branch of a step need hold for answers that do
// not lead to it.
func TestASuspicionOutOfOrderIsNoDeadEnd(t *testing.T) {
	w := suspecting(t)
	say(t, w, "rest 13")
	say(t, w, "suspect red")
	out := say(t, w, "colour red")
	require.Contains(t, strings.Join(out.Said, " "), "red cannot be judged out of order here: the walk goes on where it was")
	require.Equal(t, "clean", w.Next().Step.ID)
}
