package vehicle

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A meter is never further out than its data sheet says, but for the noise of its
// last digit, and its errors stay the same from reading to reading.
func TestMeterKeepsToItsSheet(t *testing.T) {
	spec := workshopVolts()
	rapid.Check(t, func(t *rapid.T) {
		m := NewMeter(spec, rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1)))
		x := rapid.Float64Range(-60, 60).Draw(t, "volts")
		r := spec.Ranges[1]
		if math.Abs(x) <= spec.Ranges[0].UpTo {
			r = spec.Ranges[0]
		}
		shown, over := m.show(x)
		assert.False(t, over)
		// One count is kept for rounding and noise; noise goes a little over once in a
		// thousand.
		assert.LessOrEqual(t, math.Abs(shown-x), math.Abs(x)*r.Percent/100+(r.Digits+1)*r.Resolution)
		again, _ := m.show(x)
		assert.InDelta(t, shown, again, 3*r.Resolution)
	})
}

func TestMeterRoundsToItsDigits(t *testing.T) {
	assert.Equal(t, 12.55, roundTo(12.5482, 0.01))
	assert.Equal(t, 0.151, roundTo(0.15128, 0.001))
	assert.Equal(t, 169.0, roundTo(169.34, 1))
	assert.Equal(t, 1.235, roundTo(1.2363, 0.005))
}

func TestMeterOverRange(t *testing.T) {
	m := NewMeter(MeterSpec{Ranges: []Range{{20, 0.5, 2, 0.01}}}, rand.New(rand.NewPCG(1, 1)))
	_, over := m.show(29)
	assert.True(t, over)
}

// A lowest hold of 1 ms reads a healthy vehicle's jolt, far under its plateau.
func TestPeakHoldReadsTheJolt(t *testing.T) {
	v, err := New(Standard("medium petrol"))
	require.NoError(t, err)
	require.NoError(t, v.Set(map[string]string{"key": "key_start", "engine": "cranking"}))
	plateau, err := v.Read("battery_positive_post", "battery_negative_post", "plateau", Exact())
	require.NoError(t, err)
	quick := Exact()
	quick.Peak = 1e-3
	low, err := v.Read("battery_positive_post", "battery_negative_post", "lowest", quick)
	require.NoError(t, err)
	slow, err := v.Read("battery_positive_post", "battery_negative_post", "lowest", Exact())
	require.NoError(t, err)
	assert.Greater(t, plateau.Value, 11.2)
	assert.InDelta(t, 8.8, low.Value, 0.15)
	assert.Greater(t, slow.Value, low.Value+1)
	assert.Less(t, slow.Value, plateau.Value)
	assert.InDelta(t, plateau.True, low.True, 0.02, "the truth beside it is the plateau")
}

// The display of a crank: the jolt blurs into its first value, then it stays near
// the plateau.
func TestWatchedDisplay(t *testing.T) {
	v, err := New(Standard("medium petrol"))
	require.NoError(t, err)
	crank, err := v.Crank("battery_positive_post", "battery_negative_post", 2.5)
	require.NoError(t, err)
	shown := crank.Display(Exact().Window, 0.15)
	assert.Contains(t, []int{7, 8}, len(shown), "conversions of 0.3 s in 2.5 s")
	for _, volts := range shown[2:] {
		assert.InDelta(t, 11.42, volts, 0.1)
	}
	_, err = v.Crank("battery_positive_post", "the moon", 1)
	assert.ErrorContains(t, err, `no point "the moon"`)
}

func TestReadingErrors(t *testing.T) {
	v, err := New(Standard("medium petrol"))
	require.NoError(t, err)
	for _, c := range []struct{ red, black, hold, says string }{
		{"battery_positve_post", "body", "settled", `no point "battery_positve_post"`},
		{"body", "nowhere", "settled", `no point "nowhere"`},
		{"battery_positive_post", "body", "steady", `no hold "steady"`},
		{"battery_positive_post", "body", "at: soon", `"soon" is no duration`},
	} {
		_, err := v.Read(c.red, c.black, c.hold, Exact())
		assert.ErrorContains(t, err, c.says)
	}
	_, err = v.Current("bonnet", "settled", Exact())
	assert.ErrorContains(t, err, `no lead "bonnet"`)
	p := Standard("medium petrol")
	p.withoutRelay()
	v, err = New(p)
	require.NoError(t, err)
	_, err = v.Read("relay_output", "battery_negative_post", "settled", Exact())
	assert.ErrorContains(t, err, "no start relay")
}

func TestSeconds(t *testing.T) {
	for s, want := range map[string]float64{"15 s": 15, "30 min": 1800, " 8 h": 28800, "1.5 h": 5400, "2 d": 172800} {
		got, err := Seconds(s)
		require.NoError(t, err, s)
		assert.Equal(t, want, got, s)
	}
	for _, s := range []string{"", "15", "s", "fifteen s", "15 m", "-3 s", "15 s later", "1e9 h", "NaN s"} {
		_, err := Seconds(s)
		assert.Error(t, err, s)
	}
}

// Whatever is typed, a duration is a number of seconds from 0 up, or an error.
func FuzzSeconds(f *testing.F) {
	for _, s := range []string{"15 s", "30 min", "8 h", "2 d", "", "-1 s", "1e308 d", "NaN h", "Inf s", "15s", "1 s 2"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		x, err := Seconds(s)
		if err == nil && (math.IsNaN(x) || math.IsInf(x, 0) || x < 0) {
			t.Fatalf("%q gives %v", s, x)
		}
	})
}
