package vehicle

import (
	"maps"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// drawn gives the n-th vehicle of a seed.
func drawn(seed, n uint64, pop Population) *Vehicle {
	return Draw(rand.New(rand.NewPCG(seed, n)), pop)
}

// The same seed gives the same vehicle and the same readings, whatever was drawn
// before it.
func TestSameSeedSameReadings(t *testing.T) {
	read := func(n uint64) ([]Reading, []string) {
		v := drawn(5, n, UsualPopulation())
		m := NewMeter(workshopVolts(), rand.New(rand.NewPCG(n, 9)))
		var all []Reading
		for _, state := range []map[string]string{atRest, {"key": "key_on", "loads": "small_loads"}, keyHeld} {
			require.NoError(t, v.Set(state))
			for _, pair := range [][2]string{{"battery_positive_post", "battery_negative_post"}, {"starter_case", "battery_negative_post"}} {
				r, err := v.Read(pair[0], pair[1], "plateau", m)
				require.NoError(t, err)
				all = append(all, r)
			}
		}
		says, _ := v.Observe("complaint")
		return all, append(v.Faults(), says)
	}
	for n := range uint64(60) {
		a, truthA := read(n)
		read(n + 1000)
		b, truthB := read(n)
		assert.Equal(t, a, b)
		assert.Equal(t, truthA, truthB)
	}
}

func TestSharesOfThePopulation(t *testing.T) {
	pop := UsualPopulation()
	pop.Weights = map[string]float64{"battery_worn_out": 3, "engine_strap_high_resistance": 1}
	pop.Seasons = []Season{{1, 20, 0}}
	pop.Healthy, pop.TwoFaults = 0.2, 0.5
	none, two, worn, strap := 0, 0, 0, 0
	const vehicles = 4000
	for n := range uint64(vehicles) {
		switch f := drawn(1, n, pop).Faults(); len(f) {
		case 0:
			none++
		case 2:
			two++
			assert.NotEqual(t, f[0], f[1])
		default:
			if f[0] == "battery_worn_out" {
				worn++
			} else {
				strap++
			}
		}
	}
	assert.InDelta(t, 0.2, float64(none)/vehicles, 0.03)
	assert.InDelta(t, 0.4, float64(two)/vehicles, 0.03)
	assert.InDelta(t, 3, float64(worn)/float64(strap), 0.5)
}

// Vehicles without a fault read as sound ones should, but for a few at the edge.
func TestHealthyVehiclesReadHealthy(t *testing.T) {
	pop := UsualPopulation()
	pop.Healthy, pop.Mistakes = 1, 0
	off := map[string]int{}
	const vehicles = 2000
	for n := range uint64(vehicles) {
		v := drawn(2, n, pop)
		require.Empty(t, v.Faults())
		check := func(name string, good bool) {
			if !good {
				off[name]++
			}
		}
		require.NoError(t, v.Set(atRest))
		rest := v.solve().volts[positivePost]
		check("rest", rest > 12.2 && rest < 13.1)
		turned, _ := v.Observe("engine_turned")
		check("turned "+turned, turned == "normally")
		require.NoError(t, v.Set(keyHeld))
		s := v.solve()
		allowed := 0.002 * s.battery // TM 10-3930-671-24, Volt Drop Tests
		check("crank", s.volts[positivePost] > 9.6-0.029*max(0, 21-v.charge.Celsius))
		check("feed", s.between(positivePost, starterFeed) < allowed)
		check("earth", s.volts[starterCase] < allowed)
		check("contact", s.between(starterFeed, starterMotor) < 0.3)
		// TM 5-2420-230-24-2, p. 13-33
		check("control", v.turned.first.between(positivePost, trigger) < 1.0)
	}
	for name, count := range off {
		assert.Less(t, float64(count)/vehicles, 0.02, name)
	}
}

// Every fault shows: something that is heard, seen or read differs from the same
// vehicle without it.
func TestEveryFaultShows(t *testing.T) {
	for _, k := range Kinds() {
		if k.ID == "operator" {
			continue // some of these are no fault of the vehicle at all
		}
		for _, severity := range []float64{0, 0.5, 1} {
			sound, err := New(Standard("medium petrol"))
			require.NoError(t, err)
			faulty, err := New(Standard("medium petrol"), Fault{k.ID, severity})
			require.NoError(t, err)
			faulty.loose = k.ID == "post_joint_intermittent"
			assert.NotEqual(t, portrait(t, sound), portrait(t, faulty), "%s at %g changes nothing that anybody could find", k.ID, severity)
		}
	}
}

// portrait is what can be seen and read, coarsely.
func portrait(t *testing.T, v *Vehicle) map[string]any {
	p := map[string]any{}
	for _, name := range slices.Sorted(maps.Keys(observations)) {
		p[name], _ = v.Observe(name)
	}
	loose := v.loose
	for _, state := range []map[string]string{atRest, keyHeld, {"key": "key_on", "loads": "heavy_loads", "engine": "revving"}} {
		_ = v.Set(state) // an engine that does not start stays as it was
		v.loose, v.solved = loose, false
		s := v.solve()
		for _, n := range []Node{positivePost, starterFeed, starterMotor, starterCase, trigger, fuseBox, alternatorOutput, alternatorCase} {
			p[state["engine"]+string(rune('a'+n))] = roundTo(s.volts[n], 0.1)
		}
		p[state["engine"]+"A"] = roundTo(s.battery, 0.2)
		p[state["engine"]+"ripple"] = roundTo(v.ripple(positivePost, negativePost), 0.02)
	}
	p["booster"] = v.par.Booster
	return p
}

// A vehicle without a fault starts, whatever the weather.
func TestSoundVehiclesStart(t *testing.T) {
	pop := UsualPopulation()
	pop.Healthy = 1
	pop.Seasons = []Season{{1, -15, 5}, {1, 15, 10}}
	for n := range 1000 {
		v := Draw(rand.New(rand.NewPCG(9, uint64(n))), pop)
		starts, _ := v.Observe("starts_of_three")
		assert.Equal(t, "three good starts", starts, "%s at %.0f °C", v.par.Class, v.par.Celsius)
	}
}
