package drill

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// made is a reckoning on numbers of our own: vehicles with a part and a weight, and
// tests with minutes and what each shows on each vehicle.
func made(parts []int, weights []float64, minutes []float64, cells [][]int) *reckoning {
	r := &reckoning{known: map[string]choice{}}
	for i := range parts {
		r.vehicles = append(r.vehicles, simulated{parts[i], weights[i]})
	}
	for i := range slices.Max(parts) + 1 {
		r.findings = append(r.findings, fmt.Sprint("finding ", i))
	}
	for i := range minutes {
		r.tests = append(r.tests, &candidate{test: &test{line: fmt.Sprint("test ", i), minutes: minutes[i]}, cells: cells[i]})
	}
	return r
}

// Four faults, each with a test that shows it and nothing else. The last needs no
// test: it is what is left. By hand, in the order of share over minutes:
// 1 + 0.65 x 2 + 0.35 x 4 = 3.7 minutes.
func TestBestOrderByHand(t *testing.T) {
	r := made([]int{0, 1, 2, 3}, []float64{0.35, 0.30, 0.15, 0.20}, []float64{1, 2, 4, 6},
		[][]int{{1, 0, 0, 0}, {0, 1, 0, 0}, {0, 0, 1, 0}, {0, 0, 0, 1}})
	c := r.best(r.all())
	assert.Equal(t, 0, c.test)
	assert.InDelta(t, 3.7, c.minutes, 1e-9)
	assert.False(t, r.lookAhead)
	assert.InDelta(t, 2+0.70*1+0.35*4, r.cost(r.all(), r.tests[1]), 1e-9, "the second test first")
}

// every works the same out by trying all orders, the slow way.
func every(r *reckoning, set []int, used int) float64 {
	if over, _ := r.over(set); over {
		return 0
	}
	best := math.Inf(1)
	for i, x := range r.tests {
		s := split(set, x.cells)
		if used&(1<<i) != 0 || r.gain(r.entropy(set), set, s) < parted {
			continue
		}
		minutes := x.minutes
		for _, p := range s {
			minutes += r.weight(p) / r.weight(set) * every(r, p, used|1<<i)
		}
		best = math.Min(best, minutes)
	}
	if math.IsInf(best, 1) {
		return 0
	}
	return best
}

func TestExactAgreesWithEveryOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 60 {
		n, tests := 4+rng.IntN(6), 2+rng.IntN(4)
		parts, weights := make([]int, n), make([]float64, n)
		for i := range n {
			parts[i], weights[i] = rng.IntN(fewFindings), 0.1+rng.Float64()
		}
		minutes, cells := make([]float64, tests), make([][]int, tests)
		for i := range tests {
			minutes[i] = 1 + float64(rng.IntN(9))
			for range n {
				cells[i] = append(cells[i], rng.IntN(3))
			}
		}
		r := made(parts, weights, minutes, cells)
		want := every(r, r.all(), 0)
		assert.InDelta(t, want, r.best(r.all()).minutes, 1e-9)
		assert.False(t, r.lookAhead)
		assert.GreaterOrEqual(t, r.ahead(r.all(), nil).minutes, want-1e-9, "looking one step ahead is never better")
	}
}

// More parts than can be worked out exactly are looked at one step ahead, and that is
// said.
func TestLookAheadIsSaid(t *testing.T) {
	n := fewFindings + 4
	parts, weights := make([]int, n), make([]float64, n)
	var cells [][]int
	var minutes []float64
	for i := range n {
		parts[i], weights[i] = i, 1
		one := make([]int, n)
		one[i] = 1
		cells, minutes = append(cells, one), append(minutes, 1)
	}
	r := made(parts, weights, minutes, cells)
	assert.Contains(t, r.how(), "exactly")
	r.best(r.all())
	assert.True(t, r.lookAhead)
	assert.Contains(t, r.how(), "looking one test ahead")
}

func TestScore(t *testing.T) {
	assert.Equal(t, 100, score(nil))
	assert.Equal(t, 100, score([]regret{{minutes: 0, any: 5}}))
	assert.Equal(t, 50, score([]regret{{minutes: 2, any: 5}, {minutes: 3, any: 5}}))
	assert.Equal(t, 0, score([]regret{{minutes: 50, any: 5}}))
}

