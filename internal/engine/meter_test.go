package engine

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestOhmsAreJudgedAsOhms: at 100.5 Ω a workshop meter is out by 0.7 Ω; by 0.3 only if it
// read volts.
func TestOhmsAreJudgedAsOhms(t *testing.T) {
	lib, faults := Load([]Source{{Name: "coil.yaml", Data: []byte(`
tree: coil
title: Coil
edition: 1
begin: look
points: [plus, minus]
readings:
  coil: {ask: Resistance, short: coil, unit: Ω, span: [0, 1000], probe: {red: plus, black: minus}}
  bare: {ask: Volts, short: bare, unit: V, span: [0, 20]}
  said: {ask: More volts, short: said, unit: V, span: [0, 20], meter: none}
  kept: {ask: Rating, short: rated, unit: A, span: [0, 900], fact: true}
limits: {most: {is: 100 Ω, source: definition}}
steps:
  look: {kind: measure, title: Look, take: [coil], by: coil, bands: [{below: limits.most, to: good}, {to: open}]}
findings:
  good: {title: Good, action: none}
  open: {title: Open, action: replace}
`)}})
	require.True(t, faults.Empty(), "%v", faults.Sorted())
	tree := lib.Tree("coil")
	require.Equal(t, "ohms", tree.Readings[0].Meter)
	for i, exact := range []bool{false, true, false, false} {
		require.Equal(t, exact, tree.Readings[i].Exact, tree.Readings[i].ID)
	}
	meter := FindMeter("workshop")
	r := meter.Ranges("ohms")[0]
	require.Greater(t, r.Percent/100*100.5+r.Digits*r.Resolution, 0.5)
	w := NewWalk(tree, meter, Kit{})
	say(t, w, "coil 100.5")
	require.Equal(t, NotFirm, w.Next().Result.Certainty)
}
