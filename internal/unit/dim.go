package unit

import (
	"strconv"
	"strings"
)

// Dim is the dimension of a quantity: the powers of the base units it is made
// of. Two quantities can be compared or set equal when their dimensions are
// equal by ==. The zero Dim is a plain number.
//
// Rev is the power of a speed of rotation (rev/min), a dimension of its own
// here, so that an engine's speed is never taken for a count per time.
//
// Point marks a temperature on a scale (°C, °F), as against a difference of
// temperatures (K). A Point is always one power of Kelvin and nothing else.
type Dim struct {
	Volt, Amp, Second, Kelvin, Metre, Newton, Rev int8
	Point                                         bool
}

// Mul is the dimension of a product. A temperature on a scale has none (twice
// 20 °C means nothing): the caller asks for Point first. The powers of anything
// with a meaning are far from the ends of an int8.
func (a Dim) Mul(b Dim) Dim {
	return Dim{
		Volt: a.Volt + b.Volt, Amp: a.Amp + b.Amp, Second: a.Second + b.Second,
		Kelvin: a.Kelvin + b.Kelvin, Metre: a.Metre + b.Metre,
		Newton: a.Newton + b.Newton, Rev: a.Rev + b.Rev,
		Point: a.Point || b.Point,
	}
}

// Sum is the dimension of a + b, or of a - b with minus; false when there is
// none. Equal dimensions add and subtract. Of temperatures on a scale:
//
//	point - point            a difference (K)
//	point ± difference       a point
//	difference + point       a point
//	point + point            means nothing
//	difference - point       means nothing
func Sum(a, b Dim, minus bool) (Dim, bool) {
	difference := Dim{Kelvin: 1}
	switch {
	case a.Point && b.Point:
		return difference, minus
	case a.Point:
		return a, b == difference
	case b.Point:
		return b, a == difference && !minus
	default:
		return a, a == b
	}
}

// measured names the dimensions a technician has a word for.
var measured = map[Dim]string{
	{}:                       "a plain number",
	{Volt: 1}:                "a voltage (V)",
	{Amp: 1}:                 "a current (A)",
	{Volt: 1, Amp: -1}:       "a resistance (V/A)",
	{Kelvin: 1, Point: true}: "a temperature (°C)",
	{Kelvin: 1}:              "a difference of temperatures (K)",
	{Second: 1}:              "a time (s)",
	{Amp: 1, Second: 1}:      "a capacity (Ah)",
	{Rev: 1}:                 "a speed of rotation (rpm)",
	{Metre: 1}:               "a length (m)",
	{Metre: 2}:               "an area (m2)",
	{Metre: 3, Second: -1}:   "a flow (m3/s)",
	{Newton: 1, Metre: 1}:    "a torque (N m)",
	{Volt: 1, Kelvin: -1}:    "a voltage per kelvin (V/K)",
}

// String says in words what is measured, with an article, fit for a message:
// "a voltage (V)". A dimension without a usual word is written as its product:
// "V·A", "V/(A·K)".
func (a Dim) String() string {
	if s, ok := measured[a]; ok {
		return s
	}
	var over, under []string
	for _, f := range []struct {
		symbol string
		power  int8
	}{
		{"V", a.Volt}, {"A", a.Amp}, {"s", a.Second}, {"K", a.Kelvin},
		{"m", a.Metre}, {"N", a.Newton}, {"rpm", a.Rev},
	} {
		switch {
		case f.power > 0:
			over = append(over, power(f.symbol, int(f.power)))
		case f.power < 0:
			under = append(under, power(f.symbol, -int(f.power)))
		}
	}
	s := strings.Join(over, "·")
	if s == "" {
		s = "1"
	}
	switch len(under) {
	case 0:
		return s
	case 1:
		return s + "/" + under[0]
	default:
		return s + "/(" + strings.Join(under, "·") + ")"
	}
}

func power(symbol string, n int) string {
	if n == 1 {
		return symbol
	}
	return symbol + strconv.Itoa(n)
}
