package leadacid

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Ah to minutes to Ah comes back: the standards' law to 0.2 %, and inside the
// range that covers the rules of thumb.
func TestCapacityAndReserveAreEachOthersReverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyChemistry.Draw(t, "chemistry")
		ah := rapid.Float64Range(20, 150).Draw(t, "Ah")
		minutes, err := ReserveFromCapacity(Exactly(ah), c)
		require.NoError(t, err)
		back, err := CapacityFromReserve(minutes.Range, c)
		require.NoError(t, err)
		require.InEpsilon(t, ah, back.Range.Best, 0.002)
		require.True(t, back.Range.Lo <= ah*1.001 && ah*0.999 <= back.Range.Hi, "%v", back.Range)
		more, err := ReserveFromCapacity(Exactly(ah*1.1), c)
		require.NoError(t, err)
		require.Greater(t, more.Range.Best, minutes.Range.Best)
	})
}

// At the rated current the exponent does not matter; above it a larger exponent
// means less time, below it more.
func TestDischargeTimeTurnsOnTheRatedCurrent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ah := rapid.Float64Range(20, 150).Draw(t, "Ah")
		k := rapid.Float64Range(1, 1.9).Draw(t, "exponent")
		at := func(share, k float64) float64 {
			h, err := DischargeTime(Exactly(ah), Exactly(ah/20*share), Exactly(k))
			require.NoError(t, err)
			return h.Best
		}
		require.InDelta(t, 20, at(1, k), 1e-9)
		require.Less(t, at(3, k+0.1), at(3, k))
		require.Greater(t, at(0.3, k+0.1), at(0.3, k))
		require.Less(t, at(3, k), at(2, k), "a larger current lasts less")
	})
}
