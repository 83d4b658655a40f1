package tests

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/unit"
)

// The examples of the guides to uncertainty (JCGM 100, the GUM, and JCGM 106),
// for what our arithmetic of doubt claims: a result's range is the worst case
// over the ranges put in, whatever correlation there is between them, and a limit
// is called kept or broken only when the whole range is on one side of it. We
// claim no probability, no coverage factor and no degrees of freedom, so those
// columns of the examples are not compared.

// H.1, calibration of a gauge block, in nm and °C. Source: JCGM 100:2008, H.1;
// inputs from memory, of which those of d were seen in one text; the combined
// uncertainty is recomputed below.
func TestGaugeBlockOfJCGM100(t *testing.T) {
	const published, uc = 50_000_838.0, 32.0 // nm
	length := func(x []float64) float64 {
		ls, d, deltaAlpha, theta, alpha, deltaTheta := x[0], x[1], x[2], x[3], x[4], x[5]
		return ls + d - ls*(deltaAlpha*theta+alpha*deltaTheta)
	}
	in := []unit.Range{
		unit.Around(50_000_623, 25), unit.Around(215, 9.7), unit.Around(0, 0.58e-6),
		unit.Exactly(-0.1), unit.Exactly(11.5e-6), unit.Around(0, 0.029),
	}
	got := unit.Over(length, in...)
	assert.InDelta(t, published, got.Best, 0.5)
	assert.LessOrEqual(t, got.Lo, published-uc)
	assert.GreaterOrEqual(t, got.Hi, published+uc)

	// d is the sum of three parts: its 9.7 nm is the root of their squares, ours
	// the plain sum.
	parts := unit.Over(func(x []float64) float64 { return x[0] + x[1] + x[2] }, unit.Around(215, 5.8), unit.Around(0, 3.9), unit.Around(0, 6.7))
	assert.InDelta(t, 9.7, math.Sqrt(5.8*5.8+3.9*3.9+6.7*6.7), 0.05)
	assert.InDelta(t, 16.4, (parts.Hi-parts.Lo)/2, 1e-9)

	var theirs [][2]float64
	askUncertainties(t, []question{{"ls+d-ls*(da*th+al*dt)", map[string][2]float64{
		"ls": {50_000_623, 25}, "d": {215, 9.7}, "da": {0, 0.58e-6}, "th": {-0.1, 0}, "al": {11.5e-6, 0}, "dt": {0, 0.029},
	}}}, &theirs)
	assert.InDelta(t, uc, theirs[0][1], 0.5, "the published combined uncertainty")
	share := compareDoubt(t, "gauge block", got, theirs[0], 4)
	t.Logf("gauge block: root-sum-square is %.0f %% of our worst case", 100*share)
}

// H.2, resistance and reactance measured at one time: five sets of V (V), I (mA)
// and phase (rad), whose means are strongly correlated. Source: JCGM 100:2008,
// Table H.2, from memory; it recomputes to what is printed.
func TestCorrelatedReadingsOfJCGM100(t *testing.T) {
	type together struct {
		Rows     [][3]float64 `json:"rows"`
		Order    []string     `json:"order"`
		Formulas []string     `json:"formulas"`
	}
	var theirs []struct {
		Inputs, Outputs [][2]float64
		Correlations    [][]float64
	}
	askUncertainties(t, []together{{
		Rows: [][3]float64{
			{5.007, 19.663e-3, 1.0456}, {4.994, 19.639e-3, 1.0438}, {5.005, 19.640e-3, 1.0468}, {4.990, 19.685e-3, 1.0428}, {4.999, 19.678e-3, 1.0433},
		},
		Order:    []string{"v", "i", "phi"},
		Formulas: []string{"v/i*cos(phi)", "v/i*sin(phi)", "v/i"},
	}}, &theirs)
	require.Len(t, theirs, 1)
	printed := []struct{ value, u, last float64 }{{4.9990, 0.0032, 5e-5}, {19.6610e-3, 0.0095e-3, 5e-8}, {1.04446, 0.00075, 5e-6}}
	var in []unit.Range
	for i, p := range printed {
		got := theirs[0].Inputs[i]
		assert.InDelta(t, p.value, got[0], p.last)
		assert.InDelta(t, p.u, got[1], p.last)
		in = append(in, unit.Around(got[0], got[1]))
	}
	for i, f := range []func(x []float64) float64{
		func(x []float64) float64 { return x[0] / x[1] * math.Cos(x[2]) },
		func(x []float64) float64 { return x[0] / x[1] * math.Sin(x[2]) },
		func(x []float64) float64 { return x[0] / x[1] },
	} {
		want := []struct{ value, u float64 }{{127.732, 0.071}, {219.847, 0.295}, {254.260, 0.236}}[i]
		theirs := theirs[0].Outputs[i]
		assert.InDelta(t, want.value, theirs[0], 0.0005)
		// The guide prints 0.295 for what its own data give as 0.2956.
		assert.InDelta(t, want.u, theirs[1], 0.001)
		ours := unit.Over(f, in...)
		assert.InDelta(t, want.value, ours.Best, 0.0005)
		assert.LessOrEqual(t, ours.Lo, want.value-want.u, "correlation cannot carry it out of the worst case")
		assert.GreaterOrEqual(t, ours.Hi, want.value+want.u)
		t.Logf("JCGM 100 H.2, output %d: the published uncertainty is %.0f %% of our worst case", i+1, 100*want.u/((ours.Hi-ours.Lo)/2))
	}
	for _, c := range []struct {
		a, b int
		r    float64
	}{{0, 1, -0.588}, {0, 2, -0.485}, {1, 2, 0.993}} {
		assert.InDelta(t, c.r, theirs[0].Correlations[c.a][c.b], 0.0005)
	}
}

