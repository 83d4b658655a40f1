package unit

import (
	"math"
	"math/big"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestParseQuantity(t *testing.T) {
	for _, c := range []struct {
		text string
		base float64
		unit string
	}{
		{"12.4 V", 12.4, "V"}, {"12.4V", 12.4, "V"}, {"0.002 V/A", 0.002, "V/A"}, {"2 mΩ", 0.002, "mΩ"},
		{"-18 °C", -18, "°C"}, {"68 °F", 20, "°F"}, {"3 K", 3, "K"}, {"0", 0, "1"}, {"7", 7, "1"},
		{"-0.5", -0.5, "1"}, {"15 s", 15, "s"}, {"4 h", 14400, "h"}, {"75 %", 0.75, "%"}, {"75%", 0.75, "%"},
		{"40 N m", 40, "N m"}, {"12.4 volts", 12.4, "V"}, {"5 mohm", 0.005, "mΩ"}, {"18 m3/h", 0.005, "m3/h"},
		{"-0 V", 0, "V"}, {"0.10 A", 0.1, "A"},
	} {
		base, u, err := nearestQuantity(c.text)
		require.NoError(t, err, c.text)
		assert.Equal(t, c.base, base, c.text)
		assert.Equal(t, c.unit, u.Name, c.text)
		assert.False(t, base == 0 && math.Signbit(base), "%s gives a negative zero", c.text)
	}
}

func TestParseQuantityRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"":            `a quantity is missing; write a number and a unit, such as "12.4 V"`,
		"abc":         `"abc" does not begin with a number; write a number and a unit, such as "12.4 V"`,
		" 5":          `" 5" does not begin with a number; write a number and a unit, such as "12.4 V"`,
		"V":           `"V" does not begin with a number; write a number and a unit, such as "12.4 V"`,
		"NaN":         `"NaN" does not begin with a number; write a number and a unit, such as "12.4 V"`,
		"12,4 V":      `"12,4 V" has a comma in its number; write "12.4 V"`,
		"1.234.5 V":   `"1.234.5 V" has two decimal points; write one`,
		".5 V":        `".5 V" has no digit on one side of its decimal point; write one, such as "0.15" or "12.0"`,
		"5. V":        `"5. V" has no digit on one side of its decimal point; write one, such as "0.15" or "12.0"`,
		"007 V":       `"007 V" begins with a 0 too many; leave it out`,
		"+5 V":        `"+5 V" begins with "+"; leave it out`,
		"−5 V":        `"−5 V" begins with a long dash; write a plain "-" for minus`,
		"5 ":          `"5 " ends with a blank; leave it out`,
		"12.4  V":     `"12.4  V" has more blanks than one between number and unit or round them; write "12.4 V"`,
		"12.4\tV":     `"12.4 V" has more blanks than one between number and unit or round them; write "12.4 V"`,
		"12.4 V ":     `"12.4 V " has more blanks than one between number and unit or round them; write "12.4 V"`,
		"1e3 V":       `"1e3 V" is written with an exponent; write the number out in full`,
		"1E-3 V":      `"1E-3 V" is written with an exponent; write the number out in full`,
		"5 6":         `"5 6" has two numbers; write one number and a unit, such as "12.4 V"`,
		"5 1":         `"5 1" has two numbers; write one number and a unit, such as "12.4 V"`,
		"5-6 V":       `"5-6 V" has two numbers; write one number and a unit, such as "12.4 V"`,
		"12.4 v":      `unknown unit "v" in "12.4 v"; did you mean "V"?`,
		"12.4 MV":     `unknown unit "MV" in "12.4 MV"; did you mean "mV"?`,
		"12.4 volst":  `unknown unit "volst" in "12.4 volst"; did you mean "volt"?`,
		"12.4 X":      `unknown unit "X" in "12.4 X"; the units are ` + strings.Join(Names(), ", "),
		"12.4 \x1b[m": `unknown unit "` + "\uFFFD" + `[m" in "12.4 ` + "\uFFFD" + `[m"; the units are ` + strings.Join(Names(), ", "),
	} {
		_, _, err := nearestQuantity(text)
		assert.EqualError(t, err, want, "%q", text)
	}
	for _, text := range []string{"1" + strings.Repeat("0", 309) + " V", strings.Repeat("9", 500)} {
		_, _, err := nearestQuantity(text)
		assert.Error(t, err)
		assert.Less(t, len(err.Error()), 200, "a message stays short")
	}
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		base     float64
		unit     string
		decimals int
		want     string
	}{
		{12.55, "V", 2, "12.55 V"}, {12.5, "V", 2, "12.50 V"}, {12.55, "mV", 0, "12550 mV"},
		{-18, "°C", 0, "-18 °C"}, {20, "°F", 0, "68 °F"}, {-18, "°F", 1, "-0.4 °F"}, {0.75, "%", 0, "75 %"}, {0.002, "V/A", 3, "0.002 V/A"},
		{7, "1", 0, "7"}, {1.265, "1", 3, "1.265"}, {14400, "h", 0, "4 h"},
		{12.545, "V", 2, "12.55 V"}, {12.535, "V", 2, "12.54 V"}, {-12.545, "V", 2, "-12.55 V"}, // a half goes away from zero
		{-0.004, "V", 2, "0.00 V"}, {-0.4, "°C", 0, "0 °C"}, {-0.005, "V", 2, "-0.01 V"}, {math.Copysign(0, -1), "V", 1, "0.0 V"},
		{0.5, "V", 0, "1 V"}, {0.49, "V", 0, "0 V"}, {0.05, "V", 0, "0 V"}, {0.999, "V", 2, "1.00 V"}, {9.996, "V", 2, "10.00 V"}, {99.5, "V", 0, "100 V"},
		{0.0000123, "V", 2, "0.00 V"}, {1e21, "V", 0, "1000000000000000000000 V"}, {1e-7, "V", -1, "0.0000001 V"},
		{12.55, "V", -1, "12.55 V"}, {12.55, "mV", -1, "12550 mV"}, {0, "V", -1, "0 V"}, {math.Copysign(0, -1), "V", -1, "0 V"},
		{190.0 / 9, "°F", -1, "70 °F"}, {-160.0 / 9, "°F", -1, "0 °F"}, {100, "min", -1, "1.6666666666666667 min"},
		{math.Inf(1), "V", 2, "∞ V"}, {math.Inf(-1), "°C", -1, "-∞ °C"}, {math.NaN(), "V", 2, "? V"},
	} {
		assert.Equal(t, c.want, Format(c.base, mustLookup(t, c.unit), c.decimals), "%v %s %d", c.base, c.unit, c.decimals)
	}
}

