package vehicle

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func posts(t *testing.T, v *Vehicle, state map[string]string, hold string) float64 {
	require.NoError(t, v.Set(state))
	r, err := v.Read("battery_positive_post", "battery_negative_post", hold, Exact())
	require.NoError(t, err)
	return r.Value
}

var (
	atRest  = map[string]string{"key": "key_off", "doors": "closed", "loads": "loads_off", "engine": "still", "charger": "charger_off"}
	keyHeld = map[string]string{"key": "key_start", "doors": "closed", "loads": "loads_off", "engine": "cranking"}
)

// A frozen, swollen or leaking battery is not charged, loaded, cranked or jumped.
func TestHazardsStopTheAct(t *testing.T) {
	for _, fault := range []Fault{{"battery_frozen", 0.5}, {"battery_damaged", 0.1}, {"battery_damaged", 0.5}, {"battery_damaged", 0.95}} {
		v, err := New(Standard("medium petrol"), fault)
		require.NoError(t, err)
		for _, act := range []string{"charge", "keep_charging", "wake_charge", "half_rating_load", "crank", "boost", "drive"} {
			var hazard *Hazard
			require.ErrorAs(t, v.Act(act, ""), &hazard, "%v: %s", fault, act)
			assert.Contains(t, hazard.Error(), act)
			assert.NotEmpty(t, hazard.Why)
		}
		assert.Zero(t, v.clock, "nothing was done")
	}
	v, err := New(Standard("medium petrol"))
	require.NoError(t, err)
	var hazard *Hazard
	assert.ErrorAs(t, v.Act("crank", "40 s"), &hazard)
	v.par.Seen.InGear = true
	assert.ErrorAs(t, v.Act("crank", ""), &hazard)
	reversed, err := New(Standard("medium petrol"), Fault{"battery_reversed", 0.5})
	require.NoError(t, err)
	assert.ErrorAs(t, reversed.Act("boost", ""), &hazard)
	assert.ErrorAs(t, reversed.Act("charge", ""), &hazard)
}

func TestActErrors(t *testing.T) {
	v, err := New(Standard("medium petrol"))
	require.NoError(t, err)
	assert.ErrorContains(t, v.Act("kick", ""), `no act "kick"`)
	assert.ErrorContains(t, v.Act("wait", "a while"), `"a while" is no duration`)
	assert.ErrorContains(t, v.Set(map[string]string{"key": "key_in"}), `no vehicle state "key_in"`)
	assert.ErrorContains(t, v.Leave("the shop"), `"the shop"`)
	_, err = New(Standard("medium petrol"), Fault{"gremlins", 0.5})
	assert.ErrorContains(t, err, `no fault "gremlins"`)
	dead, err := New(Standard("medium petrol"), Fault{"engine_does_not_fire", 0})
	require.NoError(t, err)
	assert.ErrorIs(t, dead.Set(map[string]string{"engine": "running"}), ErrNoStart)
	assert.ErrorIs(t, dead.Act("drive", "30 min"), ErrNoStart)
	assert.Equal(t, keyOff, dead.state.key, "and the vehicle stays as it was")
}

// A whole job: a flat battery is charged, holds its load, and the bad strap behind
// it is found and mended.
func TestTwoFaultsOneAfterTheOther(t *testing.T) {
	v, err := New(Standard("medium petrol"), Fault{"user_left_on", 0.3}, Fault{"engine_strap_high_resistance", 0.5})
	require.NoError(t, err)
	assert.Less(t, posts(t, v, atRest, "settled"), 12.2)
	require.NoError(t, v.Act("charge", "12 h"))
	require.NoError(t, v.Act("lamps_on", "60 s"))
	assert.Equal(t, []string{"engine_strap_high_resistance"}, v.Faults())
	assert.InDelta(t, 12.6, posts(t, v, atRest, "settled"), 0.1)
	require.NoError(t, v.Act("half_rating_load", "15 s"))
	assert.Greater(t, posts(t, v, map[string]string{"key": "key_off", "loads": "loads_off", "engine": "still"}, "at: 15 s"), 9.9)
	assert.Greater(t, posts(t, v, atRest, "settled"), 12.3, "the tester is off again")
	assert.Greater(t, posts(t, v, keyHeld, "plateau"), 11.0)
	drop := func() float64 {
		require.NoError(t, v.Set(keyHeld))
		r, err := v.Read("engine_block", "body", "plateau", Exact())
		require.NoError(t, err)
		return r.Value
	}
	assert.Greater(t, drop(), 1.5)
	require.NoError(t, v.Act("fit_strap", ""))
	assert.Less(t, drop(), 0.15)
	assert.Empty(t, v.Faults())
	turned, _ := v.Observe("engine_turned")
	assert.Equal(t, "normally", turned)
	count, seconds := v.Cranks()
	assert.Equal(t, 3, count)
	assert.InDelta(t, 9, seconds, 1e-9)
	assert.Greater(t, v.Clock(), 12*3600.0)
}

