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
	case u.tens:
		return moved(base, -u.shift, decimals)
	case decimals >= 0:
		return noMinusZero(u.fromBase(exact(base)).FloatString(decimals))
	}
	return shortest(base, u)
}

// moved prints v with its decimal point moved by shift places, rounded to
// decimals unless these are fewer than 0. Moving the point keeps the digits, so
// without rounding the shortest digits of v are the shortest of the result.
func moved(v float64, shift, decimals int) string {
	digits, exponent, _ := strings.Cut(strconv.FormatFloat(math.Abs(v), 'e', -1, 64), "e")
	digits = strings.Replace(digits, ".", "", 1)
	point, err := strconv.Atoi(exponent)
	if err != nil {
		panic("unit: moved a number that is not finite")
	}
	point += 1 + shift // digits before the decimal point, fewer than 0 for zeros after it
	if strings.Trim(digits, "0") == "" {
		digits, point = "", 1
	}
	if point < 0 {
		digits, point = strings.Repeat("0", -point)+digits, 0
	}
	if decimals >= 0 && len(digits) > point+decimals {
		up := digits[point+decimals] >= '5'
		digits = digits[:point+decimals]
		if up {
			if digits = increased(digits); len(digits) > point+decimals {
				point++
			}
		}
	}
	if short := point + max(decimals, 0) - len(digits); short > 0 {
		digits += strings.Repeat("0", short)
	}
	s := joined(digits[:point], digits[point:])
	if v < 0 {
		s = noMinusZero("-" + s)
	}
	return s
}

// increased adds one to the last of digits; it grows by a digit when all are 9.
func increased(digits string) string {
	nines := len(digits) - len(strings.TrimRight(digits, "9"))
	if nines == len(digits) {
		return "1" + strings.Repeat("0", nines)
	}
	last := len(digits) - nines - 1
	return digits[:last] + string(digits[last]+1) + strings.Repeat("0", nines)
}

// mostDecimals is enough to tell any two float64 apart in any unit: the
// smallest stands in the 324th decimal and has 17 digits.
const mostDecimals = 345

// shortest looks for the fewest decimals that read back as base.
func shortest(base float64, u *Unit) string {
	r := u.fromBase(exact(base))
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
