package leadacid

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/unit"
)

var anyChemistry = rapid.SampledFrom([]string{flooded, efb, agm, gel, unsure})

// Voltage to charge to voltage comes back wherever the table to go by has a row.
func TestVoltageAndChargeAreInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyChemistry.Draw(t, "chemistry")
		temp := rapid.Float64Range(-7, 60).Draw(t, "temp")
		charge := rapid.Float64Range(0, 100).Draw(t, "charge")
		volts := func(charge float64) float64 {
			return first(t, "voltage_from_charge", "state_of_charge", charge, "chemistry", c, "battery_temp", temp).Best
		}
		rest := volts(charge)
		back := first(t, "charge_from_voltage", "rest_voltage", rest, "chemistry", c, "battery_temp", temp)
		require.InDelta(t, charge, back.Best, 1e-6)
		require.True(t, back.Lo <= charge+1e-6 && charge-1e-6 <= back.Hi, "%v", back)
		require.InDelta(t, rest, volts(back.Best), 1e-9)
	})
}

// More volts never mean less charge, more charge never a higher freezing point,
// denser acid never less charge; by all sources.
func TestChargeIsMonotonic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, temp := anyChemistry.Draw(t, "chemistry"), rapid.Float64Range(-5, 60).Draw(t, "temp")
		v, more := rapid.Float64Range(0, 16).Draw(t, "volts"), rapid.Float64Range(0, 2).Draw(t, "more")
		charge := func(v float64) unit.Range {
			return first(t, "charge_from_voltage", "rest_voltage", v, "chemistry", c, "battery_temp", temp)
		}
		requireNotLess(t, charge(v+more), charge(v))

		s := rapid.Float64Range(0, 100).Draw(t, "charge")
		freezes := func(s float64) unit.Range { return first(t, "freezing_point", "state_of_charge", s) }
		requireNotLess(t, freezes(s), freezes(rapid.Float64Range(s, 100).Draw(t, "more charge")))

		g := rapid.Float64Range(1.1, 1.3).Draw(t, "gravity")
		byGravity := func(g float64) unit.Range { return first(t, "charge_from_gravity", "gravity", g, "acid_temp", 20) }
		requireNotLess(t, byGravity(rapid.Float64Range(g, 1.3).Draw(t, "denser")), byGravity(g))
	})
}

// requireNotLess holds when no end of a is below that of b.
func requireNotLess(t *rapid.T, a, b unit.Range) {
	require.True(t, a.Lo >= b.Lo-1e-9 && a.Best >= b.Best-1e-9 && a.Hi >= b.Hi-1e-9, "%v, %v", a, b)
}

// "Not sure" covers each type it may be.
func TestUnsureCoversEveryType(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v, temp := rapid.Float64Range(11, 14).Draw(t, "volts"), rapid.Float64Range(0, 40).Draw(t, "temp")
		charge := func(c string) unit.Range {
			return first(t, "charge_from_voltage", "rest_voltage", v, "chemistry", c, "battery_temp", temp)
		}
		all := charge(unsure)
		for _, c := range kinds(unsure) {
			known := charge(c)
			require.True(t, all.Lo <= known.Lo && known.Hi <= all.Hi, c)
		}
	})
}

// The disagreement is part of the answer: 12.6 V is full in one source, and not
// in another.
func TestSourcesDisagreeInTheOpen(t *testing.T) {
	charge := ask(t, "charge_from_voltage", "rest_voltage", 12.6, "chemistry", flooded, "battery_temp", 26.7)
	require.Len(t, charge.Opinions, 3)
	assert.InDelta(t, 93.75, charge.Opinions[0].Range.Best, 1e-9)
	assert.InDelta(t, 100, charge.Opinions[1].Range.Best, 1e-9)
	assert.InDelta(t, 83.33, charge.Opinions[2].Range.Best, 0.01)
	assert.InDelta(t, 83.33, charge.Values[0].Range.Lo, 0.01)
	assert.InDelta(t, 100, charge.Values[0].Range.Hi, 1e-9)
}

// Both gravity tables are read at 80 °F, whichever hydrometer it was.
func TestTheTwoHydrometersMeanTheSame(t *testing.T) {
	assert.Equal(t, 1.26, first(t, "corrected_gravity", "gravity", 1.26, "acid_temp", 20, "hydrometer", "20c").Best)
	charge := func(instrument string) float64 {
		return first(t, "charge_from_gravity", "gravity", 1.26, "acid_temp", 20, "hydrometer", instrument, "full_gravity", "1.265").Best
	}
	assert.InDelta(t, charge("27c"), charge("20c"), 0.2, "the two corrections differ by 0.00002 for each kelvin")
}

func TestCompareCharge(t *testing.T) {
	for _, c := range []struct {
		volts, gravity float64
		apart          bool
		says           string
	}{
		{12.65, 1.265, false, "One state of charge fits both readings."},
		{12.65, 1.150, true, "The voltage says more than the acid: a surface charge, acid that lies in layers, or water added lately. Take off the surface charge, or charge until it gasses, and read both again."},
		{12.00, 1.265, true, "The acid says more than the voltage: a weak or shorted cell, a load left on, or acid added where water belongs. Read all six cells."},
	} {
		r := ask(t, "compare_charge", "rest_voltage", c.volts, "gravity", c.gravity, "acid_temp", 26.7)
		assert.Equal(t, c.apart, valueOf(r, "apart").Best > 0, "%v V, %v", c.volts, c.gravity)
		assert.Equal(t, []string{c.says}, r.Says)
	}
}

func TestRestSays(t *testing.T) {
	says := func(volts float64, temp int, c string) []string {
		return ask(t, "charge_from_voltage", "rest_voltage", volts, "battery_temp", temp, "chemistry", c).Says
	}
	assert.Empty(t, says(12.6, 20, flooded))
	assert.Contains(t, says(13.0, 20, flooded)[0], "surface charge")
	assert.Empty(t, says(13.0, 20, agm))
	assert.Contains(t, says(10.5, 20, flooded)[0], "a cell may be shorted")
	assert.Contains(t, says(11.8, -8, flooded)[0], "may freeze")
}
