package engine

import (
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"

	"deadflat/internal/eval"
)

// What no float64 holds stands in the sums of a tree as it was written.
func TestALimitKeepsTheDecimalThatWasWritten(t *testing.T) {
	lib, faults := Load([]Source{{Name: "horn.yaml", Data: []byte(`tree: horn
title: Horn
edition: 1
begin: read
readings:
  volts: {ask: Voltage at the horn, short: horn, unit: V, span: [0, 16]}
  amps: {ask: Current of the horn, short: draw, unit: A, span: [0, 30]}
  warmth: {ask: Temperature of the horn, short: warmth, unit: °C, span: [-40, 60]}
  sort: {ask: Sort of horn, short: sort, choices: [disc, trumpet]}
limits:
  upper: {is: 12.4 V, source: definition}
  lower: {is: 12.1000000000000000001 V, source: definition}
  wire: {is: 0.1 mV/A, source: definition}
  twice: {is: 1.7, source: definition}
  floor: {table: {over: warmth, points: [[0.1, 9.1], [20.000000000000000000001, 9.3]], outside: hold_end}, unit: V, source: definition}
  wanted: {by: sort, cases: {trumpet: 0.1 V, disc: 0.3 V}, source: definition}
steps:
  read:
    kind: measure
    title: Read
    take: [volts, amps, warmth, sort]
    branches: [{if: "volts + limits.twice * (limits.wire * amps) < limits.upper - limits.lower + limits.floor - limits.wanted", to: low}, {otherwise: good}]
findings:
  low: {title: Low, action: wire}
  good: {title: Good, action: none}
`)}})
	require.True(t, faults.Empty(), "%v", faults.Sorted())
	exact := func(s string) *big.Rat {
		r, ok := new(big.Rat).SetString(s)
		require.True(t, ok)
		return r
	}
	d := lib.Tree("horn").Steps[0].Program().Atoms[0].Diff
	require.Equal(t, exact("-0.2999999999999999999"), d.Exact)
	byVar := map[string]eval.Term{}
	for _, term := range d.Terms {
		byVar[term.Var.ID] = term
	}
	require.Equal(t, exact("1"), byVar["volts"].Exact)
	require.Equal(t, exact("0.00017"), byVar["amps"].Exact)
	require.Equal(t, 0.00017, byVar["amps"].Coef)
	require.Equal(t, exact("-1"), byVar["warmth"].Exact)
	require.Equal(t, []*big.Rat{exact("0.1"), exact("20.000000000000000000001")}, byVar["warmth"].Table.ExactX)
	require.Equal(t, []*big.Rat{exact("9.1"), exact("9.3")}, byVar["warmth"].Table.ExactY)
	require.Equal(t, []*big.Rat{exact("0.3"), exact("0.1")}, byVar["sort"].Cases.Exact)
}
