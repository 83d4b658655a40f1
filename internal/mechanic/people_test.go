package mechanic

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/vehicle"
)

// by is somebody with one slip, at a vehicle with a fault.
func by(t testing.TB, slip string, share float64, fault vehicle.Fault) *Mechanic {
	m := at(t, fault)
	return m.By((&People{Slips: map[string]float64{slip: share}}).Draw(rand.New(rand.NewPCG(4, 4))))
}

// reading finds one of the shipped tree.
func reading(t testing.TB, id string) *engine.Reading {
	tree := shipped(t).Tree("no-start")
	i := slices.IndexFunc(tree.Readings, func(r *engine.Reading) bool { return r.ID == id })
	require.GreaterOrEqual(t, i, 0, id)
	return tree.Readings[i]
}

// Every slip shows in the readings that it is about, in the share that was asked for, and
// never in others; what is said is a word of the tree.
func TestSlips(t *testing.T) {
	bad := vehicle.Fault{ID: "positive_joint_high_resistance", Severity: 0.95}
	for slip, c := range map[string]struct {
		fault   vehicle.Fault
		reading string
	}{
		misheard:     {vehicle.Fault{ID: "engine_seized"}, "engine_turned"},
		lamps:        {vehicle.Fault{ID: "start_fuse_blown"}, "engine_turned"},
		customer:     {vehicle.Fault{ID: "start_fuse_blown"}, "complaint"},
		clampForPost: {bad, "crank_voltage"},
		paint:        {bad, "earth_drop"},
		leadsChanged: {bad, "rest_voltage"},
		ampereSocket: {bad, "rest_voltage"},
		coarseRange:  {vehicle.Fault{ID: "battery_worn_out"}, "positive_drop"},
		forgotten:    {vehicle.Fault{ID: "battery_worn_out", Severity: 0.9}, "rest_voltage"},
		peakHold:     {vehicle.Fault{ID: "battery_worn_out"}, "crank_voltage"},
		clampZero:    {vehicle.Fault{ID: "battery_worn_out"}, "crank_current"},
	} {
		r := reading(t, c.reading)
		const tries = 60
		truly, err := at(t, c.fault).Take(r)
		require.NoError(t, err)
		other := 0
		m := by(t, slip, 0.5, c.fault)
		for range tries {
			fresh := at(t, c.fault)
			fresh.By(m.person)
			m.person.looked = map[string][2]string{}
			a, err := fresh.Take(r)
			require.NoError(t, err)
			if a.Value != truly.Value || !slices.Equal(a.Choice, truly.Choice) {
				other++
			}
			if len(a.Choice) > 0 {
				assert.Contains(t, r.Choices, a.Choice[0])
			}
		}
		assert.InDelta(t, tries/2, other, tries/4, "%s at %s", slip, c.reading)
	}
}

// What was looked at is called the same again as long as it is the same; a sound is
// heard anew; what is dangerous is seen truly.
func TestLooksStay(t *testing.T) {
	m := at(t)
	m.By((&People{Slips: map[string]float64{joint: 0.5, misheard: 0.5, look: 1}}).Draw(rand.New(rand.NewPCG(1, 2))))
	clamp, sound, shape := reading(t, "positive_terminal"), reading(t, "engine_turned"), reading(t, "danger")
	first := m.person.calls(clamp, "loose")
	heard := map[string]bool{}
	for range 40 {
		assert.Equal(t, first, m.person.calls(clamp, "loose"))
		heard[m.person.calls(sound, "one clunk")] = true
		assert.Equal(t, "bad case", m.person.calls(shape, "bad case"))
	}
	assert.Greater(t, len(heard), 2)
	assert.Equal(t, "damaged", m.person.calls(clamp, "damaged"), "it is another now")
}

// Half of those who used a peak hold say so.
func TestAPeakHoldIsSaidOrNot(t *testing.T) {
	m := by(t, peakHold, 1, vehicle.Fault{ID: "battery_worn_out"})
	said := map[string]int{}
	for range 40 {
		a, err := m.Take(reading(t, "crank_voltage"))
		require.NoError(t, err)
		said[a.Held]++
		m.LetGo()
	}
	assert.Positive(t, said[""])
	assert.Positive(t, said["lowest"])
	assert.Len(t, said, 2)
}

