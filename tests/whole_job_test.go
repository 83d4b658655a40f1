package tests

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// Whole jobs, from the complaint to the final proof: one walk, one list of
// events, as many trees and rounds as it takes. Every scenario is invented.

// round is one pass through a tree: what is answered in it, and what it ends in.
// Answers are keyed as in walkThrough.
type round struct {
	tree, finding string
	answers       map[string]string
}

// proof answers the final proof of a vehicle in order.
var proof = map[string]string{
	"rest_voltage": "12.68 V", "crank_voltage": "11.3 V", "starts_of_three": "three good starts",
	"regulator_temp": "25 °C", "charge_control": "fixed", "idle_load_voltage": "13.7 V", "fast_load_voltage": "14.2 V",
	"idle_voltage": "14.4 V", "fast_voltage": "14.45 V", "ripple": "31 mV", "key_off_draw": "23 mA", "all_back": "yes",
}

// with is the answers of one map with those of another over them.
func with(first, over map[string]string) map[string]string {
	out := map[string]string{}
	for _, m := range []map[string]string{first, over} {
		for k, v := range m {
			out[k] = v
		}
	}
	return out
}

// job walks the rounds one after the other and holds each against what it must
// come to. The last is left at its result.
func job(t *testing.T, rounds []round) *engine.Walk {
	t.Helper()
	lib, faults := engine.Load(shipped())
	require.True(t, faults.Empty())
	w := engine.NewWalk(lib.Tree(rounds[0].tree), engine.FindMeter("workshop"), engine.Kit{Meter: "workshop"})
	at := time.Date(2026, 2, 9, 8, 0, 0, 0, time.UTC)
	send := func(ev engine.Event) {
		at = at.Add(time.Minute)
		ev.At = at
		out, err := w.Answer(ev)
		require.NoError(t, err)
		require.Nil(t, out.Refused, "%s at %s", ev.Reading, ev.Step)
	}
	for i, r := range rounds {
		p := w.Next()
		require.Equal(t, r.tree, p.Tree.Name, "round %d", i+1)
		require.Equal(t, i+1, p.Round)
		for p.Result == nil {
			require.Empty(t, p.Stuck)
			send(reply(t, p, r.answers))
			p = w.Next()
		}
		require.Equal(t, r.finding, p.Result.Finding.ID, explained(w))
		if i < len(rounds)-1 {
			require.True(t, p.Result.CanGoOn, "after %s", r.finding)
			send(engine.Event{Do: engine.DoRound})
		}
	}
	return w
}

// reply answers the next open field of a page.
func reply(t *testing.T, p *engine.Prompt, answers map[string]string) engine.Event {
	t.Helper()
	ev := engine.Event{Step: p.Step.ID, Do: engine.DoDone}
	if p.Ack && p.Gate == nil {
		return ev
	}
	field := p.Fields[0]
	typed, ok := find(answers, p.Step, field.Reading)
	ev.Do, ev.Reading = engine.DoAnswer, field.Reading.ID
	switch {
	case ok:
		a, ref := field.Reading.Parse(typed, p.Meter)
		require.Nil(t, ref, "%s: %q", field.Reading.ID, typed)
		ev.Answer = &a
	case field.Optional:
		ev.Do = engine.DoSkip
	default:
		require.Fail(t, "not given", "round %d, step %s asks for %s", p.Round, p.Step.ID, field.Reading.ID)
	}
	return ev
}

// lesserBattery is a van that groans on Monday mornings. Its battery is flat and
// good, and it is a plain one where the van asks for an EFB.
var lesserBattery = []round{
	{"no-start", "discharged", map[string]string{
		"complaint": "groans slowly", "rating": "540 A", "rating_standard": "EN", "odometer": "84200",
		"rest_voltage": "11.93 V", "plus_on_plus": "yes", "recheck.rest_voltage": "12.62 V", "lamps_voltage": "12.55 V", "ignition_voltage": "12.4 V",
		"engine_turned": "normally", "crank_voltage": "11.1 V", "crank_current": "171 A", "load_voltage": "10.3 V",
	}},
	{"why-flat", "wrong_battery", map[string]string{"found_on": "nothing known", "battery_fitted": "smaller or lesser"}},
	{"choose-battery", "chosen", map[string]string{
		"asked_type": "efb", "new_type": "efb", "box_look": "as the old one", "posts_look": "as the old one",
		"asked_rating": "640 A", "new_rating": "680 A", "rating_terms": "the same", "asked_capacity": "70 Ah", "new_capacity": "72 Ah",
	}},
	{"fit-battery", "fitted", map[string]string{
		"new_case": "sound", "new_rest": "12.81 V", "new_made_year": "2025", "new_made_month": "11",
		"vents": "open and led away", "held_down": "stands fast", "sleeve": "refitted", "tightened": "yes",
		"positive_joint_drop": "0.01 V", "negative_joint_drop": "0.02 V", "made_known": "told",
	}},
	{"final-proof", "proved", proof},
}

