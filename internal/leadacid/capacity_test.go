package leadacid

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Ah to minutes to Ah comes back: the standards' law to 0.2 %, and inside the
// range that covers the rules of thumb.
func TestCapacityAndReserveAreInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyChemistry.Draw(t, "chemistry")
		ah := rapid.Float64Range(20, 150).Draw(t, "Ah")
		minutes := first(t, "reserve_from_capacity", "capacity", ah, "chemistry", c)
		back := first(t, "capacity_from_reserve", "reserve", minutes, "chemistry", c)
		require.InEpsilon(t, ah, back.Best, 0.002)
		require.True(t, back.Lo <= ah*1.001 && ah*0.999 <= back.Hi, "%v", back)
		more := first(t, "reserve_from_capacity", "capacity", ah*1.1, "chemistry", c)
		require.Greater(t, more.Best, minutes.Best)
	})
}

// At the rated current the exponent does not matter; above it a larger exponent
// means less time, below it more.
func TestDischargeTimeTurnsOnTheRatedCurrent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ah := rapid.Float64Range(20, 150).Draw(t, "Ah")
		k := rapid.Float64Range(1, 1.9).Draw(t, "exponent")
		at := func(share, k float64) float64 {
			return first(t, "discharge_time", "capacity", ah, "current", ah/20*share, "exponent", k).Best
		}
		require.InDelta(t, 20, at(1, k), 1e-9)
		require.Less(t, at(3, k+0.1), at(3, k))
		require.Greater(t, at(0.3, k+0.1), at(0.3, k))
		require.Less(t, at(3, k), at(2, k), "a larger current lasts less")
	})
}