func TestNewBatteryMendsTheBatteryOnly(t *testing.T) {
	v, err := New(Standard("small diesel"), Fault{"battery_broken_link", 0.9}, Fault{"starter_brushes_worn", 0.5})
	require.NoError(t, err)
	require.NoError(t, v.Act("fit_battery", ""))
	assert.Equal(t, []string{"starter_brushes_worn"}, v.Faults())
	assert.Greater(t, posts(t, v, keyHeld, "plateau"), 10.5)
	turned, _ := v.Observe("engine_turned")
	assert.Equal(t, "slowly", turned)
}

// A booster shows whether the rest is sound, and comes off when the engine runs.
func TestBoost(t *testing.T) {
	v, err := New(Standard("medium petrol"), Fault{"battery_discharged", 0.95})
	require.NoError(t, err)
	assert.ErrorIs(t, v.Set(map[string]string{"engine": "running"}), ErrNoStart)
	require.NoError(t, v.Act("boost", ""))
	result, _ := v.Observe("boost_result")
	assert.Equal(t, "cranks normally", result)
	assert.True(t, v.attached.booster)
	require.NoError(t, v.PutBack("booster_connected"))
	require.NoError(t, v.Set(map[string]string{"engine": "running", "loads": "loads_off"}), "it has been running since")
	r, err := v.Current("battery_negative_lead", "settled", Exact())
	require.NoError(t, err)
	assert.Negative(t, r.Low, "the battery is charged")
	assert.Greater(t, r.Value, 10.0)

	jumped, err := New(Standard("medium petrol"), Fault{"battery_discharged", 1}, Fault{"jump_leads_bad", 1})
	require.NoError(t, err)
	require.NoError(t, jumped.Act("boost", ""))
	result, _ = jumped.Observe("boost_result")
	assert.NotEqual(t, "cranks normally", result)
}

// The charging system in its states.
func TestChargingSystem(t *testing.T) {
	loaded := map[string]string{"key": "key_on", "loads": "heavy_loads", "engine": "revving"}
	unloaded := map[string]string{"key": "key_on", "loads": "loads_off", "engine": "revving"}
	run := func(fault Fault) *Vehicle {
		p := Standard("medium petrol")
		v, err := New(p, fault)
		require.NoError(t, err)
		v.charge.Level = 0.9
		return v
	}
	healthy := run(Fault{"short_trips", 0})
	// Regulated voltage at 20 °C: 13.7 to 14.6 V, common practice, no source.
	assert.InDelta(t, 14.15, posts(t, healthy, loaded, "settled"), 0.45)
	assert.Less(t, posts(t, run(Fault{"alternator_no_field", 0.2}), loaded, "settled"), 12.6)
	assert.Greater(t, posts(t, run(Fault{"charging_too_high", 0.5}), unloaded, "settled"), 15.3)
	assert.Less(t, posts(t, run(Fault{"belt_slips", 0.8}), loaded, "settled"), 13.6)

	cable := run(Fault{"charge_path_high_resistance", 0.6})
	require.NoError(t, cable.Set(loaded))
	for _, c := range []struct {
		v        *Vehicle
		atLeast  float64
		atMost   float64
		red, blk string
	}{
		{cable, 0.3, 3, "alternator_output", "battery_positive_post"},
		{cable, -0.1, 0.2, "battery_negative_post", "alternator_case"},
		{healthy, 0, 0.3, "alternator_output", "battery_positive_post"},
	} {
		require.NoError(t, c.v.Set(loaded))
		r, err := c.v.Read(c.red, c.blk, "settled", Exact())
		require.NoError(t, err)
		assert.GreaterOrEqual(t, r.Value, c.atLeast)
		assert.LessOrEqual(t, r.Value, c.atMost)
	}
	diode := run(Fault{"alternator_diode_open", 0.5})
	require.NoError(t, diode.Set(loaded))
	require.NoError(t, healthy.Set(loaded))
	bad, err := diode.Read("battery_positive_post", "battery_negative_post", "ripple", Exact())
	require.NoError(t, err)
	good, err := healthy.Read("battery_positive_post", "battery_negative_post", "ripple", Exact())
	require.NoError(t, err)
	assert.Greater(t, bad.Value, 0.1)
	assert.Less(t, good.Value, 0.05)
}