// failedInside is a hatchback whose battery collapses at its own posts. Behind it
// stands a belt that slips, found by the final proof.
var failedInside = []round{
	{"no-start", "failed_inside", map[string]string{
		"complaint": "silent lamps die", "rest_voltage": "12.58 V", "lamps_voltage": "12.5 V", "ignition_voltage": "12.2 V",
		"engine_turned": "silence lamps fade", "crank_voltage": "3.1 V", "recovered_voltage": "11.4 V",
	}},
	{"choose-battery", "chosen", map[string]string{
		"asked_type": "no data", "new_type": "flooded", "box_look": "as the old one", "posts_look": "as the old one",
		"rating": "540 A", "new_rating": "540 A", "rating_terms": "the same", "asked_capacity": "60 Ah", "new_capacity": "60 Ah",
	}},
	{"fit-battery", "fitted", map[string]string{
		"new_case": "sound", "new_rest": "12.77 V", "new_made_year": "2025",
		"vents": "open and led away", "held_down": "stands fast", "sleeve": "refitted", "tightened": "by feel",
		"positive_joint_drop": "0.01 V", "negative_joint_drop": "0.01 V", "made_known": "not asked for",
	}},
	{"final-proof", "charging_not_right", with(proof, map[string]string{"idle_load_voltage": "12.4 V", "fast_load_voltage": "12.8 V"})},
	{"charging-system", "belt", map[string]string{
		"rest_voltage": "12.66 V", "belt_look": "sound", "runs": "yes", "charge_lamp": "lights and goes out",
		"regulator_temp": "25 °C", "idle_load_voltage": "12.4 V", "fast_load_voltage": "12.8 V", "fast_voltage": "13.9 V",
		"charging_positive_drop": "0.1 V", "charging_earth_drop": "0.05 V", "alternator_voltage": "12.9 V", "belt_noise": "yes",
	}},
	{"final-proof", "proved", proof},
}

func TestWholeJob(t *testing.T) {
	for name, rounds := range map[string][]round{"a lesser battery": lesserBattery, "a battery that failed inside, and a belt": failedInside} {
		t.Run(name, func(t *testing.T) {
			w := job(t, rounds)
			record := w.Record()
			require.Len(t, record.Rounds, len(rounds))
			for i, r := range rounds {
				assert.Equal(t, r.tree, record.Rounds[i].Tree.Name)
				assert.Equal(t, r.finding, record.Rounds[i].Result.Finding.ID)
				assert.NotEmpty(t, record.Rounds[i].Result.Customer, "what the customer is told of %s", r.finding)
			}
			last := record.Rounds[len(rounds)-1].Result
			assert.Equal(t, engine.Firm, last.Certainty)
			assert.Empty(t, record.PutBack, "everything is back before the vehicle is given back")
			assert.False(t, last.CanGoOn, "the job ends here")
			assert.NotEmpty(t, last.Open, "and says what it did not prove")
			replaysAlike(t, w)
		})
	}
}

// A fact is asked once in a job, whatever the tree. What is probed is asked again
// in each round that decides on it.
func TestWholeJobAsksFactsOnce(t *testing.T) {
	w := job(t, lesserBattery)
	asked := map[string]int{}
	probed := map[int]bool{}
	for _, x := range w.Record().Takes {
		if x.Seq == 0 {
			continue
		}
		if x.Reading.Fact {
			asked[x.Reading.ID]++
		}
		if x.Reading.ID == "rest_voltage" {
			probed[x.Round] = true
		}
	}
	for id, n := range asked {
		assert.Equal(t, 1, n, "%s is a fact", id)
	}
	assert.Contains(t, asked, "chemistry")
	assert.Contains(t, asked, "new_made_year", "the date code of the new battery is on record")
	assert.Equal(t, map[int]bool{1: true, 5: true}, probed, "rest voltage is read in the first round and for the proof")
}

