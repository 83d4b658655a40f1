package leadacid

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestFloorsAreMonotonicAndHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cold := rapid.Float64Range(-18, 60).Draw(t, "cold")
		warm := rapid.Float64Range(cold, 60).Draw(t, "warm")
		a, err := LoadFloor(Exactly(cold))
		require.NoError(t, err)
		b, err := LoadFloor(Exactly(warm))
		require.NoError(t, err)
		requireNotLess(t, b, a)
		c, err := CrankFloor(Exactly(cold))
		require.NoError(t, err)
		require.Equal(t, a, c, "above -18 °C both are one table")
	})
	held, err := CrankFloor(Exactly(-30))
	require.NoError(t, err)
	assert.Equal(t, Exactly(8.5), held)
	between, err := LoadFloor(Exactly(7))
	require.NoError(t, err)
	assert.InDelta(t, 9.35, between.Best, 1e-9)
}

// At the floor it passes, a hundredth under it it does not, and a doubt that
// reaches over the floor is too close to call.
func TestLoadTest(t *testing.T) {
	for _, c := range []struct {
		rest, load Range
		chemistry  Chemistry
		temp       float64
		charged    Verdict
		passes     Verdict
	}{
		{Exactly(12.6), Exactly(9.60), Flooded, 21, Yes, Yes},
		{Exactly(12.6), Exactly(9.59), Flooded, 21, Yes, No},
		{Exactly(12.6), Around(9.60, 0.05), Flooded, 21, Yes, Open},
		{Exactly(12.6), Exactly(8.50), Flooded, -18, Yes, Yes},
		{Exactly(12.6), Exactly(8.49), Flooded, -18, Yes, No},
		{Exactly(12.3), Exactly(9.0), Flooded, 21, No, No},
		{Exactly(12.5), Exactly(9.7), AGM, 21, No, Yes},
		{Exactly(12.5), Exactly(9.7), Flooded, 21, Yes, Yes},
		{Exactly(12.5), Exactly(9.7), Unsure, 21, Open, Yes},
	} {
		v, err := LoadTest(c.rest, c.load, c.chemistry, Exactly(c.temp))
		require.NoError(t, err)
		assert.Equal(t, c.charged, v.Charged, "%+v", c)
		assert.Equal(t, c.passes, v.Passes, "%+v", c)
	}
}

func TestLoadTestSays(t *testing.T) {
	for v, want := range map[LoadVerdict]string{
		{Charged: No, Passes: No}:    "Not judged",
		{Charged: Yes, Passes: No}:   "Under the floor",
		{Charged: Yes, Passes: Yes}:  "It holds its floor",
		{Charged: Open, Passes: No}:  "Under the floor",
		{Charged: Yes}:               "Too close to call",
		{Charged: Open, Passes: Yes}: "Too close to call",
	} {
		assert.Contains(t, v.says()[0], want)
	}
}

func TestLoadCurrent(t *testing.T) {
	for _, c := range []struct {
		rating   float64
		standard Standard
		want     Range
	}{
		{520, SAE, Exactly(260)},
		{640, EN, Range{320, 320, 347.8}},
		{300, DIN, Range{240, 255, 255}},
		{1200, SAE, Exactly(500)},
	} {
		got, err := LoadCurrentFromRating(Exactly(c.rating), c.standard)
		require.NoError(t, err)
		for _, d := range [][2]float64{{c.want.Lo, got.Lo}, {c.want.Best, got.Best}, {c.want.Hi, got.Hi}} {
			assert.InDelta(t, d[0], d[1], 0.05, "%v %s", c.rating, c.standard)
		}
	}
	ah, err := LoadCurrentFromCapacity(Exactly(70))
	require.NoError(t, err)
	assert.Equal(t, Exactly(210), ah)
	ah, err = LoadCurrentFromCapacity(Exactly(200))
	require.NoError(t, err)
	assert.Equal(t, Exactly(500), ah)
}

func TestRecovery(t *testing.T) {
	for _, c := range []struct {
		volts Range
		later bool
		want  Verdict
	}{
		{Exactly(11.2), false, Yes}, {Exactly(11.19), false, No}, {Around(11.2, 0.1), false, Open},
		{Exactly(12.4), true, Yes}, {Exactly(12.39), true, No},
	} {
		_, back, err := Recovery(c.volts, c.later)
		require.NoError(t, err)
		assert.Equal(t, c.want, back, "%+v", c)
	}
}