// probability is that of a normal quantity being less than z standard
// uncertainties above its best estimate.
func probability(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// Table 1 of JCGM 106: a one-sided limit is kept with probability p when the
// best estimate is z standard uncertainties inside it. Source: JCGM 106:2012,
// 7.3; title of the table seen, values are normal quantiles. With a doubt of z·u
// we call the limit kept from exactly there on.
func TestConformityTableOfJCGM106(t *testing.T) {
	const limit, u = 12.4, 0.02
	for p, z := range map[float64]float64{0.80: 0.84, 0.90: 1.28, 0.95: 1.64, 0.99: 2.33, 0.999: 3.09} {
		assert.InDelta(t, p, probability(z), 0.002, "z %v", z)
		inside, outside := limit-1.001*z*u, limit-0.999*z*u
		assert.Equal(t, unit.Yes, unit.Around(inside, z*u).Below(unit.Exactly(limit)), "z %v", z)
		assert.Equal(t, unit.Open, unit.Around(outside, z*u).Below(unit.Exactly(limit)), "z %v", z)
	}
}

// Worked examples of JCGM 106, from memory; each probability is recomputed. The
// verdict with a doubt of k·u is firm exactly where the probability is above that
// of k.
func TestConformityExamplesOfJCGM106(t *testing.T) {
	t.Run("upper limit: breakdown voltage of a Zener diode", func(t *testing.T) {
		const limit, y, u = -5.40, -5.47, 0.05
		assert.InDelta(t, 0.92, probability((limit-y)/u), 0.005)
		assert.Equal(t, unit.Yes, unit.Around(y, 1.28*u).Below(unit.Exactly(limit)), "at 90 %%")
		assert.Equal(t, unit.Open, unit.Around(y, 1.64*u).Below(unit.Exactly(limit)), "at 95 %%")
	})
	t.Run("lower limit: bursting pressure of a container", func(t *testing.T) {
		const limit, y, u = 490, 507, 8.0
		assert.InDelta(t, 0.98, probability((y-limit)/u), 0.005)
		assert.Equal(t, unit.Yes, unit.Exactly(limit).Below(unit.Around(y, 1.64*u)), "at 95 %%")
		assert.Equal(t, unit.Open, unit.Exactly(limit).Below(unit.Around(y, 2.33*u)), "at 99 %%")
	})
	t.Run("guarded rejection: speed over 100 km/h at 99.9 %", func(t *testing.T) {
		const limit, relative, k = 100, 0.02, 3.09
		over := func(y float64) unit.Verdict { return unit.Exactly(limit).Below(unit.Around(y, k*relative*y)) }
		assert.Equal(t, unit.Open, over(106))
		assert.Equal(t, unit.Yes, over(107))
	})
}
