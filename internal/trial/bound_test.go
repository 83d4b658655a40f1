package trial

import (
	"bytes"
	"context"
	"encoding/json"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// examples are rows of readings of two labels: one reading that tells them apart where
// told is true, and others that tell nothing.
func examples(n int, told bool, seed uint64) (rows [][]float32, labels []int32) {
	rng := rand.New(rand.NewPCG(seed, 7))
	for i := range n {
		l := int32(i % 2)
		row := make([]float32, 6)
		for k := range row {
			row[k] = float32(rng.NormFloat64())
		}
		if told {
			row[3] += 100 * float32(l)
		}
		rows, labels = append(rows, row), append(labels, l)
	}
	return rows, labels
}

// hits counts how many of other examples are called right.
func hits(c *cells, told bool) (right int) {
	rows, labels := examples(1000, told, 2)
	for i, row := range rows {
		if decide(c.likely(row), [][]int32{{0}, {1}})[0] == labels[i] {
			right++
		}
	}
	return right
}

// Readings that tell two faults apart are always right; readings that do not are right
// by chance.
func TestCellsTellApartWhatCanBeToldApart(t *testing.T) {
	for told, want := range map[bool]float64{true: 1000, false: 500} {
		rows, labels := examples(1000, told, 1)
		c := cutUp(t.Context(), rows, labels, 2, 1, 2)
		s := share(hits(c, told), 1000)
		assert.LessOrEqual(t, s.Low, want/1000)
		assert.GreaterOrEqual(t, s.High, want/1000)
		if told {
			assert.Equal(t, 1000, s.Count)
		}
	}
}

// Examples that read all alike are one cell, and how common each label is in it is its
// likelihood.
func TestCellsOfWhatReadsAlike(t *testing.T) {
	rows, labels := make([][]float32, 100), make([]int32, 100)
	for i := range rows {
		rows[i] = []float32{12.5, notGiven}
		if i < 25 {
			labels[i] = 1
		}
	}
	likely := cutUp(t.Context(), rows, labels, 3, 1, 1).likely(rows[0])
	assert.InDeltaSlice(t, []float64{0.75, 0.25, 0}, likely, 1e-6)
}

// Where there are no readings, or the work was broken off, nothing is cut.
func TestNothingIsCut(t *testing.T) {
	rows, labels := examples(100, true, 1)
	ended, end := context.WithCancel(t.Context())
	end()
	for _, c := range []*cells{cutUp(t.Context(), make([][]float32, 100), labels, 2, 1, 1), cutUp(ended, rows, labels, 2, 1, 1)} {
		assert.Len(t, c.cuttings[0], 1)
		assert.InDeltaSlice(t, []float64{0.5, 0.5}, c.likely(nil), 1e-6)
	}
}

// What is likely sums to one, and the cells depend on the seed alone.
func TestLikelySumsToOne(t *testing.T) {
	rows, labels := examples(301, true, 3)
	c := cutUp(t.Context(), rows, labels, 2, 9, 3)
	for _, row := range rows {
		sum := 0.0
		for _, p := range c.likely(row) {
			sum += p
		}
		assert.InDelta(t, 1, sum, 1e-6)
	}
	assert.Equal(t, c.cuttings, cutUp(t.Context(), rows, labels, 2, 9, 1).cuttings, "whatever the number of workers")
	assert.NotEqual(t, c.cuttings, cutUp(t.Context(), rows, labels, 2, 10, 1).cuttings)
}

// Of what one finding names together, the whole counts.
func TestDecideTakesWhatAFindingNamesTogether(t *testing.T) {
	likely := []float64{0.4, 0.3, 0.3}
	assert.Equal(t, call{0}, decide(likely, [][]int32{{0}, {1}, {2}}))
	assert.Equal(t, call{1, 2}, decide(likely, [][]int32{{0}, {1}, {2}, {1, 2}}))
}

func bounded(t testing.TB, vehicles, learn int) Options {
	o := options(t, vehicles)
	o.Library, o.Learn = shipped(t), learn
	return o
}

// Two faults that the readings tell apart are told apart, the number of workers does
// not show, and every form shows the bound.
func TestBound(t *testing.T) {
	o := bounded(t, 150, 300)
	o.Population = Bench()
	o.Population.Weights = map[string]float64{"battery_shorted_cell": 1, "start_fuse_blown": 1}
	o.Population.TwoFaults, o.Population.Healthy = 0, 0
	r := run(t, o)
	assert.Equal(t, 150, r.Bound.Right.Count)
	assert.Equal(t, 150, r.Bound.Right.Of)
	assert.Equal(t, share(r.One.Right, r.One.Of), r.Bound.Tree)
	assert.Equal(t, 150, r.Bound.Repair.Right.Count)
	assert.Equal(t, r.One.Right+r.One.SameRepair, r.Bound.Repair.Tree.Count)
	assert.Equal(t, []Pair{}, r.Bound.Alike, "a list in JSON, too")

	o.Workers = 1
	first, err := json.Marshal(r)
	require.NoError(t, err)
	again, err := json.Marshal(run(t, o))
	require.NoError(t, err)
	assert.JSONEq(t, string(first), string(again))

	var text, page bytes.Buffer
	require.NoError(t, r.Text(&text))
	require.NoError(t, r.HTML(&page))
	for _, form := range []string{text.String(), page.String()} {
		assert.Contains(t, strings.Join(strings.Fields(form), " "), boundLimits)
	}

	o.Learn = 100
	text.Reset()
	require.NoError(t, run(t, o).Text(&text))
	assert.Contains(t, strings.Join(strings.Fields(text.String()), " "), "100 vehicles with at most one fault are called by what is likeliest among 100 simulated ones", "no more are called than were learnt from")
}

// What is taken for something else is booked by the fault, and vehicles with nothing
// wrong, or with what is no fault, count as one kind.
func TestBoundNamesWhatCannotBeToldApart(t *testing.T) {
	b := &Bound{}
	var tried []*Case
	var calls []call
	for i := range 100 {
		tried = append(tried, &Case{Faults: []string{"belt_slips"}, Outcome: Missed})
		calls = append(calls, call{label([]string{"belt_slips"})})
		if i < 30 {
			calls[i] = call{label([]string{"alternator_no_field"})}
		}
	}
	tried = append(tried, &Case{Outcome: Right}, &Case{Faults: []string{"smart_charging"}, Outcome: Right})
	calls = append(calls, call{label(nil)}, call{label(nil)})
	b.sum(tried, calls)
	assert.Equal(t, share(72, 102), b.Right)
	assert.Equal(t, []Pair{{"belt_slips", "alternator_no_field", share(30, 100)}}, b.Alike)
	assert.Equal(t, "belt_slips from alternator_no_field: of every 100 vehicles with the first, 30 are taken for the second", b.Alike[0].Text())
	assert.Equal(t, []Both{{"charging", share(70, 100), share(0, 100)}, {"nothing wrong", share(2, 2), share(2, 2)}}, b.Families)
}

// What one finding names goes together, and for the right repair also what the same repair
// cures.
func TestNamedTogether(t *testing.T) {
	o := options(t, 1)
	together := func(same bool, a, b string) bool {
		return slices.ContainsFunc(o.namedTogether(same), func(set []int32) bool {
			return slices.Contains(set, label([]string{a})) && slices.Contains(set, label([]string{b}))
		})
	}
	assert.True(t, together(false, "battery_worn_out", "battery_sulphated"))
	assert.False(t, together(false, "starter_drive_slips", "solenoid_contact_burnt"))
	assert.True(t, together(true, "starter_drive_slips", "solenoid_contact_burnt"))
	assert.True(t, together(true, "battery_discharged", "user_left_on"))
	assert.False(t, together(true, "engine_stiff", "starter_brushes_worn"))
}

// The vehicles that are learnt from are none of those that are tried.
func TestLearntFromOthers(t *testing.T) {
	o := bounded(t, 1, 1)
	a, _ := o.job(o.Seed)
	b, _ := o.job(o.Seed + apartFromTried)
	assert.NotEqual(t, a.Vehicle.Params(), b.Vehicle.Params())
}
