package unit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

var (
	volt       = Dim{Volt: 1}
	amp        = Dim{Amp: 1}
	point      = Dim{Kelvin: 1, Point: true}
	difference = Dim{Kelvin: 1}
)

func TestSum(t *testing.T) {
	for _, c := range []struct {
		a, b  Dim
		minus bool
		sum   Dim
		ok    bool
	}{
		{volt, volt, false, volt, true},
		{volt, volt, true, volt, true},
		{Dim{}, Dim{}, true, Dim{}, true},
		{volt, amp, false, Dim{}, false},
		{volt, Dim{}, true, Dim{}, false},
		{point, point, true, difference, true},
		{point, point, false, Dim{}, false},
		{point, difference, false, point, true},
		{point, difference, true, point, true},
		{difference, point, false, point, true},
		{difference, point, true, Dim{}, false},
		{difference, difference, false, difference, true},
		{difference, difference, true, difference, true},
		{point, volt, true, Dim{}, false},
		{volt, point, false, Dim{}, false},
		{point, Dim{}, false, Dim{}, false},
	} {
		sum, ok := Sum(c.a, c.b, c.minus)
		assert.Equal(t, c.ok, ok, "%v, %v, minus %v", c.a, c.b, c.minus)
		if c.ok {
			assert.Equal(t, c.sum, sum, "%v, %v, minus %v", c.a, c.b, c.minus)
		}
	}
}

// anyDim draws a dimension some unit has.
var anyDim = rapid.Custom(func(t *rapid.T) Dim { return anyUnit.Draw(t, "unit").Dim })

func TestSumsHangTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyDim.Draw(t, "a"), anyDim.Draw(t, "b")
		ab, ok := Sum(a, b, false)
		ba, ok2 := Sum(b, a, false)
		assert.Equal(t, ok, ok2, "a sum does not depend on the order")
		if ok && ok2 {
			assert.Equal(t, ab, ba)
		}
		if d, ok := Sum(a, b, true); ok {
			back, ok := Sum(d, b, false)
			assert.True(t, ok, "what was taken away can be added again")
			assert.Equal(t, a, back)
		}
	})
}

func TestMul(t *testing.T) {
	perAmp := Dim{Volt: 1, Amp: -1}
	assert.Equal(t, volt, perAmp.Mul(amp), "V/A * A is V")
	assert.Equal(t, volt, amp.Mul(perAmp))
	assert.Equal(t, volt, volt.Mul(Dim{}))
	assert.Equal(t, volt, Dim{Volt: 1, Kelvin: -1}.Mul(difference))
	assert.True(t, point.Mul(volt).Point, "a product with a point never passes for a plain one")
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := anyDim.Draw(t, "a"), anyDim.Draw(t, "b"), anyDim.Draw(t, "c")
		assert.Equal(t, a.Mul(b), b.Mul(a))
		assert.Equal(t, a.Mul(b).Mul(c), a.Mul(b.Mul(c)))
		assert.Equal(t, a, a.Mul(Dim{}))
	})
}

func TestDimString(t *testing.T) {
	for want, d := range map[string]Dim{
		"a voltage (V)":                    volt,
		"a current (A)":                    amp,
		"a resistance (V/A)":               {Volt: 1, Amp: -1},
		"a temperature (°C)":               point,
		"a difference of temperatures (K)": difference,
		"a time (s)":                       {Second: 1},
		"a plain number":                   {},
		"a capacity (Ah)":                  {Amp: 1, Second: 1},
		"a torque (N m)":                   {Newton: 1, Metre: 1},
		"V·A":                              {Volt: 1, Amp: 1},
		"V2/(A2·K)":                        {Volt: 2, Amp: -2, Kelvin: -1},
		"V2/A":                             {Volt: 2, Amp: -1},
		"1/s":                              {Second: -1},
		"rpm3":                             {Rev: 3},
	} {
		assert.Equal(t, want, d.String())
	}
}

// Every unit measures something a technician has a word for.
func TestEveryUnitsDimensionHasAWord(t *testing.T) {
	for _, u := range units {
		assert.Contains(t, measured, u.Dim, u.Name)
	}
}