// replaysAlike folds the events of a job again and compares all that was decided.
func replaysAlike(t *testing.T, w *engine.Walk) {
	t.Helper()
	lib, _ := engine.Load(shipped())
	first := w.Record().Rounds[0].Tree.Name
	text, err := json.Marshal(w.Events())
	require.NoError(t, err)
	var events []engine.Event
	require.NoError(t, json.Unmarshal(text, &events))
	again := engine.NewWalk(lib.Tree(first), engine.FindMeter("workshop"), engine.Kit{Meter: "workshop"})
	_, err = again.Answer(events...)
	require.NoError(t, err)
	assert.Equal(t, explained(w), explained(again))
	assert.Equal(t, fmt.Sprint(w.Record().PutBack, result(w).Customer), fmt.Sprint(again.Record().PutBack, result(again).Customer))
}

// Going back over the border of two rounds ends where the first one ended.
func TestWholeJobUndoesARound(t *testing.T) {
	w := job(t, lesserBattery[:2])
	_, err := w.Answer(engine.Event{Do: engine.DoUndo, Count: 3})
	require.NoError(t, err)
	require.NotNil(t, result(w))
	assert.Equal(t, "discharged", result(w).Finding.ID)
}

// A job has nine rounds at most, however long somebody goes on choosing.
func TestWholeJobEndsAfterNineRounds(t *testing.T) {
	lesser := round{"choose-battery", "lesser_type", map[string]string{"asked_type": "agm", "new_type": "flooded"}}
	w := job(t, []round{lesser, lesser, lesser, lesser, lesser, lesser, lesser, lesser, lesser})
	assert.False(t, result(w).CanGoOn)
	_, err := w.Answer(engine.Event{Do: engine.DoRound})
	assert.ErrorContains(t, err, "at most 9 rounds")
}

// charges walks the charging system of a charged battery.
func charges(t *testing.T, answers map[string]string) *engine.Walk {
	t.Helper()
	lib, faults := engine.Load(shipped())
	require.True(t, faults.Empty())
	w := engine.NewWalk(lib.Tree("charging-system"), engine.FindMeter("workshop"), engine.Kit{Meter: "workshop"})
	answers = with(map[string]string{
		"rest_voltage": "12.65 V", "belt_look": "sound", "runs": "yes", "charge_lamp": "lights and goes out", "charge_control": "fixed", "ripple": "30 mV",
		"idle_load_voltage": "13.6 V", "charging_positive_drop": "0.1 V", "charging_earth_drop": "0.05 V",
	}, answers)
	for p := w.Next(); p.Result == nil; p = w.Next() {
		ev := reply(t, p, answers)
		out, err := w.Answer(ev)
		require.NoError(t, err)
		require.Nil(t, out.Refused)
	}
	return w
}

// 14.45 V at the posts is a good charging voltage. Source: common practice, no
// source.
func TestCheckValueAGoodChargingVoltage(t *testing.T) {
	for _, temp := range []string{"10 °C", "20 °C", "35 °C"} {
		w := charges(t, map[string]string{"regulator_temp": temp, "fast_load_voltage": "14.45 V", "fast_voltage": "14.45 V"})
		assert.Equal(t, "charging_good", result(w).Finding.ID, explained(w))
		assert.Equal(t, engine.Firm, result(w).Certainty, "at %s: %s", temp, explained(w))
	}
}

// 12.6 V on an even road is no dead alternator where the vehicle commands the
// voltage, and is one where it does not. Source: common practice, no source.
func TestCheckValueSmartChargingIsJudgedUnderLoad(t *testing.T) {
	smart := map[string]string{"regulator_temp": "25 °C", "charge_control": "commanded", "fast_load_voltage": "14.2 V", "fast_voltage": "12.6 V"}
	assert.Equal(t, "charging_good", result(charges(t, smart)).Finding.ID)
	dead := with(smart, map[string]string{"fast_load_voltage": "12.3 V", "alternator_voltage": "12.3 V", "belt_noise": "no"})
	assert.Equal(t, "no_output", result(charges(t, dead)).Finding.ID, "loads on, and still nothing")
}

// The charging system is never judged on a flat battery. Source: common practice,
// no source.
func TestCheckValueNoVerdictOnChargingWithAFlatBattery(t *testing.T) {
	w := charges(t, map[string]string{"rest_voltage": "11.9 V", "recheck.rest_voltage": "11.9 V", "regulator_temp": "20 °C", "cell_caps": "no"})
	assert.Equal(t, "battery_fails", result(w).Finding.ID)
	assert.NotContains(t, explained(w), "loaded:")
}
