package leadacid

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/unit"
)

func TestFloorsAreMonotonicAndClamped(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cold := rapid.Float64Range(-18, 60).Draw(t, "cold")
		a := first(t, "load_floor", "battery_temp", cold)
		requireNotLess(t, first(t, "load_floor", "battery_temp", rapid.Float64Range(cold, 60).Draw(t, "warm")), a)
		require.Equal(t, a, first(t, "crank_floor", "battery_temp", cold), "above -18 °C both are one table")
	})
	assert.Equal(t, unit.Exactly(8.5), first(t, "crank_floor", "battery_temp", -30))
	assert.InDelta(t, 9.35, first(t, "load_floor", "battery_temp", 7).Best, 1e-9)
}

// At the floor it passes, a hundredth under it it does not, and a doubt that
// reaches over the floor is too close to call.
func TestLoadTest(t *testing.T) {
	const (
		passes = "It holds its floor at half its rating."
		fails  = "Under the floor."
		close  = "Too close to call"
		flat   = "Not judged: under three quarters charged"
	)
	for _, c := range []struct {
		rest      float64
		load      unit.Range
		chemistry string
		temp      float64
		says      string
	}{
		{12.6, unit.Exactly(9.60), flooded, 21, passes},
		{12.6, unit.Exactly(9.59), flooded, 21, fails},
		{12.6, unit.Around(9.60, 0.05), flooded, 21, close},
		{12.6, unit.Exactly(8.50), flooded, -18, passes},
		{12.6, unit.Exactly(8.49), flooded, -18, fails},
		{12.3, unit.Exactly(9.0), flooded, 21, flat},
		{12.5, unit.Exactly(9.7), agm, 21, flat},
		{12.5, unit.Exactly(9.7), flooded, 21, passes},
		{12.5, unit.Exactly(9.7), unsure, 21, close},
		{12.5, unit.Exactly(9.5), unsure, 21, fails},
	} {
		r := ask(t, "load_test", "rest_voltage", c.rest, "load_voltage", c.load, "chemistry", c.chemistry, "battery_temp", c.temp)
		assert.Contains(t, r.Says[0], c.says, "%+v", c)
	}
}

func TestLoadCurrent(t *testing.T) {
	for _, c := range []struct {
		rating   int
		standard string
		want     unit.Range
	}{
		{520, "sae", unit.Exactly(260)},
		{640, "en", span(320, 320, 347.8)},
		{300, "din", span(240, 255, 255)},
		{1200, "sae", unit.Exactly(500)},
	} {
		got := first(t, "load_current", "rating", c.rating, "standard", c.standard)
		for _, d := range [][2]float64{{c.want.Lo, got.Lo}, {c.want.Best, got.Best}, {c.want.Hi, got.Hi}} {
			assert.InDelta(t, d[0], d[1], 0.05, "%v %s", c.rating, c.standard)
		}
	}
	assert.Equal(t, unit.Exactly(210), first(t, "load_current", "capacity", 70))
	assert.Equal(t, unit.Exactly(500), first(t, "load_current", "capacity", 200))
}

func TestRecovery(t *testing.T) {
	for _, c := range []struct {
		volts      unit.Range
		when, says string
	}{
		{unit.Exactly(11.2), "at_once", "It came back as"},
		{unit.Exactly(11.19), "at_once", "It came back less"},
		{unit.Around(11.2, 0.1), "at_once", "Too close to call"},
		{unit.Exactly(12.4), "five_minutes", "It came back as"},
		{unit.Exactly(12.39), "five_minutes", "It came back less"},
	} {
		assert.Contains(t, ask(t, "recovery", "recovered_voltage", c.volts, "when", c.when).Says[0], c.says, "%+v", c)
	}
}
