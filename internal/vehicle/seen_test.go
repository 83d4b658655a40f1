package vehicle

import (
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a person hears and sees at the turn of the key, by fault.
func TestEngineTurned(t *testing.T) {
	for _, c := range []struct {
		fault    string
		severity float64
		turned   string
		says     string
	}{
		{"", 0, "normally", "starts now"},
		{"battery_discharged", 0, "normally", "starts now"},
		{"battery_discharged", 0.6, "slowly", "groans slowly"},
		{"battery_discharged", 1, "rattle", "rattle"},
		{"battery_worn_out", 1, "slowly", "groans slowly"},
		{"battery_broken_link", 0.375, "silence lamps fade", "silent lamps die"},
		{"battery_broken_link", 0.76, "slowly", "groans slowly"},
		{"battery_broken_link", 0.85, "rattle", "rattle"},
		{"battery_failing", 0.5, "silence lamps fade", "silent lamps die"},
		{"positive_joint_high_resistance", 0, "normally", "starts now"},
		{"positive_joint_high_resistance", 0.7, "slowly", "groans slowly"},
		{"positive_joint_high_resistance", 1, "rattle", "rattle"},
		{"engine_strap_high_resistance", 0.5, "slowly", "groans slowly"},
		{"engine_strap_open", 0.5, "one clunk", "one clunk"},
		{"main_fuse_link_open", 0.8, "silence lamps fade", "silent lamps die"},
		{"solenoid_contact_burnt", 0.9, "one clunk", "one clunk"},
		{"hold_winding_open", 0, "rattle", "rattle"},
		{"pull_winding_open", 0, "silence lamps bright", "silent lamps bright"},
		{"starter_brushes_worn", 0.5, "slowly", "groans slowly"},
		{"starter_armature_open", 0, "silence lamps bright", "silent lamps bright"},
		{"starter_drive_slips", 0.1, "starter spins alone", "whirrs only"},
		{"starter_drive_slips", 0.9, "grinds", "grinds"},
		{"start_relay_stuck_on", 0, "will not stop", "keeps running"},
		{"solenoid_contact_welded", 0, "will not stop", "keeps running"},
		{"start_fuse_blown", 0, "silence lamps bright", "silent lamps bright"},
		{"start_feed_open", 0.5, "silence lamps bright", "silent lamps bright"},
		{"start_feed_open", 0.9, "silence lamps bright", "silent lamps bright"},
		{"ignition_switch_open", 0, "silence lamps bright", "silent lamps bright"},
		{"start_relay_coil_earth_open", 0, "silence lamps bright", "silent lamps bright"},
		{"immobiliser_lock", 0, "silence lamps bright", "silent lamps bright"},
		{"immobiliser_lock", 0.9, "normally", "turns no fire"},
		{"engine_stiff", 0.5, "slowly", "groans slowly"},
		{"engine_seized", 0, "one clunk", "one clunk"},
		{"engine_no_compression", 0, "too easily", "spins too easily"},
		{"engine_timing_out", 0, "kicked back", "kicks back"},
		{"engine_does_not_fire", 0, "normally", "turns no fire"},
		{"key_off_draw", 0.2, "normally", "starts now"},
	} {
		var faults []Fault
		if c.fault != "" {
			faults = []Fault{{c.fault, c.severity}}
		}
		v, err := New(Standard("medium petrol"), faults...)
		require.NoError(t, err)
		turned, _ := v.Observe("engine_turned")
		assert.Equal(t, c.turned, turned, "%s %g: %s", c.fault, c.severity, v.present().outcome)
		says, _ := v.Observe("complaint")
		assert.Equal(t, c.says, says, "%s %g", c.fault, c.severity)
	}
}

// Looking changes nothing.
func TestObservingLeavesTheVehicleAsItIs(t *testing.T) {
	v, err := New(Standard("small diesel"), Fault{"engine_strap_high_resistance", 0.4})
	require.NoError(t, err)
	require.NoError(t, v.Set(map[string]string{"key": "key_on", "loads": "small_loads"}))
	before, charge, clock := v.state, v.charge, v.clock
	for _, name := range slices.Sorted(maps.Keys(observations)) {
		_, ok := v.Observe(name)
		assert.True(t, ok, name)
	}
	assert.Equal(t, before, v.state)
	assert.Equal(t, charge, v.charge)
	assert.Equal(t, clock, v.clock)
	assert.Equal(t, []string{"engine_strap_high_resistance"}, v.Faults())
}

func TestSee(t *testing.T) {
	v, err := New(Standard("medium petrol"), Fault{"battery_damaged", 0.5})
	require.NoError(t, err)
	assert.Equal(t, "bad case", v.See("battery_case")["danger"])
	assert.Equal(t, "flooded", v.See("battery_label")["chemistry"])
	assert.Empty(t, v.See("the moon"))
	_, ok := v.Observe("colour")
	assert.False(t, ok)
}

// What tells the breaks of the control circuit apart.
func TestControlCircuitBreaks(t *testing.T) {
	cranked := map[string]string{"key": "key_start", "engine": "cranking"}
	for id, want := range map[string]struct {
		fuse                                   string
		feed, output, supply, earth, switching bool // whether volts stand there with the key held
	}{
		"start_fuse_blown":            {"blown", false, false, true, false, true},
		"start_feed_open":             {"dead on both sides", false, false, true, false, true},
		"start_relay_contact_bad":     {"whole and live", true, false, true, false, true},
		"start_relay_coil_earth_open": {"whole and live", true, false, true, true, true},
		"ignition_switch_open":        {"whole and live", true, false, false, false, false},
		"start_wire_open":             {"whole and live", true, false, false, false, true},
		"gear_or_clutch_switch_open":  {"whole and live", true, false, false, false, true},
		"trigger_wire_bad":            {"whole and live", true, true, true, false, true},
	} {
		severity := 0.9
		if id == "start_feed_open" {
			severity = 0.5 // further on it is the feed of the switch
		}
		v, err := New(Standard("medium petrol"), Fault{id, severity})
		require.NoError(t, err)
		fuse, _ := v.Observe("start_fuse")
		assert.Equal(t, want.fuse, fuse, id)
		require.NoError(t, v.Set(cranked))
		for point, live := range map[string]bool{
			"relay_feed": want.feed, "relay_output": want.output, "relay_coil_supply": want.supply,
			"relay_coil_earth": want.earth, "start_switch_output": want.switching,
		} {
			r, err := v.Read(point, "battery_negative_post", "settled", Exact())
			require.NoError(t, err)
			assert.Equal(t, live, r.Value > 10.5, "%s: %s reads %.2f V", id, point, r.Value)
		}
	}
}