// A repair takes the wear off what it renews, and the joints of a new battery are new.
func TestRepairsTakeTheWearOff(t *testing.T) {
	p := Standard("medium petrol")
	p.Ohm[bPosJoint], p.Ohm[bStrap] = 0.9e-3, 0.9e-3
	p.Seen.Positive = "corroded"
	v, err := New(p)
	require.NoError(t, err)
	require.NoError(t, v.Act("fit_battery", ""))
	assert.Equal(t, usualWiring()[bPosJoint], v.par.Ohm[bPosJoint])
	assert.Equal(t, "clean and tight", v.par.Seen.Positive)
	assert.Equal(t, 0.9e-3, v.par.Ohm[bStrap], "nobody touched it")
	require.NoError(t, v.Act("fit_strap", ""))
	assert.Equal(t, usualWiring()[bStrap], v.par.Ohm[bStrap])
	p.withoutRelay()
	v, err = New(p)
	require.NoError(t, err)
	require.NoError(t, v.Act("fit_start_relay", ""))
	assert.Equal(t, open, v.par.Ohm[bRelay], "none is fitted")
}

// A cell that is shorted in part is not told from a low charge, and a booster does it no
// more harm; one that is shorted right through heats and gasses.
func TestBoostOfAShortedCell(t *testing.T) {
	for severity, hazard := range map[float64]bool{0: false, 0.5: false, 1: true} {
		v, err := New(Standard("medium petrol"), Fault{"battery_shorted_cell", severity})
		require.NoError(t, err)
		var h *Hazard
		assert.Equal(t, hazard, errors.As(v.Act("boost", ""), &h), severity)
	}
}

// A draw with the key off: the clamp shows it once the modules sleep, a
// millivoltmeter over the fuse of its circuit too, and the battery pays for it.
func TestKeyOffDraw(t *testing.T) {
	v, err := New(Standard("medium petrol"), Fault{"key_off_draw", 0.5})
	require.NoError(t, err)
	require.NoError(t, v.Act("charge", "12 h"))
	require.NoError(t, v.Act("all_off", "1 h"))
	r, err := v.Current("battery_negative_lead", "settled", Exact())
	require.NoError(t, err)
	draw := v.par.Consumers.Draw
	assert.InDelta(t, draw, r.Value, 0.1)
	across, err := v.Read("circuit_fuse_input", "circuit_fuse_output", "settled", Exact())
	require.NoError(t, err)
	assert.InDelta(t, draw*7.5e-3, across.Value, 1e-3)
	require.NoError(t, v.Leave("meter_in_series"))
	series, err := v.Current("battery_negative_lead", "settled", Exact())
	require.NoError(t, err)
	assert.InDelta(t, r.Value, series.Value, 0.01)
	require.NoError(t, v.PutBack("meter_in_series"))
	before := v.charge.Level
	require.NoError(t, v.Act("wait", "20 h"))
	assert.InDelta(t, draw*20/70, before-v.charge.Level, 0.05)

	leak, err := New(Standard("medium petrol"), Fault{"alternator_diode_leaks", 0.6})
	require.NoError(t, err)
	require.NoError(t, leak.Act("all_off", "1 h"))
	on, err := leak.Current("battery_negative_lead", "settled", Exact())
	require.NoError(t, err)
	require.NoError(t, leak.Leave("alternator_lead_off"))
	off, err := leak.Current("battery_negative_lead", "settled", Exact())
	require.NoError(t, err)
	assert.Greater(t, on.Value, 0.1)
	assert.Less(t, off.Value, 0.05)
}

