package leadacid

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/unit"
)

// The resistance that two readings of a model circuit give is the one it was
// made with, and what the starter sees adds up with the drops.
func TestResistanceAndStarterVoltageAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rest := rapid.Float64Range(12, 12.8).Draw(t, "rest")
		r := rapid.Float64Range(2, 12).Draw(t, "mΩ")
		pos, earth := rapid.Float64Range(0, 3).Draw(t, "pos"), rapid.Float64Range(0, 3).Draw(t, "earth")
		amps := rapid.Float64Range(50, 300).Draw(t, "amps")
		sees := ask(t, "starter_voltage", "rest_voltage", rest, "current", amps, "battery_resistance", r, "positive_resistance", pos, "earth_resistance", earth)
		posts := valueOf(sees, "posts")
		back := first(t, "internal_resistance", "first_voltage", rest, "second_voltage", posts, "second_current", amps)
		require.InDelta(t, r, back.Best, 1e-9)
		left := first(t, "loop_sum", "posts", posts, "positive_drop", amps*pos/1000, "solenoid_drop", 0, "motor_voltage", valueOf(sees, "starter"), "earth_drop", amps*earth/1000, "cranks", "one")
		require.InDelta(t, 0, left.Best, 1e-9)
	})
}

// Readings from separate cranks may miss the sum by 0.3 V, not by 0.31 V.
func TestLoopSumAtItsLimit(t *testing.T) {
	gap := func(motor float64, cranks string) error {
		_, err := Find("loop_sum").Run(argsOf([]any{"posts", 11.3, "positive_drop", 0.2, "solenoid_drop", 0.1, "motor_voltage", motor, "earth_drop", 0.2, "cranks", cranks}))
		return err
	}
	assert.NoError(t, gap(10.5, "separate"))
	assert.Error(t, gap(10.49, "separate"))
	assert.NoError(t, gap(11.1, "separate"))
	assert.Error(t, gap(11.11, "separate"))
	assert.NoError(t, gap(10.8, "one"))
	assert.Error(t, gap(10.79, "one"))
}

func TestCableIsMonotonic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		i := rapid.IntRange(0, len(cableRows)-2).Draw(t, "row")
		length := rapid.Float64Range(0.1, 10).Draw(t, "length")
		temp := rapid.Float64Range(-40, 120).Draw(t, "temp")
		cable := func(row int, temp float64) unit.Range {
			return valueOf(ask(t, "cable_drop", "size", cableRows[row].size, "length", length, "current", 100, "cable_temp", temp), "resistance")
		}
		thin := cable(i, temp)
		require.Less(t, cable(i+1, temp).Hi, thin.Lo, "each row carries better than the one before, whatever the doubt")
		requireNotLess(t, cable(i, temp+10), thin)
	})
}

func TestAllowedDrop(t *testing.T) {
	assert.Equal(t, span(0.1, 0.8, 0.8), first(t, "allowed_drop", "path", "earth_path", "current", 400), "a diesel's current allows more")
	assert.Equal(t, span(0.1, 0.2, 0.5), first(t, "allowed_drop", "path", "earth_path"))
	assert.Equal(t, unit.Exactly(1.0), first(t, "allowed_drop", "path", "control_both_windings", "current", 400), "the starter's current does not flow there")
	assert.Equal(t, span(0.2, 0.25, 0.3), first(t, "allowed_drop", "path", "control_hold_winding"))
	for _, name := range pathNames() {
		assert.NotEmpty(t, first(t, "allowed_drop", "path", name, "current", 400), name)
	}
}

// Without a current an earth path is allowed 0.1 to 0.5 V.
func TestDropSays(t *testing.T) {
	for drop, want := range map[float64]string{
		0.1: "Within every published limit.", 0.3: "Between the published limits", 0.5: "Between the published limits", 0.51: "Over every published limit",
	} {
		assert.Contains(t, ask(t, "allowed_drop", "path", "earth_path", "drop", drop).Says[0], want)
	}
}

// One current, found in all four ways from the readings that it makes.
func TestWaysToACurrentAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		amps := rapid.Float64Range(100, 300).Draw(t, "amps")
		rest := rapid.Float64Range(12.4, 12.7).Draw(t, "rest")
		r := rapid.Float64Range(3, 8).Draw(t, "mΩ")
		pile := rapid.Float64Range(amps-20, amps+20).Draw(t, "pile")
		at := func(i float64) float64 { return rest - i*r/1000 }
		matched := first(t, "current_by_matching", "rest_voltage", rest, "crank_voltage", at(amps), "pile_voltage", at(pile), "pile_current", pile)
		require.InDelta(t, amps, matched.Best, 1e-6)

		lead := rapid.Float64Range(0.2, 2).Draw(t, "lead, mΩ")
		shunt := first(t, "current_by_shunt", "crank_drop", amps*lead, "known_drop", 10*lead, "known_current", 10)
		require.InDelta(t, amps, shunt.Best, 1e-6)

		drop := first(t, "cable_drop", "size", 25, "length", 1.5, "cable_temp", 20, "current", amps)
		most := first(t, "current_by_cable", "drop", drop.Best, "size", 25, "length", 1.5, "cable_temp", 20)
		require.InDelta(t, amps, most.Best, 1e-6)
		require.True(t, most.Contains(amps))

		band := first(t, "current_by_engine", "engine", "medium_petrol", "turned", "yes", "fell", rest-at(amps)+0.5)
		require.Equal(t, span(120, 200, 350), band)
	})
}
