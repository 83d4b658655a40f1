package unit

import (
	"math"
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
	case base == 0 && decimals < 0 && u.offset.Sign() == 0:
		return "0"
	case decimals < 0 && u == plain:
		return strconv.FormatFloat(base, 'f', -1, 64)
	case decimals < 0:
		return shortest(base, u)
	}
	return noMinusZero(u.fromBase(exact(base)).FloatString(decimals))
}

// mostDecimals is enough to tell any two float64 apart in any unit: the
// smallest stands in the 324th decimal and has 17 digits.
const mostDecimals = 345

// shortest looks for the fewest decimals that read back as base. Moving the
// point keeps the digits, so for a power of ten the digits of base itself are
// the shortest; elsewhere every length is tried.
func shortest(base float64, u *Unit) string {
	r := u.fromBase(exact(base))
	if u.tens {
		return trimmed(r.FloatString(mostDecimals))
	}
	for decimals := 0; decimals < mostDecimals; decimals++ {
		if s := noMinusZero(r.FloatString(decimals)); u.baseOf(s) == base {
			return s
		}
	}
	return trimmed(r.FloatString(mostDecimals))
}

func trimmed(s string) string {
	return noMinusZero(strings.TrimSuffix(strings.TrimRight(s, "0"), "."))
}

func noMinusZero(s string) string {
	if strings.HasPrefix(s, "-") && strings.Trim(s, "-0.") == "" {
		return s[1:]
	}
	return s
}
