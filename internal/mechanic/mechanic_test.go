package mechanic

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/unit"
	"deadflat/internal/vehicle"
	"deadflat/trees"
)

func shipped(t testing.TB) *engine.Library {
	var sources []engine.Source
	for name, text := range trees.All() {
		sources = append(sources, engine.Source{Name: name, Data: text})
	}
	return engine.Open(sources, trees.Index)
}

var workshop = engine.FindMeter("workshop")

func at(t testing.TB, faults ...vehicle.Fault) *Mechanic {
	v, err := vehicle.New(vehicle.Standard("medium petrol"), faults...)
	require.NoError(t, err)
	return New(v, workshop, rand.New(rand.NewPCG(1, 1)), time.Time{})
}

// Every reading of every shipped tree has an answer that its tree takes, on a
// healthy vehicle and on many that are not. What needs a start relay has none on
// a vehicle without one, and what is read with the engine running has none on an
// engine that does not start.
func TestEveryReadingIsAnswered(t *testing.T) {
	lib := shipped(t)
	answered := map[string]bool{}
	asked := map[string]bool{}
	for n := range uint64(40) {
		rng := rand.New(rand.NewPCG(2, n))
		m := New(vehicle.Draw(rng, vehicle.Practice()), workshop, rng, time.Time{})
		for _, tree := range lib.Trees() {
			for _, r := range tree.Readings {
				asked[r.ID] = true
				a, err := m.Take(r)
				if err != nil {
					require.ErrorIs(t, err, errCannot)
					continue
				}
				if r.Number() {
					answered[r.ID] = true
					continue
				}
				require.Len(t, a.Choice, 1, r.ID)
				if assert.Contains(t, r.Choices, a.Choice[0], r.ID) {
					answered[r.ID] = true
				}
			}
		}
	}
	for id := range asked {
		assert.True(t, answered[id], "reading %q of a shipped tree has no answer on any vehicle", id)
	}
}

func TestWalksToTheFault(t *testing.T) {
	lib := shipped(t)
	for fault, finding := range map[string]string{
		"positive_joint_high_resistance": "positive_joint",
		"engine_strap_open":              "engine_strap",
		"start_fuse_blown":               "start_fuse_blown",
		"solenoid_contact_burnt":         "solenoid_contact",
		"engine_does_not_fire":           "cranks_no_fire",
		"battery_damaged":                "damaged",
	} {
		m := at(t, vehicle.Fault{ID: fault, Severity: 0.6})
		r, err := m.Walk(engine.NewWalk(lib.Tree("no-start"), workshop, engine.Kit{}), 200)
		require.NoError(t, err, fault)
		assert.Equal(t, finding, r.Finding.ID, fault)
	}
}

// The finding's repair is done on the vehicle, and the next round sees it.
func TestMends(t *testing.T) {
	m := at(t, vehicle.Fault{ID: "start_fuse_blown"})
	w := engine.NewWalk(shipped(t).Tree("no-start"), workshop, engine.Kit{})
	r, err := m.Walk(w, 200)
	require.NoError(t, err)
	more, err := m.GoOn(w, r)
	require.NoError(t, err)
	assert.True(t, more)
	assert.Empty(t, m.Vehicle.Faults())
	assert.Equal(t, []Mended{{r.Finding, "fit_start_fuse", true}}, m.Mended)
	r, err = m.Walk(w, 200)
	require.NoError(t, err)
	assert.NotEqual(t, "start_fuse_blown", r.Finding.ID)
	assert.Equal(t, 2, w.Next().Round)
}

// What a tree asks for on a vehicle that must not be treated so is not done.
func TestUnsafe(t *testing.T) {
	for _, kind := range []engine.Kind{engine.Crank, engine.Jump, engine.Charge, engine.LoadTest} {
		m := at(t, vehicle.Fault{ID: "battery_damaged", Severity: 0.3})
		err := m.arrive(&engine.Prompt{Step: &engine.Step{ID: "x", Kind: kind}})
		var unsafe *Unsafe
		require.ErrorAs(t, err, &unsafe, kind)
		assert.ErrorContains(t, err, "leaks acid")
	}
	m := at(t)
	assert.NoError(t, m.arrive(&engine.Prompt{Step: &engine.Step{ID: "x", Kind: engine.Crank, Act: "crank", For: "3 s"}}))
	m = at(t, vehicle.Fault{ID: "battery_damaged", Severity: 0.3})
	assert.NoError(t, m.arrive(&engine.Prompt{Step: &engine.Step{ID: "x", Kind: engine.Inspect}}), "looking hurts nobody")
}

