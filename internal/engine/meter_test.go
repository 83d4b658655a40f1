package engine

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/source"
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
	require.Equal(t, Likely, w.Next().Result.Certainty)
}

// A figure below 0 is refused, with a unit or without: a meter is out by it either way.
func TestMeterFigureBelowZero(t *testing.T) {
	for _, row := range []string{
		"up_to: 20 V, resolution: -0.01 V, percent: 1, digits: 3",
		"up_to: 20 V, resolution: 0.01 V, percent: -1, digits: 3",
		"up_to: 20 V, resolution: 0.01 V, percent: 1, digits: -3",
	} {
		faults := &source.Faults{}
		assert.Nil(t, ReadMeter("own.yaml", []byte("meters:\n  - meter: own\n    title: own\n    source: from memory\n    volts_dc:\n      - {"+row+"}\n"), faults), row)
		require.Equal(t, 1, faults.Len(), row)
		assert.Equal(t, `a quantity of 0 or more is wanted here, like "20 V"`, faults.Sorted()[0].Message)
	}
}
