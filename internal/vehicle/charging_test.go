package vehicle

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Charge times of the closed form: constant current until the plates take less,
// then an exponential. 70 Ah from 0.30 to 0.98, at 25 °C and 14.4 V.
func TestChargeTimes(t *testing.T) {
	const capacity, from, to = 70.0, 0.30, 0.98
	for amps, want := range map[float64]float64{10: 6.6, 4: 13, 2: 25} {
		full := 1 - amps/(acceptRate*capacity)
		hours := capacity*(full-from)/(efficiency*amps) + math.Log((1-full)/(1-to))/acceptRate
		assert.InDelta(t, want, hours, 0.35, "the closed form itself, %g A", amps)

		b := sound(640, EN)
		c := Charge{Level: from, Celsius: 25}
		spent := 0.0
		for c.Level < to && spent < 80 {
			b.chargeFor(&c, &Charger{Refuses: 2, Leads: 1e-3}, amps, 0, 0, 900)
			spent += 0.25
		}
		// The model also gasses and loses efficiency at the end, so it takes longer,
		// but not by much.
		assert.GreaterOrEqual(t, spent, hours-0.5, "%g A", amps)
		assert.LessOrEqual(t, spent, 1.6*hours, "%g A", amps)
	}
}

func TestSulphatedBatteryReachesTheLimitAtOnce(t *testing.T) {
	b := sound(640, EN)
	b.Health, b.Acceptance = 0.5, 0.1
	c := Charge{Level: 0.4, Celsius: 25}
	r := b.chargeFor(&c, &Charger{Refuses: 2}, 7, 0, 0, 600)
	assert.Less(t, r.amps, 3.5)
	assert.Greater(t, r.volts, 14.0)
}

func TestShortedCellStaysLowOnCharge(t *testing.T) {
	b := sound(640, EN)
	b.CellLoss = 2.05
	c := Charge{Level: 0.9, Celsius: 20}
	r := b.chargeFor(&c, &Charger{Refuses: 2}, 7, 0, 0, 1200)
	assert.Greater(t, r.amps, 5.0)
	assert.InDelta(t, 12.7, r.volts, 0.6)
}

func TestFlatBatteryIsRefused(t *testing.T) {
	b := sound(640, EN)
	b.CellLoss = 6
	c := Charge{Level: 0, Celsius: 20}
	r := b.chargeFor(&c, &Charger{Refuses: 7.5}, 7, 0, 0, 600)
	assert.Equal(t, refused, r.ended)
}

// What flows in is counted: the change of charge times the capacity is the current
// times the time, times what is kept of it.
func TestChargeIsCounted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := sound(640, EN)
		c := Charge{Level: rapid.Float64Range(0.2, 0.8).Draw(t, "level"), Celsius: 20}
		amps := rapid.Float64Range(-20, 3.5).Draw(t, "amps")
		before := c.Level
		b.carry(&c, amps, 600)
		put := -amps * 600 / 3600
		if amps < 0 {
			put *= efficiency
		}
		assert.InDelta(t, put, (c.Level-before)*b.Capacity, 1e-9)
	})
}

// Fifteen seconds of lamps take off most of the surface charge, a rest of minutes
// only its quick part.
func TestSurfaceCharge(t *testing.T) {
	b := sound(640, EN)
	lamps := Charge{Level: 0.5, Celsius: 20, Surface: [2]float64{0.3, 0.2}}
	rested := lamps
	b.carry(&lamps, 12, 15)
	assert.Less(t, lamps.Surface[0]+lamps.Surface[1], 0.35)
	b.carry(&lamps, 48, 45)
	assert.Less(t, lamps.Surface[0]+lamps.Surface[1], 0.01)
	b.carry(&rested, 0, 1200)
	assert.InDelta(t, 0.2, rested.Surface[0]+rested.Surface[1], 0.03)
}

func TestChargedVehicleStandsHighUntilTheLampsHaveBeenOn(t *testing.T) {
	v, err := New(Standard("medium petrol"), Fault{"battery_discharged", 0.4})
	require.NoError(t, err)
	posts := func() float64 {
		require.NoError(t, v.Set(map[string]string{"key": "key_off", "charger": "charger_off", "loads": "loads_off"}))
		r, err := v.Read("battery_positive_post", "battery_negative_post", "settled", Exact())
		require.NoError(t, err)
		return r.Value
	}
	assert.Less(t, posts(), 12.2)
	require.NoError(t, v.Act("charge", "12 h"))
	assert.Greater(t, v.charge.Level, 0.9)
	assert.Empty(t, v.Faults(), "a flat battery that is charged has no fault")
	high := posts()
	assert.Greater(t, high, 12.9)
	require.NoError(t, v.Act("lamps_on", "60 s"))
	assert.InDelta(t, 12.6, posts(), 0.08)
}

// What a battery takes is what brings it, behind the path, to the set voltage; all of
// what there is where that does not bring it there; and nothing where it stands higher.
func TestTakesMeetsTheSetVoltage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := sound(640, EN)
		b.Acceptance = rapid.Float64Range(0.05, 1).Draw(t, "acceptance")
		b.Link = rapid.Float64Range(0, 0.05).Draw(t, "link")
		c := Charge{Level: rapid.Float64Range(0, 1).Draw(t, "level"), Celsius: rapid.Float64Range(-15, 30).Draw(t, "celsius")}
		s := b.source(&c, settled)
		set, path, most := rapid.Float64Range(11, 15).Draw(t, "set"), rapid.Float64Range(0, 0.05).Draw(t, "path"), rapid.Float64Range(-1, 30).Draw(t, "most")
		i := s.takes(set, path, most)
		reach := func(i float64) float64 { v, _ := s.volts(-i); return v + i*path }
		switch {
		case most <= 0 || reach(0) > set:
			assert.Zero(t, i)
		case reach(most) <= set:
			assert.Equal(t, most, i)
		default:
			assert.LessOrEqual(t, reach(i-2*takesWithin), set)
			assert.GreaterOrEqual(t, reach(i+2*takesWithin), set)
		}
	})
}

// A second battery that is charged takes what batteries take, and leaves the alternator
// its voltage.
func TestASecondBatteryDoesNotPullTheAlternatorDown(t *testing.T) {
	p := Standard("small petrol")
	p.withSecond()
	v, err := New(p)
	require.NoError(t, err)
	assert.Greater(t, posts(t, v, map[string]string{"key": "key_on", "engine": "revving", "loads": "heavy_loads"}, "settled"), 13.5)
	taken := v.solve().devices[dSecond]
	assert.InDelta(t, 20, taken, 12)
}
