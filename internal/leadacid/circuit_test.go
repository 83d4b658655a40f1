package leadacid

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The resistance that two readings of a model circuit give is the one it was
// made with, and what the starter sees adds up with the drops.
func TestResistanceAndStarterVoltageAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rest := rapid.Float64Range(12, 12.8).Draw(t, "rest")
		r := rapid.Float64Range(2, 12).Draw(t, "mΩ")
		pos, earth := rapid.Float64Range(0, 3).Draw(t, "pos"), rapid.Float64Range(0, 3).Draw(t, "earth")
		amps := rapid.Float64Range(50, 300).Draw(t, "amps")
		sees, err := StarterVoltage(Exactly(rest), Exactly(amps), Exactly(r), Exactly(pos), Exactly(earth))
		require.NoError(t, err)
		back, err := InternalResistance(Exactly(rest), sees.Posts, Exactly(0), Exactly(amps))
		require.NoError(t, err)
		require.InDelta(t, r, back.Best, 1e-9)
		left, err := LoopGap(sees.Posts, Exactly(amps*pos/1000), Exactly(0), sees.Starter, Exactly(amps*earth/1000), false)
		require.NoError(t, err)
		require.InDelta(t, 0, left.Best, 1e-9)
	})
}

// Readings from separate cranks may miss the sum by 0.3 V, not by 0.31 V.
func TestLoopSumAtItsLimit(t *testing.T) {
	gap := func(motor float64, separate bool) error {
		_, err := LoopGap(Exactly(11.3), Exactly(0.2), Exactly(0.1), Exactly(motor), Exactly(0.2), separate)
		return err
	}
	assert.NoError(t, gap(10.5, true))
	assert.Error(t, gap(10.49, true))
	assert.NoError(t, gap(11.1, true))
	assert.Error(t, gap(11.11, true))
	assert.NoError(t, gap(10.8, false))
	assert.Error(t, gap(10.79, false))
}

func TestCableIsMonotonic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		i := rapid.IntRange(0, len(cableRows)-2).Draw(t, "row")
		length := rapid.Float64Range(0.1, 10).Draw(t, "length")
		temp := rapid.Float64Range(-40, 120).Draw(t, "temp")
		thin, err := CableResistance(cableRows[i].size, Exactly(length), Exactly(temp))
		require.NoError(t, err)
		thick, err := CableResistance(cableRows[i+1].size, Exactly(length), Exactly(temp))
		require.NoError(t, err)
		require.Less(t, thick.Hi, thin.Lo, "each row carries better than the one before, whatever the doubt")
		hot, err := CableResistance(cableRows[i].size, Exactly(length), Exactly(temp+10))
		require.NoError(t, err)
		requireNotLess(t, hot, thin)
	})
}

func TestAllowedDrop(t *testing.T) {
	amps := Exactly(400)
	earth, err := AllowedDrop(EarthPath, &amps)
	require.NoError(t, err)
	assert.Equal(t, Range{0.1, 0.8, 0.8}, earth.Range, "a diesel's current allows more")
	earth, err = AllowedDrop(EarthPath, nil)
	require.NoError(t, err)
	assert.Equal(t, Range{0.1, 0.2, 0.5}, earth.Range)
	control, err := AllowedDrop(BothWindings, &amps)
	require.NoError(t, err)
	assert.Equal(t, Exactly(1.0), control.Range, "the starter's current does not flow there")
	hold, err := AllowedDrop(HoldWinding, nil)
	require.NoError(t, err)
	assert.Equal(t, Range{0.2, 0.25, 0.3}, hold.Range)
	for _, name := range pathNames {
		_, err := AllowedDrop(Path(name), &amps)
		assert.NoError(t, err, name)
	}
}

func TestDropSays(t *testing.T) {
	allowed := Range{0.1, 0.3, 0.5}
	for drop, want := range map[float64]string{
		0.1: "Within every published limit.", 0.3: "Between the published limits", 0.5: "Between the published limits", 0.51: "Over every published limit",
	} {
		assert.Contains(t, dropSays(Exactly(drop), allowed), want)
	}
}

// One current, found in all four ways from the readings that it makes.
func TestWaysToACurrentAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		amps := rapid.Float64Range(100, 300).Draw(t, "amps")
		rest := rapid.Float64Range(12.4, 12.7).Draw(t, "rest")
		r := rapid.Float64Range(3, 8).Draw(t, "mΩ")
		pile := rapid.Float64Range(amps-20, amps+20).Draw(t, "pile")
		at := func(i float64) Range { return Exactly(rest - i*r/1000) }
		matched, err := CurrentByMatching(Exactly(rest), at(amps), at(pile), Exactly(pile))
		require.NoError(t, err)
		require.InDelta(t, amps, matched.Best, 1e-6)

		lead := rapid.Float64Range(0.2, 2).Draw(t, "lead, mΩ")
		shunt, err := CurrentByShunt(Exactly(amps*lead), Exactly(10*lead), Exactly(10))
		require.NoError(t, err)
		require.InDelta(t, amps, shunt.Best, 1e-6)

		drop, err := CableDrop(25, Exactly(1.5), Exactly(20), Exactly(amps))
		require.NoError(t, err)
		most, err := CurrentByCable(Exactly(drop.Best), 25, Exactly(1.5), Exactly(20))
		require.NoError(t, err)
		require.InDelta(t, amps, most.Best, 1e-6)
		require.True(t, most.Contains(amps))

		band, err := CurrentByEngine("medium_petrol", true, Exactly(rest-at(amps).Best+0.5))
		require.NoError(t, err)
		require.Equal(t, Range{120, 200, 350}, band)
	})
}
