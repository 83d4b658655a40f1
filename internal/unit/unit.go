// Package unit holds quantities: a number, its unit and its dimension, read
// from text and printed again.
//
// It knows two readers. [ParseQuantity] is strict and reads what an author
// wrote in a tree file. [ParseTyped] and [ScanTyped] are lenient and read what
// a person at the bonnet typed or dictated. A [Range] is a quantity that is not
// known exactly, a [Table] one that is looked up by another. It knows nothing of
// readings, limits, spans or meters, and it imports nothing of this program; any
// other package may import it.
//
// What always holds: a number inside the program is a float64 in the base unit
// of its dimension (V, A, s, K, m, N, rev/min; a temperature on a scale in °C;
// a share or a count as a plain number), and it is the float64 nearest to the
// exact decimal that was written: 12550 mV and 12.55 V are the same number.
// A printed quantity parses back.
package unit

import (
	"math"
	"math/big"
	"strconv"
	"strings"
)

// Unit is one unit the program reads and prints. Units live for as long as the
// program and are compared by pointer.
type Unit struct {
	Name string // as printed: "V", "mV", "°C", "V/A"; "1" for a plain number
	Dim  Dim

	factor, offset *big.Rat // base = value*factor + offset
	tens           bool     // factor is a power of ten and offset is zero
	shift          int      // that power
	symbols, words []string // other spellings; see row
}

// Lookup finds a unit by its printed name or one of its other spellings
// ("volts", "degC", "mohm"), exactly as spelled, case included.
func Lookup(name string) (*Unit, bool) {
	u, ok := spelled[name]
	return u, ok
}

// Must is the unit of that name, which the program itself names.
func Must(name string) *Unit {
	u, ok := Lookup(name)
	if !ok {
		panic("unit: there is no unit " + name)
	}
	return u
}

// Names lists the printed names of all units, in the order of the table.
func Names() []string {
	names := make([]string, len(units))
	for i, u := range units {
		names[i] = u.Name
	}
	return names
}

// Base converts v, in u, to the base unit of u's dimension. v is taken as the
// shortest decimal that reads back as v, and the result is the float64 nearest
// to the exact conversion of that decimal. A conversion that does not fit gives
// an infinity; NaN and infinities stay what they are.
func (u *Unit) Base(v float64) float64 {
	if !finite(v) {
		return v
	}
	if u.tens {
		return scaled(v, u.shift)
	}
	return nearest(u.toBase(exact(v)))
}

// From converts base, in the base unit of u's dimension, to u, in the same way
// as Base.
func (u *Unit) From(base float64) float64 {
	if !finite(base) {
		return base
	}
	if u.tens {
		return scaled(base, -u.shift)
	}
	return nearest(u.fromBase(exact(base)))
}

func (u *Unit) toBase(v *big.Rat) *big.Rat {
	r := new(big.Rat).Mul(v, u.factor)
	return r.Add(r, u.offset)
}

func (u *Unit) fromBase(b *big.Rat) *big.Rat {
	r := new(big.Rat).Sub(b, u.offset)
	return r.Quo(r, u.factor)
}

// Exact is a number as written (an optional "-", digits, an optional point and
// digits), in u, as an exact number of base units; nil if it is written otherwise.
func (u *Unit) Exact(number string) *big.Rat {
	r, ok := new(big.Rat).SetString(number)
	if !ok {
		return nil
	}
	return u.toBase(r)
}

// baseOf converts a number as written without a float64 in between.
func (u *Unit) baseOf(number string) float64 {
	if u.tens {
		return float(number + "e" + strconv.Itoa(u.shift))
	}
	r, ok := new(big.Rat).SetString(number)
	if !ok {
		return math.NaN()
	}
	return nearest(u.toBase(r))
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// exact is the shortest decimal that reads back as v, as a fraction.
func exact(v float64) *big.Rat {
	r, ok := new(big.Rat).SetString(strconv.FormatFloat(v, 'g', -1, 64))
	if !ok {
		panic("unit: exact of a number that is not finite")
	}
	return r
}

// nearest is the float64 nearest to r, an infinity when r does not fit. It is
// never negative zero.
func nearest(r *big.Rat) float64 {
	f, _ := r.Float64()
	return f + 0
}

// scaled moves the decimal point of v by n places, exactly.
func scaled(v float64, n int) float64 {
	if n == 0 || v == 0 {
		return v + 0
	}
	digits, exp, _ := strings.Cut(strconv.FormatFloat(v, 'e', -1, 64), "e")
	e, err := strconv.Atoi(exp)
	if err != nil {
		panic("unit: scaled of a number that is not finite")
	}
	return float(digits + "e" + strconv.Itoa(e+n))
}

// float reads a decimal; one that is too large gives an infinity. It is never
// negative zero.
func float(s string) float64 {
	f, err := strconv.ParseFloat(s, 64)
	if err != nil && !math.IsInf(f, 0) {
		return math.NaN()
	}
	return f + 0
}