// Without a helper the meter's hold is used more often.
func TestAloneAtTheKey(t *testing.T) {
	held := func(missing float64) (n int) {
		p := People{Slips: map[string]float64{peakHold: 0.2}, Missing: map[string]float64{"helper": missing}}
		x := p.Draw(rand.New(rand.NewPCG(1, 3)))
		for range 1000 {
			if _, _, hold := x.places(&engine.Reading{Hold: "plateau"}); hold != "plateau" {
				n++
			}
		}
		return n
	}
	assert.InDelta(t, 200, held(0), 40)
	assert.InDelta(t, 360, held(1), 40)
}

// What is not at hand or out of reach cannot be taken, and the kit says so.
func TestWhatIsMissing(t *testing.T) {
	p := People{Missing: map[string]float64{"clamp": 1, Thermometer: 1}, Blocked: map[string]float64{"starter_feed_stud": 1, "crankshaft_bolt": 1}}
	m := at(t)
	m.By(p.Draw(rand.New(rand.NewPCG(1, 2))))
	assert.Equal(t, []string{"meter"}, m.person.Kit([]string{"meter", "clamp"}))
	assert.True(t, m.Lacks("clamp"))
	for _, id := range []string{"crank_current", "positive_drop", "hand_turn_feel"} {
		_, err := m.Take(reading(t, id))
		assert.ErrorIs(t, err, errCannot, id)
	}
	_, err := m.Take(reading(t, "earth_drop"))
	assert.NoError(t, err)
	a, err := m.Take(reading(t, "battery_temp"))
	require.NoError(t, err)
	assert.Equal(t, 8.0, a.OutBy)
	assert.InDelta(t, 20, a.Value, 8)
}

// Of two points in one place the one that is harder to reach is blocked whenever the
// other is.
func TestOnePlaceHidesTogether(t *testing.T) {
	p := People{Blocked: map[string]float64{"starter_case": 0.2, "starter_feed_stud": 0.5, "trigger_terminal": 0.5, "relay_feed": 0.5}}
	apart, stud, n := 0, 0, 2000
	for i := range n {
		x := p.Draw(rand.New(rand.NewPCG(3, uint64(i))))
		assert.False(t, x.blocked["starter_case"] && !x.blocked["starter_feed_stud"])
		assert.Equal(t, x.blocked["starter_feed_stud"], x.blocked["trigger_terminal"])
		if x.blocked["starter_feed_stud"] {
			stud++
		}
		if x.blocked["relay_feed"] != x.blocked["trigger_terminal"] {
			apart++
		}
	}
	assert.InDelta(t, n/2, stud, float64(n)/20)
	assert.Greater(t, apart, n/4)
}

// Whoever has no thermometer types today's air, whatever the night was.
func TestTodaysAirIsGuessed(t *testing.T) {
	p := vehicle.Standard("medium petrol")
	p.Celsius, p.Day, p.Charge.Celsius = 6, 12, -5
	v, err := vehicle.New(p)
	require.NoError(t, err)
	m := New(v, workshop, rand.New(rand.NewPCG(1, 1)), time.Time{}).By((&People{Missing: map[string]float64{Thermometer: 1}}).Draw(rand.New(rand.NewPCG(1, 2))))
	a, err := m.Take(reading(t, "battery_temp"))
	require.NoError(t, err)
	assert.InDelta(t, 6, a.Value, 7)
	assert.Greater(t, a.Value, 0.0)
}

// What people may lack is a word of a shipped tree, and what they may not reach a place of
// the vehicle.
func TestWhatIsMissingIsAWord(t *testing.T) {
	tools := []string{Thermometer}
	for _, tree := range shipped(t).Trees() {
		tools = append(tools, tree.Words.Equipment...)
	}
	for tool := range AsFound().Missing {
		assert.Contains(t, tools, tool)
	}
	for place := range AsFound().Blocked {
		assert.Contains(t, append(vehicle.Points(), vehicle.Things()...), place)
	}
	for slip := range AsFound().Slips {
		assert.Contains(t, Slips, slip)
	}
}

// Every answer that is taken for another is one of a shipped tree.
func TestAlikeAreWordsOfTheTrees(t *testing.T) {
	words := map[string][]string{}
	for _, tree := range shipped(t).Trees() {
		for _, r := range tree.Readings {
			words[r.ID] = r.Choices
		}
	}
	for _, a := range alike {
		for _, id := range a.readings {
			known, has := words[id]
			require.True(t, has, id)
			for _, answer := range a.answers {
				if len(known) > 0 {
					assert.Contains(t, known, answer, id)
				}
			}
		}
	}
}