// An earth path without cranking current: a lamp shows it.
func TestLampThroughTheEngine(t *testing.T) {
	drop := func(faults ...Fault) float64 {
		v, err := New(Standard("medium petrol"), faults...)
		require.NoError(t, err)
		require.NoError(t, v.Act("lamp_through_engine", ""))
		require.NoError(t, v.Set(map[string]string{"key": "key_off"}))
		r, err := v.Read("engine_block", "battery_negative_post", "settled", Exact())
		require.NoError(t, err)
		return r.Value
	}
	assert.Less(t, drop(), 3.5e-3)
	assert.Greater(t, drop(Fault{"engine_strap_open", 0.5}), 17.5e-3)
}

func TestLeaveAndPutBack(t *testing.T) {
	v, err := New(Standard("medium petrol"))
	require.NoError(t, err)
	require.NoError(t, v.Leave("negative_lead_off"))
	require.NoError(t, v.Set(keyHeld))
	turned, _ := v.Observe("engine_turned")
	assert.Equal(t, "silence lamps fade", turned)
	require.NoError(t, v.PutBack("negative_lead_off"))
	turned, _ = v.Observe("engine_turned")
	assert.Equal(t, "normally", turned)
}

// A control unit lets the voltage down only while the battery is well charged, the
// last start made good, nothing switched on and the battery not cold; otherwise it
// holds what a regulator would.
func TestSmartCharging(t *testing.T) {
	unloaded := map[string]string{"key": "key_on", "loads": "loads_off", "engine": "revving"}
	run := func(change func(*Vehicle)) *Vehicle {
		v, err := New(Standard("medium petrol"), Fault{"smart_charging", 0})
		require.NoError(t, err)
		v.charge.Level = 0.9
		change(v)
		require.NoError(t, v.Set(unloaded))
		return v
	}
	nothing := func(*Vehicle) {}

	smart := run(nothing)
	assert.Greater(t, posts(t, smart, unloaded, "settled"), 13.7, "the start is made good first")
	require.NoError(t, smart.Act("wait", "3 min"))
	assert.Less(t, posts(t, smart, unloaded, "settled"), 12.9, "it looks like a dead alternator")
	for _, loads := range []string{"small_loads", "heavy_loads"} {
		with := map[string]string{"key": "key_on", "loads": loads, "engine": "revving"}
		assert.InDelta(t, 14.15, posts(t, smart, with, "settled"), 0.45, loads)
	}
	assert.Less(t, posts(t, smart, unloaded, "settled"), 12.9, "off again")

	for why, change := range map[string]func(*Vehicle){
		"half charged": func(v *Vehicle) { v.charge.Level = 0.5 },
		"cold":         func(v *Vehicle) { v.charge.Celsius = 0 },
	} {
		v := run(change)
		require.NoError(t, v.Act("wait", "5 min"))
		assert.Greater(t, posts(t, v, unloaded, "settled"), 13.7, why)
	}
}