// After a load the display is given time to settle.
func TestSettles(t *testing.T) {
	m := at(t)
	on := &engine.Reading{ID: "a", Red: "battery_positive_post", Black: "battery_negative_post", Hold: "settled", Vehicle: map[string]string{"key": "key_on"}, Meter: "volts_dc"}
	off := &engine.Reading{ID: "b", Red: "battery_positive_post", Black: "battery_negative_post", Hold: "settled", Vehicle: map[string]string{"key": "key_off"}, Meter: "volts_dc"}
	on.Unit, off.Unit = unitV(t), unitV(t)
	_, err := m.Take(on)
	require.NoError(t, err)
	before := m.Vehicle.Clock()
	_, err = m.Take(off)
	require.NoError(t, err)
	assert.Greater(t, m.Vehicle.Clock()-before, 120.0)
	before = m.Vehicle.Clock()
	_, err = m.Take(off)
	require.NoError(t, err)
	assert.Less(t, m.Vehicle.Clock()-before, 60.0)
}

func unitV(t *testing.T) *unit.Unit {
	u, ok := unit.Lookup("V")
	require.True(t, ok)
	return u
}

// Of readings that come of one act, one that names no state is taken in the state
// of the others: the air at the alternator with the engine running.
func TestOneAct(t *testing.T) {
	m := at(t)
	celsius, ok := unit.Lookup("°C")
	require.True(t, ok)
	air := &engine.Reading{ID: "regulator_temp", Domain: eval.Domain{Unit: celsius}, Meter: "thermometer"}
	cold, err := m.Take(air)
	require.NoError(t, err)
	m.oneAct = stateOf([]engine.Field{{Reading: air}, {Reading: &engine.Reading{Vehicle: map[string]string{"key": "key_on", "engine": "idling"}}}})
	warm, err := m.Take(air)
	require.NoError(t, err)
	assert.Greater(t, warm.Value, cold.Value+10)
}

// A load test that is read a second time is done again: its load is on then as well.
func TestASecondLookAtALoadTestHasItsLoad(t *testing.T) {
	tree := shipped(t).Tree("no-start")
	at := at(t)
	i := slices.IndexFunc(tree.Steps, func(s *engine.Step) bool { return s.ID == "load_test" })
	p := &engine.Prompt{Step: tree.Steps[i]}
	load := p.Step.Take[slices.IndexFunc(p.Step.Take, func(r *engine.Reading) bool { return r.Red != "" })]
	require.NoError(t, at.arrive(p))
	first, err := at.Take(load)
	require.NoError(t, err)
	second, err := at.again(p, load)
	require.NoError(t, err)
	assert.Less(t, first.Value, 11.5)
	assert.InDelta(t, first.Value, second.Value, 0.3)
}

// A finding may say of a battery that it is worn out and came in flat. Where it was
// only flat, the new one was not needed.
func TestAFlatBatteryNeedsNoNewOne(t *testing.T) {
	tree := shipped(t).Tree("no-start")
	i := slices.IndexFunc(tree.Findings, func(f *engine.Finding) bool { return f.ID == "worn_and_flat" })
	for fault, needed := range map[string]bool{"battery_discharged": false, "battery_worn_out": true} {
		m := at(t, vehicle.Fault{ID: fault, Severity: 0.5})
		require.NoError(t, m.mend(tree.Findings[i]))
		assert.Equal(t, []Mended{{tree.Findings[i], "fit_battery", needed}}, m.Mended, fault)
	}
}

// Where a finding sends on to another test, nothing is repaired at it, whatever it
// may be.
func TestRepairsNothingBeforeTheTest(t *testing.T) {
	for _, first := range engine.Firsts {
		f := &engine.Finding{Faults: []string{"battery_worn_out"}, Then: &engine.Then{First: first}}
		assert.Equal(t, first == engine.FirstRepair, Repairs(f), first)
	}
	assert.True(t, Repairs(&engine.Finding{Faults: []string{"battery_worn_out"}}), "the end of the job")
	assert.False(t, Repairs(&engine.Finding{}), "there is nothing named to repair")
}
