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

// A figure in a unit that its function does not read is told. The meter still reads as it did,
// for jobs that carry it.
func TestMeterFigureInAnotherUnit(t *testing.T) {
	for row, says := range map[string]string{
		"volts_dc: [{up_to: 20 A, resolution: 0.01 V, percent: 1, digits: 3}]":      `"20 A" is no reading of volts_dc: write it as a voltage (V)`,
		"volts_ac: [{up_to: 20 V, resolution: 10 mA, percent: 1, digits: 3}]":       `"10 mA" is no reading of volts_ac: write it as a voltage (V)`,
		"amps_clamp: [{up_to: 60 V, resolution: 0.1 A, percent: 1, digits: 3}]":     `"60 V" is no reading of amps_clamp: write it as a current (A)`,
		"ohms: [{up_to: 600 V, resolution: 0.1 ohm, percent: 1, digits: 3}]":        `"600 V" is no reading of ohms: write it as a resistance (V/A)`,
		"thermometer: [{up_to: 100 °C, resolution: 1 V, percent: 0, digits: 3}]":    `"1 V" is no reading of thermometer: write it as a difference of temperatures (K)`,
		"hydrometer: [{up_to: 2 V, resolution: 0.005, percent: 0, digits: 3}]":      `"2 V" is no reading of hydrometer: write digits only, as in 3`,
		"volts_dc: [{up_to: 20 V, resolution: 0.01 V, percent: 1 %, digits: 3}]":    `"1 %" is no plain number: write digits only, as in 3`,
		"volts_dc: [{up_to: 20 V, resolution: 0.01 V, percent: 1, digits: 3 V}]":    `"3 V" is no plain number: write digits only, as in 3`,
		"volts_dc: [{up_to: 20, resolution: 0.01, percent: 1, digits: 3}]":          "",
		"thermometer: [{up_to: 100 °C, resolution: 0.1 °C, percent: 0, digits: 3}]": "",
		"ohms: [{up_to: 2000 ohm, resolution: 1 ohm, percent: 1, digits: 3}]":       "",
	} {
		faults := &source.Faults{}
		m := ReadMeter("own.yaml", []byte("meters: [{meter: own, title: own, source: from memory, "+row+"}]\n"), faults)
		assert.NotNil(t, m, row)
		if says == "" {
			assert.True(t, faults.Empty(), row)
			continue
		}
		require.Equal(t, 1, faults.Len(), row)
		f := faults.Sorted()[0]
		assert.Equal(t, says, f.Message)
		assert.Equal(t, "unit-mismatch", f.Rule)
		assert.Greater(t, f.Place.Col, 60)
	}
}