// A repair does not change how the vehicle is made: a start relay that a fault asks
// for, a second battery or a battery in the boot is still there when the fault has
// gone, and so are their points for a probe.
func TestMendingLeavesTheVehicleAsItIsMade(t *testing.T) {
	base := Standard("medium petrol")
	base.withoutRelay()
	base.Ohm[bDirect], base.Ohm[bEarth] = base.Ohm[bEarth], open
	for _, k := range Kinds() {
		v, err := New(base, Fault{k.ID, 0.5})
		require.NoError(t, err)
		made := func() (out []string) {
			for _, name := range []string{"relay_fitted", "battery_place", "earth_lands"} {
				answer, _ := v.Observe(name)
				out = append(out, answer)
			}
			return out
		}
		before, relay := made(), v.Has("relay_feed")
		if repair := Mends(k.ID); repair != "" {
			require.NoError(t, v.Act(repair, ""))
		}
		assert.Equal(t, before, made(), k.ID)
		assert.Equal(t, relay, v.Has("relay_feed"), k.ID)
	}
}

// Ripple at the posts by a meter on alternating volts: a sound alternator stays under
// 50 mV, a diode that is open shows at heavy loads however mild it is, and less
// without loads; where no current is made there is none. Source: 0.3 to 0.8 V peak to
// peak at the output with a diode open, 0.05 to 0.15 V without, from memory.
func TestRipple(t *testing.T) {
	ripple := func(loads, red, black string, fault ...Fault) float64 {
		v, err := New(Standard("medium petrol"), fault...)
		require.NoError(t, err)
		v.charge.Level = 0.95
		require.NoError(t, v.Set(map[string]string{"key": "key_on", "loads": loads, "engine": "revving"}))
		r, err := v.Read(red, black, "ripple", Exact())
		require.NoError(t, err)
		return r.Value
	}
	const plus, minus = "battery_positive_post", "battery_negative_post"
	assert.Less(t, ripple("heavy_loads", plus, minus), 0.05)
	for _, s := range []float64{0, 0.5, 1} {
		open := Fault{"alternator_diode_open", s}
		loaded, unloaded := ripple("heavy_loads", plus, minus, open), ripple("loads_off", plus, minus, open)
		assert.Greater(t, loaded, 0.09, "severity %g", s)
		assert.Less(t, unloaded, 0.8*loaded, "severity %g", s)
		out := ripple("heavy_loads", "alternator_output", "alternator_case", open) / oneMissing
		assert.Greater(t, out, 0.3, "severity %g", s)
		assert.Less(t, out, 0.8, "severity %g", s)
	}
	assert.Zero(t, ripple("heavy_loads", plus, minus, Fault{"alternator_no_field", 0.2}))
}

// What is told follows the vehicle.
func TestToldByTheVehicle(t *testing.T) {
	rear := Standard("medium petrol")
	rear.rear()
	far := Standard("medium petrol")
	far.Seen.Complaint = "after standing"
	for _, c := range []struct {
		of    Params
		fault Fault
		name  string
		want  string
	}{
		{rear, Fault{"user_left_on", 0.5}, "boot_opens", "yes"},
		{rear, Fault{"main_fuse_link_open", 0.9}, "boot_opens", "locked without current"},
		{rear, Fault{"user_left_on", 0.5}, "vent_pipe", "led outside"},
		{rear, Fault{"battery_damaged", 0.95}, "vent_pipe", "off or blocked"},
		{far, Fault{"user_left_on", 0.5}, "vent_pipe", "none to be seen"},
		{far, Fault{"user_left_on", 0.5}, "fails_when", "cold or after standing"},
		{far, Fault{"post_joint_intermittent", 0.5}, "fails_when", "shaken"},
		{far, Fault{"post_joint_intermittent", 0.1}, "wiggle", "positive joint"},
		{far, Fault{"main_fuse_link_open", 0.5}, "wiggle", "main feed"},
		{far, Fault{"main_fuse_link_open", 0.9}, "wiggle", "nothing"},
		{far, Fault{"user_left_on", 0.5}, "wiggle", "nothing"},
		{far, Fault{"user_left_on", 0.5}, "collapsed_before", "no"},
		{far, Fault{"battery_broken_link", 0.3}, "collapsed_before", "yes"},
	} {
		v, err := New(c.of, c.fault)
		require.NoError(t, err)
		_ = v.Act("crank", "") // what must not be cranked is not
		got, known := v.Observe(c.name)
		assert.True(t, known)
		assert.Equal(t, c.want, got, "%s of %v", c.name, c.fault)
	}
}
