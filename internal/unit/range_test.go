package unit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestBelow(t *testing.T) {
	for _, c := range []struct {
		a, b Range
		want Verdict
	}{
		{Exactly(1), Exactly(2), Yes},
		{Exactly(2), Exactly(1), No},
		{Exactly(2), Exactly(2), No},
		{Around(2, 0.1), Exactly(2.05), Open},
		{Around(2, 0.1), Around(2.3, 0.1), Yes},
		{Around(2, 0.1), Around(2.2, 0.125), Open},
		{Around(2.2, 0.1), Between(1.9, 2.1), No},
	} {
		assert.Equal(t, c.want, c.a.Below(c.b), "%v below %v", c.a, c.b)
	}
}

// Over takes its extremes at the corners also where the way of one argument
// depends on another: x*y through zero.
func TestOverFindsTheExtremes(t *testing.T) {
	product := func(x []float64) float64 { return x[0] * x[1] }
	assert.Equal(t, Range{-6, 1, 6}, Over(product, Range{-2, 1, 3}, Range{-2, 1, 2}))
	rapid.Check(t, func(t *rapid.T) {
		any := func(name string) Range {
			a, b := rapid.Float64Range(-9, 9).Draw(t, name), rapid.Float64Range(0, 5).Draw(t, name+" by")
			return Around(a, b)
		}
		in := []Range{any("x"), any("y"), any("z")}
		f := func(x []float64) float64 { return x[0]*x[1] - x[1]*x[2] + x[0] }
		out := Over(f, in...)
		var point []float64
		for _, r := range in {
			point = append(point, rapid.Float64Range(r.Lo, r.Hi).Draw(t, "point"))
		}
		require.True(t, out.Lo-1e-9 <= f(point) && f(point) <= out.Hi+1e-9)
	})
}

func TestArithmeticOfRanges(t *testing.T) {
	a, b := Range{1, 2, 4}, Range{10, 20, 30}
	assert.Equal(t, Range{11, 22, 34}, a.Plus(b))
	assert.Equal(t, Range{6, 18, 29}, b.Minus(a))
	assert.Equal(t, Range{0.5, 1, 2}, a.Times(0.5))
	assert.Equal(t, Range{1, 2, 3}, a.Clamp(0, 3))
	assert.Equal(t, Range{1, 2, 30}, a.Hull(b))
	assert.Equal(t, Range{-4, -2, -1}, a.Map(func(x float64) float64 { return -x }))
}

func TestTableLookup(t *testing.T) {
	table := Points([][2]float64{{0, 10}, {2, 20}, {4, 30}})
	for x, want := range map[float64]float64{-5: 10, 0: 10, 1: 15, 2: 20, 3: 25, 4: 30, 9: 30} {
		assert.Equal(t, want, table.At(x))
	}
	assert.Equal(t, 3.0, table.Inverse().At(25))
	assert.Equal(t, Range{10, 15, 25}, table.Over(Range{-1, 1, 3}))
	peak := Points([][2]float64{{0, 10}, {2, 20}, {4, 0}})
	assert.Equal(t, Range{5, 10, 20}, peak.Over(Range{1, 3, 3.5}), "a point between the ends is seen")
	assert.Equal(t, 10.0, peak.Steepest())
}
