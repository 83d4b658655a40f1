package leadacid

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var anyChemistry = rapid.SampledFrom([]Chemistry{Flooded, EFB, AGM, Gel, Unsure})

// Voltage to charge to voltage comes back wherever the table to go by has a row.
func TestVoltageAndChargeAreEachOthersReverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyChemistry.Draw(t, "chemistry")
		temp := Exactly(rapid.Float64Range(-7, 60).Draw(t, "temp"))
		charge := rapid.Float64Range(0, 100).Draw(t, "charge")
		rest, err := RestVoltage(Exactly(charge), c, temp)
		require.NoError(t, err)
		back, err := ChargeFromVoltage(Exactly(rest.Range.Best), c, temp)
		require.NoError(t, err)
		require.InDelta(t, charge, back.Range.Best, 1e-6)
		require.True(t, back.Range.Lo <= charge+1e-6 && charge-1e-6 <= back.Range.Hi, "%v", back.Range)
		again, err := RestVoltage(Exactly(back.Range.Best), c, temp)
		require.NoError(t, err)
		require.InDelta(t, rest.Range.Best, again.Range.Best, 1e-9)
	})
}

// More volts never mean less charge, more charge never a higher freezing point,
// denser acid never less charge; by all sources.
func TestChargeIsMonotonic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, temp := anyChemistry.Draw(t, "chemistry"), Exactly(rapid.Float64Range(-5, 60).Draw(t, "temp"))
		v, more := rapid.Float64Range(0, 16).Draw(t, "volts"), rapid.Float64Range(0, 2).Draw(t, "more")
		less, err := ChargeFromVoltage(Exactly(v), c, temp)
		require.NoError(t, err)
		greater, err := ChargeFromVoltage(Exactly(v+more), c, temp)
		require.NoError(t, err)
		requireNotLess(t, greater.Range, less.Range)

		s := rapid.Float64Range(0, 100).Draw(t, "charge")
		warm, err := FreezingPoint(Exactly(s))
		require.NoError(t, err)
		cold, err := FreezingPoint(Exactly(rapid.Float64Range(s, 100).Draw(t, "more charge")))
		require.NoError(t, err)
		requireNotLess(t, warm, cold)

		g := rapid.Float64Range(1.1, 1.3).Draw(t, "gravity")
		thin, err := ChargeFromGravity(Exactly(g), Exactly(20), "27c", "unsure")
		require.NoError(t, err)
		dense, err := ChargeFromGravity(Exactly(rapid.Float64Range(g, 1.3).Draw(t, "denser")), Exactly(20), "27c", "unsure")
		require.NoError(t, err)
		requireNotLess(t, dense.Range, thin.Range)
	})
}

// requireNotLess holds when no end of a is below that of b.
func requireNotLess(t *rapid.T, a, b Range) {
	require.True(t, a.Lo >= b.Lo-1e-9 && a.Best >= b.Best-1e-9 && a.Hi >= b.Hi-1e-9, "%v, %v", a, b)
}

// "Not sure" covers each type it may be.
func TestUnsureCoversEveryType(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v, temp := Exactly(rapid.Float64Range(11, 14).Draw(t, "volts")), Exactly(rapid.Float64Range(0, 40).Draw(t, "temp"))
		unsure, err := ChargeFromVoltage(v, Unsure, temp)
		require.NoError(t, err)
		for _, c := range []Chemistry{Flooded, EFB, AGM, Gel} {
			known, err := ChargeFromVoltage(v, c, temp)
			require.NoError(t, err)
			require.True(t, unsure.Range.Lo <= known.Range.Lo && known.Range.Hi <= unsure.Range.Hi, c)
		}
	})
}

// The disagreement is part of the answer: 12.6 V is full in one source, and not
// in another.
func TestSourcesDisagreeInTheOpen(t *testing.T) {
	charge, err := ChargeFromVoltage(Exactly(12.6), Flooded, Exactly(26.7))
	require.NoError(t, err)
	require.Len(t, charge.Opinions, 3)
	assert.InDelta(t, 93.75, charge.Opinions[0].Range.Best, 1e-9)
	assert.InDelta(t, 100, charge.Opinions[1].Range.Best, 1e-9)
	assert.InDelta(t, 83.33, charge.Opinions[2].Range.Best, 0.01)
	assert.InDelta(t, 83.33, charge.Range.Lo, 0.01)
	assert.InDelta(t, 100, charge.Range.Hi, 1e-9)
}

// Both gravity tables are read at 80 °F, whichever hydrometer it was.
func TestTheTwoHydrometersMeanTheSame(t *testing.T) {
	at20, err := CorrectedGravity(Exactly(1.26), Exactly(20), "20c")
	require.NoError(t, err)
	assert.Equal(t, 1.26, at20.Best)
	one, err := ChargeFromGravity(Exactly(1.26), Exactly(20), "27c", "1.265")
	require.NoError(t, err)
	other, err := ChargeFromGravity(Exactly(1.26), Exactly(20), "20c", "1.265")
	require.NoError(t, err)
	assert.InDelta(t, one.Range.Best, other.Range.Best, 0.2, "the two corrections differ by 0.00002 for each kelvin")
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
		two, err := CompareCharge(Exactly(c.volts), Flooded, Exactly(c.gravity), Exactly(26.7), "27c", "unsure")
		require.NoError(t, err)
		assert.Equal(t, c.apart, two.Apart > 0, "%v V, %v", c.volts, c.gravity)
		assert.Equal(t, c.says, two.says())
	}
}

func TestRestSays(t *testing.T) {
	says := func(volts, temp float64, c Chemistry) []string {
		charge, err := ChargeFromVoltage(Exactly(volts), c, Exactly(temp))
		require.NoError(t, err)
		return restSays(Exactly(volts), c, charge, Exactly(temp))
	}
	assert.Empty(t, says(12.6, 20, Flooded))
	assert.Contains(t, says(13.0, 20, Flooded)[0], "surface charge")
	assert.Empty(t, says(13.0, 20, AGM))
	assert.Contains(t, says(10.5, 20, Flooded)[0], "a cell may be shorted")
	assert.Contains(t, says(11.8, -8, Flooded)[0], "may freeze")
}
