package main

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"deadflat/internal/calc"
	"deadflat/internal/engine"
	"deadflat/internal/unit"
)

// TestTradeFunctionsGiveWhatTheyPromise runs every function that trees may call
// on a third of each parameter's span, and holds the unit of what comes out to
// what is promised.
func TestTradeFunctionsGiveWhatTheyPromise(t *testing.T) {
	require.NotEmpty(t, tradeFunctions())
	for _, f := range tradeFunctions() {
		given := calc.Args{}
		for _, p := range f.Params {
			switch {
			case p.Optional:
			case !p.Number():
				given[p.Name] = calc.Word(p.Choices[0])
			case len(p.Only) > 0:
				given[p.Name] = calc.Number(unit.Exactly(p.Only[0]))
			default:
				given[p.Name] = calc.Number(unit.Exactly((2*p.Lo + p.Hi) / 3))
			}
		}
		r, err := f.Run(given)
		require.NoError(t, err, f.Name)
		require.Equal(t, f.Unit.Name, r.Values[0].Unit, f.Name)
		require.NotEmpty(t, f.Source.Text, f.Name)
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
