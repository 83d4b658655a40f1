package main

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/leadacid"
	"deadflat/internal/unit"
)

// TestTradeFunctionsGiveWhatTheyPromise runs every function that trees may call
// on a third of each parameter's span, and holds the unit of what comes out to
// the table.
func TestTradeFunctionsGiveWhatTheyPromise(t *testing.T) {
	fs := tradeFunctions()
	require.Len(t, fs, len(callable))
	for _, e := range fs {
		f := leadacid.Find(e.Name)
		given := leadacid.Args{}
		for _, p := range f.Params {
			switch {
			case p.Optional:
			case p.Choices != nil:
				given[p.Name] = leadacid.Arg{Word: p.Choices[0]}
			case len(p.Only) > 0:
				given[p.Name] = leadacid.Arg{Range: leadacid.Exactly(p.Only[0])}
			default:
				given[p.Name] = leadacid.Arg{Range: leadacid.Exactly((2*p.Span[0] + p.Span[1]) / 3)}
			}
		}
		r, err := f.Run(given)
		require.NoError(t, err, e.Name)
		require.Equal(t, callable[e.Name], r.Values[0].Unit, e.Name)
		require.NotEmpty(t, e.Source, e.Name)
	}
}

const functionTree = `tree: by-function
title: A limit worked out by a function
edition: 1
begin: rest
readings:
  rest_voltage: {ask: Rest voltage, short: rest, unit: V, span: [0, 15]}
  battery_temp: {ask: Battery temperature, short: temp, unit: °C, span: [-30, 50], fact: true}
  chemistry: {ask: Type, short: type, choices: [flooded, efb, agm, gel], fact: true, unsure: true}
limits:
  enough: {is: 75 %, source: "TM 5-3805-262-20, p. 5-142"}
values:
  enough_here: {is: "voltage_from_charge(limits.enough, chemistry, battery_temp)", unit: V}
findings:
  low: {title: Charge it, action: charge}
  fine: {title: Test it, action: test}
steps:
  rest: {kind: measure, title: Rest, together: true, take: [rest_voltage, chemistry, battery_temp], by: rest_voltage, bands: [{below: enough_here, to: low}, {to: fine}]}
`

func TestATreeMayCallTheTradesArithmetic(t *testing.T) {
	lib, faults := engine.Load([]engine.Source{{Name: "t.yaml", Data: []byte(functionTree)}}, tradeFunctions()...)
	var b bytes.Buffer
	faults.Print(&b)
	require.True(t, faults.Empty(), b.String())
	decide := func(chemistry, volts string) *engine.Result {
		w := engine.NewWalk(lib.Tree("by-function"), engine.FindMeter("calibrated"), engine.Kit{})
		for _, line := range [][2]string{{"rest_voltage", volts}, {"chemistry", chemistry}, {"battery_temp", "25"}} {
			r := lib.Tree("by-function").ReadingNamed(line[0])
			a, ref := r.Parse(line[1], w.Meter())
			require.Nil(t, ref)
			_, err := w.Answer(engine.Event{Do: engine.DoAnswer, Step: "rest", Reading: line[0], Answer: &a})
			require.NoError(t, err)
		}
		return w.Next().Result
	}
	require.Equal(t, "fine", decide("flooded", "12.7").Finding.ID)
	require.Equal(t, "low", decide("agm", "12.3").Finding.ID)
	require.NotEmpty(t, decide("not sure", "12.5").Close, "12.5 V is enough for one type and not for another")
}

// TestAFunctionOverRangesHoldsForWhatLiesInside tries every callable function on
// a range and on points inside it, words left open included.
func TestAFunctionOverRangesHoldsForWhatLiesInside(t *testing.T) {
	volt, _ := unit.Lookup("V")
	var f *eval.Func
	for _, e := range tradeFunctions() {
		if e.Name == "charge_from_voltage" {
			f = e
		}
	}
	arg := func(lo, hi float64, words ...string) []eval.Arg {
		return []eval.Arg{{Interval: eval.Interval{Lo: volt.Base(lo), Best: volt.Base((lo + hi) / 2), Hi: volt.Base(hi), Known: true}}, {Words: words}}
	}
	whole, err := f.Of(arg(12.2, 12.5, "flooded", "agm"))
	require.NoError(t, err)
	for _, w := range []string{"flooded", "agm"} {
		for v := 12.2; v <= 12.5; v += 0.05 {
			in, err := f.Of(arg(v, v, w))
			require.NoError(t, err)
			require.LessOrEqual(t, whole.Lo, in.Lo+1e-9)
			require.GreaterOrEqual(t, whole.Hi, in.Hi-1e-9)
		}
	}
}
