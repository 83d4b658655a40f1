package unit

import (
	"math"
	"math/big"
	"strconv"
	"strings"
)

// Format prints base, in the base unit of u's dimension, in u: "12.55 V",
// "-18 °C", "75 %", "0.002 V/A"; a plain number without a unit. There is never
// an exponent and never a "-0".
//
// With decimals of 0 or more there are that many, a half rounded away from
// zero. With fewer it is the shortest decimal from which [ParseQuantity] reads
// base again, bit for bit.
//
// An infinity, the open end of a range, prints as "∞"; NaN, which no reader
// gives, as "?".
func Format(base float64, u *Unit, decimals int) string {
	s := number(base, u, decimals)
	if u == plain {
		return s
	}
	return s + " " + u.Name
}

func number(base float64, u *Unit, decimals int) string {
	switch {
	case math.IsNaN(base):
		return "?"
	case math.IsInf(base, 1):
		return "∞"
	case math.IsInf(base, -1):
		return "-∞"
	case decimals >= 0:
		return noMinusZero(u.fromBase(exact(base)).FloatString(decimals))
	}
	return shortest(base, u)
}

// mostDecimals is enough to tell any two float64 apart in any unit: the
// smallest stands in the 324th decimal and has 17 digits.
const mostDecimals = 345

// shortest looks for the fewest decimals that read back as base.
func shortest(base float64, u *Unit) string {
	if s := strconv.FormatFloat(u.From(base), 'f', -1, 64); u.tens && u.baseOf(s) == base {
		return s // the point has only moved: no need to look
	}
	r := u.fromBase(new(big.Rat).SetFloat64(base))
	for decimals := 0; decimals < mostDecimals; decimals++ {
		if s := noMinusZero(r.FloatString(decimals)); u.baseOf(s) == base {
			return s
		}
	}
	panic("unit: a finite number has no decimal that reads back as it")
}

func noMinusZero(s string) string {
	if strings.HasPrefix(s, "-") && strings.Trim(s, "-0.") == "" {
		return s[1:]
	}
	return s
}

// joined writes a number from its digits before and after the point.
func joined(whole, fraction string) string {
	if whole == "" {
		whole = "0"
	}
	if fraction == "" {
		return whole
	}
	return whole + "." + fraction
}
