package vehicle

import (
	"math"
	"math/rand/v2"
)

// Range is one range of a meter's function, in base units.
type Range struct {
	UpTo       float64
	Percent    float64 // of the reading
	Digits     float64 // counts of the last digit
	Resolution float64
}

// MeterSpec is what a meter's data sheet says of one function.
type MeterSpec struct {
	Ranges []Range
	Window float64 // s over which the display averages; 0 means 0.3
	Peak   float64 // s that a lowest or highest hold takes in; 0 means 0.1
}

// Meter is one meter of such a make: its errors are fixed, not drawn for each
// reading, so a difference of two readings on one range cancels what is common.
type Meter struct {
	MeterSpec
	gain   float64 // in shares of the spec, -1 to 1
	offset float64
	rng    *rand.Rand
}

// One in eighty meters would lie outside its own data sheet by the plain law
// (2.5 standard deviations to the limit, a modelling choice); those are taken back
// to the limit, since a data sheet is a promise.
const sheetDeviations = 2.5

// Noise of the last digit, in counts. Source: modelling choice.
const digitNoise = 0.3

// NewMeter picks a meter of the make.
func NewMeter(spec MeterSpec, rng *rand.Rand) *Meter {
	pick := func() float64 {
		return math.Max(-1, math.Min(1, rng.NormFloat64()/sheetDeviations))
	}
	m := &Meter{MeterSpec: spec, gain: pick(), offset: pick(), rng: rng}
	if m.Window == 0 {
		m.Window = 0.3
	}
	if m.Peak == 0 {
		m.Peak = 0.1
	}
	return m
}

// Exact is a meter without any error, for tests and for looking behind the scenes.
func Exact() *Meter { return &Meter{MeterSpec: MeterSpec{Window: 0.3, Peak: 0.1}} }

// show gives what the display shows for a true value, and whether it is over the
// highest range.
func (m *Meter) show(x float64) (shown float64, over bool) {
	if len(m.Ranges) == 0 {
		return x, false
	}
	r := m.Ranges[len(m.Ranges)-1]
	for _, candidate := range m.Ranges {
		if math.Abs(x) <= candidate.UpTo {
			r = candidate
			break
		}
	}
	if math.Abs(x) > r.UpTo*1.1 {
		return 0, true
	}
	// A count of the digits is kept back for noise and rounding.
	counts := math.Max(0, r.Digits-1)*m.offset + digitNoise*m.rng.NormFloat64()
	y := x*(1+r.Percent/100*m.gain) + counts*r.Resolution
	return roundTo(y, r.Resolution), false
}

// roundTo rounds to a multiple, without the last places that make 12.55 print as
// 12.549999.
func roundTo(x, step float64) float64 {
	if step <= 0 {
		return x
	}
	n := math.Round(x / step)
	if inverse := math.Round(1 / step); inverse >= 1 && math.Abs(inverse*step-1) < 1e-9 {
		return n / inverse
	}
	return n * step
}