// The shortest decimal of this number lies half way to its neighbour.
func TestHalfWayBetweenTwoNumbersParsesBack(t *testing.T) {
	const base = 18014398509482952.0
	back, _, err := nearestQuantity(Format(base, mustLookup(t, "Ah"), -1))
	require.NoError(t, err)
	assert.Equal(t, base, back)
}

func TestAPrintedQuantityParsesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u, base := anyUnit.Draw(t, "unit"), anyFinite.Draw(t, "base")
		text := Format(base, u, -1)
		assert.NotContains(t, text, "e+")
		back, v, err := nearestQuantity(text)
		require.NoError(t, err)
		assert.Equal(t, base, back, text)
		assert.Same(t, u, v)
	})
}

func TestARoundedQuantityParsesBackWithinHalfADigit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := anyUnit.Draw(t, "unit")
		base := rapid.Float64Range(-1e6, 1e6).Draw(t, "base")
		decimals := rapid.IntRange(0, 8).Draw(t, "decimals")
		text := Format(base, u, decimals)
		number, _, _ := strings.Cut(text, " ")
		_, fraction, _ := strings.Cut(number, ".")
		assert.Len(t, fraction, decimals, text)
		assert.False(t, strings.HasPrefix(text, "-") && strings.Trim(number, "-0.") == "", text)
		_, v, err := nearestQuantity(text)
		require.NoError(t, err)
		assert.Same(t, u, v)
		printed, _ := new(big.Rat).SetString(number)
		off := new(big.Rat).Sub(printed, u.fromBase(exact(base)))
		half, _ := new(big.Rat).SetString("0.5e-" + strconv.Itoa(decimals))
		assert.LessOrEqual(t, off.Abs(off).Cmp(half), 0, text)
	})
}

// What was written comes back digit for digit.
func TestAWrittenQuantityIsPrintedAsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := anyUnit.Draw(t, "unit")
		decimals := rapid.IntRange(0, 4).Draw(t, "decimals")
		n := rapid.Int64Range(-1e7, 1e7).Draw(t, "digits")
		x := new(big.Rat).SetFrac(big.NewInt(n), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil))
		text := x.FloatString(decimals)
		if u != plain {
			text += " " + u.Name
		}
		base, _, err := nearestQuantity(text)
		require.NoError(t, err)
		assert.Equal(t, text, Format(base, u, decimals))
	})
}

// nearestQuantity rounds what ParseQuantity reads to a float64.
func nearestQuantity(s string) (float64, *Unit, error) {
	exact, u, err := ParseQuantity(s)
	if err != nil {
		return 0, nil, err
	}
	return nearest(exact), u, nil
}
