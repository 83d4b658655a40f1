package engine

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/trees"
)

// usualAnswers lie far from every limit, so that rows of them stay on the fast path.
var usualAnswers = map[string]float64{"rest_voltage": 12.7, "battery_temp": 18, "crank_voltage": 11.2, "earth_drop": 0.15, "crank_current": 160}

// TestTheFastPathComesToTheSameEnd runs whole rows both ways.
func TestTheFastPathComesToTheSameEnd(t *testing.T) {
	require.Positive(t, bothWays(t, load(t, "small").Tree("small"), usualAnswers, nil), "some rows stay on the fast path")
}

// TestTheFastPathThroughTheShippedTrees has a fleet of the kind that rows come
// from: most answers usual, some any, some missing.
func TestTheFastPathThroughTheShippedTrees(t *testing.T) {
	lib := shipped(t)
	for _, name := range []string{"no-start", "charging-system", "recharge", "key-off-draw"} {
		t.Run(name, func(t *testing.T) {
			require.Positive(t, bothWays(t, lib.Tree(name), usualNumbers, usualWords), "some rows stay on the fast path")
		})
	}
}

func shipped(t testing.TB) *Library {
	var src []Source
	for name, text := range trees.All() {
		src = append(src, Source{name, text})
	}
	return Open(src, trees.Index)
}

var usualNumbers = map[string]float64{
	"battery_temp": 18, "rest_voltage": 12.65, "crank_voltage": 11.3, "crank_current": 165, "starter_voltage": 8.6, "positive_drop": 0.15, "earth_drop": 2.4,
	"negative_joint_drop": 0.02, "block_to_body": 2, "load_voltage": 10.5,
}

var usualWords = map[string]string{
	"danger": "none", "battery_place": "bonnet", "chemistry": "flooded", "engine_class": "medium petrol", "time_to_spare": "hours",
	"may_start": "yes", "positive_terminal": "clean and tight", "negative_terminal": "clean and tight", "crank_danger": "none", "plus_on_plus": "yes",
	"engine_turned": "slowly", "earth_lands": "body", "battery_fitted": "as asked", "found_flat": "no",
}

// beside is a tree whose guards look at more than what their own step takes: at what
// only one way has taken, at the take of one step, at the first known of two readings.
const beside = `
tree: beside
title: Guards that look back
edition: 1
begin: look
readings:
  volts: {ask: Volts, short: posts, unit: V, span: [0, 15]}
  other: {ask: Other volts, short: other, unit: V, span: [0, 15]}
  warm: {ask: Warm, short: warm, yes_no: true, optional: true}
  ice: {ask: Ice, short: ice, choices: [none, seen], hazard: true}
limits:
  low: {is: 6 V, source: definition}
  half: {is: 9 V, source: definition}
  full: {is: 12 V, source: definition}
values:
  either: {first_known: [other, volts], unit: V}
before:
  - {id: felt, kinds: [crank], holds: known(warm), else: stop, why: It is a test.}
  - {id: frozen, kinds: [crank], holds: 'ice == "none"', else: stop, why: It may burst.}
steps:
  look: {kind: measure, title: Look, take: [volts], by: volts, bands: [{below: limits.low, to: feel}, {below: limits.half, to: back}, {below: limits.full, to: crank}, {to: high}]}
  feel: {kind: inspect, title: Feel, take: [warm, other], branches: [{if: known(feel.warm) and warm, to: back}, {otherwise: crank}]}
  back: {kind: decide, title: Look back, branches: [{if: known(warm), to: was}, {otherwise: first}]}
  first: {kind: decide, title: The first known, branches: [{if: either < limits.low, to: low}, {otherwise: crank}]}
  crank: {kind: crank, title: Crank, take: [other], by: other, bands: [{below: limits.half, to: low}, {to: high}]}
findings:
  was: {title: Was, action: a}
  low: {title: Low, action: b}
  high: {title: High, action: c}
  stop: {title: Stop, action: d, stop: true}
`

func TestTheFastPathLooksBackAsTheWalkDoes(t *testing.T) {
	lib, faults := Load([]Source{{Name: "beside.yaml", Data: []byte(beside)}})
	require.True(t, faults.Empty(), "%v", faults.Sorted())
	bothWays(t, lib.Tree("beside"), nil, nil)
	require.Positive(t, bothWays(t, lib.Tree("beside"), map[string]float64{"volts": 13}, nil), "some rows stay on the fast path")
}

// bothWays draws rows and holds the fast path to the whole walk wherever it
// comes to an end. It gives the number of rows for which it did.
func bothWays(t *testing.T, tree *Tree, numbers map[string]float64, word map[string]string) int {
	require.NotNil(t, tree)
	run := tree.NewRunner(FindMeter("workshop"))
	found, more := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		run.Reset()
		fresh := tree.NewRunner(FindMeter("workshop"))
		missing := rapid.SampledFrom([]int{0, 10, 10, 3}).Draw(t, "one in so many missing")
		for _, r := range tree.Readings {
			if missing > 0 && rapid.IntRange(0, missing-1).Draw(t, r.ID+" missing") == 0 {
				continue
			}
			c, err := tree.Column(r.ID)
			require.NoError(t, err)
			a := drawAnswer(t, r)
			if usual := rapid.IntRange(0, 9).Draw(t, r.ID+" usual") > 0; usual && r.Number() && numbers[r.ID] != 0 {
				a.Held, a.Value = "", numbers[r.ID]
			} else if usual && word[r.ID] != "" {
				a.Choice = []string{word[r.ID]}
			}
			require.Nil(t, fresh.Put(c, a))
			if !rapid.Bool().Draw(t, r.ID+" quick") || !putQuickly(run, c, a) {
				require.Nil(t, run.Put(c, a))
			}
		}
		quick := run.Run()
		require.Equal(t, fresh.Run(), quick, "nothing is left of the rows before")
		if run.ran {
			return
		}
		quickly := run.Certainty()
		require.Zero(t, run.CloseCalls())
		var wants Wants
		if quick.Finding == nil {
			wants = run.Wants()
			more++
		} else {
			found++
		}
		passed := slices.Clone(run.env.Done)
		require.Equal(t, run.wholeEnding(), quick)
		if quick.Finding == nil {
			run.asks = nil
			require.Equal(t, run.Wants(), wants)
		}
		require.Empty(t, run.w.s.closeCalls())
		require.Equal(t, run.Certainty(), quickly)
		require.Equal(t, run.w.s.env.Done, passed, "the same steps")
	})
	t.Log(found, "found,", more, "wanting more")
	return found + more
}

// putQuickly puts an answer by the quick calls, if they can say it.
func putQuickly(run *Runner, c Column, a *Answer) bool {
	switch {
	case !c.Reading.Number():
		run.PutChoice(c, slices.Index(c.Reading.Choices, a.Choice[0]))
		return true
	case a.Held == "":
		return run.PutNumber(c, c.Reading.Unit.Base(a.Value))
	}
	return false
}

func TestAStepThatChangesTheVehicleEndsARowWithoutTheWholeWalk(t *testing.T) {
	tree := load(t, "small").Tree("small")
	run := tree.NewRunner(FindMeter("workshop"))
	for name, text := range map[string]string{"rest_voltage": "11.9", "ice": "none"} {
		c, err := tree.Column(name)
		require.NoError(t, err)
		a, refused := c.Reading.Parse(text, nil)
		require.Nil(t, refused)
		require.Nil(t, run.Put(c, &a))
	}
	require.Equal(t, "charge", run.Run().Step.ID)
	require.Equal(t, []string{"charge.done"}, run.Wants().Names)
	require.False(t, run.ran)
}