// A good way scores better than an aimless one on the same vehicle, and the aimless
// one is told what would have told more.
func TestGoodWayScoresBetter(t *testing.T) {
	t.Parallel()
	looks := []string{"look battery_case", "look battery_inside", "look vehicle"}
	run := func(lines ...string) (*Drill, int) {
		d := with(t, "engine_strap_high_resistance")
		for _, l := range append(slices.Clone(looks), lines...) {
			do(t, d, l)
		}
		do(t, d, "find engine_strap")
		return d, score(d.regrets(d.newReckoning()))
	}
	_, good := run("measure + - cranking", "measure engine_block body cranking")
	aimless, bad := run("look fuse_box", "look meter", "measure starter_feed_stud starter_motor_stud", "measure body body", "look crankshaft_bolt", "measure trigger_terminal body", "measure + - cranking", "measure engine_block body cranking")
	assert.Greater(t, good, bad)
	says := aimless.Debrief()
	assert.Contains(t, says, "minutes longer than the best")
	assert.Contains(t, says, "better: ")
	assert.NotContains(t, says, "look battery_case: reckoned", "safety looks never count against anybody")
}

// The best order proves as much as is asked of the apprentice: whoever types it is
// scored, and well.
func TestBestOrderIsGoodEnough(t *testing.T) {
	t.Parallel()
	for _, seed := range []uint64{4, 13} {
		d := begin(t, oneFault, "", seed)
		for _, l := range append([]string{"look battery_case", "look battery_inside", "look vehicle", "neutral"}, bestOrder(d)...) {
			do(t, d, l)
		}
		do(t, d, "find "+d.Hidden[0])
		assert.True(t, d.proved(), "seed %d: %v", seed, d.others())
		assert.GreaterOrEqual(t, score(d.regrets(d.newReckoning())), 90, "seed %d", seed)
	}
	d := begin(t, oneFault, "", 7)
	do(t, d, "wait 30")
	do(t, d, "neutral")
	says := d.Debrief()
	assert.Contains(t, says, "You: 31 minutes (30 of them on the charger or waiting), no test.")
	assert.Regexp(t, `The tree: \d+ minutes( \(\d+ of them on the charger or waiting\))?, \d+ steps`, says)
	assert.Contains(t, says, "what these tests leave for a load test, a charge or a repair to tell apart: discharged battery, worn-out battery")
}

func bestOrder(d *Drill) []string {
	var s Section
	d.bestWay(&s, d.newReckoning())
	return s.Lines[0].Under
}

// What has been measured is not named as what would have told more.
func TestNothingIsNamedTwice(t *testing.T) {
	t.Parallel()
	lines := []string{"measure battery_positive_post battery_negative_post cranking", "crank", "clamp battery_negative_lead cranking", "measure starter_case battery_negative_post cranking", "measure battery_positive_post starter_feed_stud cranking"}
	for seed := uint64(1); seed < 9; seed++ {
		d := begin(t, clocked, "", seed)
		for _, l := range append([]string{"look battery_case", "look battery_inside", "neutral"}, lines...) {
			do(t, d, l)
		}
		done := map[string]bool{}
		for _, x := range d.regrets(d.newReckoning()) {
			assert.False(t, done[x.better], "seed %d, beside %s: %s", seed, d.Acts[x.act].line, x.better)
			done[d.Acts[x.act].line] = true
		}
	}
}

// The reckoning stands on the same simulated vehicles each time, and its tests are
// those that the tree names.
func TestReckoningIsTheSameEachTime(t *testing.T) {
	d := begin(t, oneFault, "cables", 5)
	a, b := d.newReckoning(), d.newReckoning()
	require.Equal(t, len(a.vehicles), len(d.openVehicles()))
	assert.Equal(t, a.best(a.all()), b.best(b.all()))
	for i := range a.tests {
		assert.Equal(t, a.tests[i].cells, b.tests[i].cells, a.tests[i].line)
	}
	var lines []string
	for _, x := range a.tests {
		lines = append(lines, x.line)
	}
	assert.Contains(t, lines, "measure starter_case battery_negative_post cranking")
	assert.Contains(t, lines, "crank")
}

// all is the set of all vehicles.
func (r *reckoning) all() []int {
	set := make([]int, len(r.vehicles))
	for i := range set {
		set[i] = i
	}
	return set
}
