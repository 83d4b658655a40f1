package unit

import (
	"errors"
	"math/big"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestParseTyped(t *testing.T) {
	for _, c := range []struct {
		typed, want string // want is the unit wanted
		base        float64
		unit        string
		given       bool
		decimals    int
		rest        string
	}{
		{"12.55", "V", 12.55, "V", false, 2, ""},
		{"12,55", "V", 12.55, "V", false, 2, ""},
		{".15", "V", 0.15, "V", false, 2, ""},
		{",15", "V", 0.15, "V", false, 2, ""},
		{"12.", "V", 12, "V", false, 0, ""},
		{"12. V", "V", 12, "V", true, 0, ""},
		{"12.50", "V", 12.5, "V", false, 2, ""},
		{"012", "V", 12, "V", false, 0, ""},
		{"  12.55  ", "V", 12.55, "V", false, 2, ""},
		{"12.55 V", "V", 12.55, "V", true, 2, ""},
		{"12.55V", "V", 12.55, "V", true, 2, ""},
		{"12.55v", "V", 12.55, "V", true, 2, ""},
		{"12.55 volts", "V", 12.55, "V", true, 2, ""},
		{"12.55 volts.", "V", 12.55, "V", true, 2, ""},
		{"12.55 VDC", "V", 12.55, "V", true, 2, ""},
		{"12,55 V", "V", 12.55, "V", true, 2, ""},
		{"12550 mV", "V", 12.55, "mV", true, 0, ""},
		{"12550mv", "V", 12.55, "mV", true, 0, ""},
		{"12.55 V", "mV", 12.55, "V", true, 2, ""},
		{"82A", "A", 82, "A", true, 0, ""},
		{"82 amps", "A", 82, "A", true, 0, ""},
		{"350 ma", "A", 0.35, "mA", true, 0, ""},
		{"0.5 ohm", "V/A", 0.5, "Ω", true, 1, ""},
		{"2 mohm", "V/A", 0.002, "mΩ", true, 0, ""},
		{"70 amp hours", "Ah", 252000, "Ah", true, 0, ""},
		{"750 rpm", "rpm", 750, "rpm", true, 0, ""},
		{"7 N m", "N m", 7, "N m", true, 0, ""},
		{"75%", "%", 0.75, "%", true, 0, ""},
		{"75 per cent", "1", 0.75, "%", true, 0, ""},
		{"75", "%", 0.75, "%", false, 0, ""},
		{"1.265", "1", 1.265, "1", false, 3, ""},
		{"4 h", "min", 14400, "h", true, 0, ""},
		{"15 min", "s", 900, "min", true, 0, ""},
		{"68 F", "°C", 20, "°F", true, 0, ""},
		{"68f", "°C", 20, "°F", true, 0, ""},
		{"20 °C", "°C", 20, "°C", true, 0, ""},
		{"20ºC", "°C", 20, "°C", true, 0, ""},
		{"20 ° C", "°C", 20, "°C", true, 0, ""},
		{"20 degrees", "°C", 20, "°C", false, 0, ""},
		{"68 degrees", "°F", 20, "°F", false, 0, ""},
		{"20°", "°C", 20, "°C", false, 0, ""},
		{"68 degrees fahrenheit", "°C", 20, "°F", true, 0, ""},
		{"20degrees c", "°C", 20, "°C", true, 0, ""},
		{"3 degrees", "K", 3, "K", false, 0, ""},
		{"-18", "°C", -18, "°C", false, 0, ""},
		{"−18", "°C", -18, "°C", false, 0, ""},
		{"–18", "°C", -18, "°C", false, 0, ""},
		{"- 18", "°C", -18, "°C", false, 0, ""},
		{"+3", "°C", 3, "°C", false, 0, ""},
		{"+ 3", "°C", 3, "°C", false, 0, ""},
		{"-0", "V", 0, "V", false, 0, ""},
		{"minus 18", "°C", -18, "°C", false, 0, ""},
		{"0,123", "V", 0.123, "V", false, 3, ""},
		{"-0,123", "V", -0.123, "V", false, 3, ""},
		{",123", "V", 0.123, "V", false, 3, ""},
		{"1234,567", "mV", 1.234567, "mV", false, 3, ""},
		{"12,5678", "V", 12.5678, "V", false, 4, ""},
		{"1.234", "V", 1.234, "V", false, 3, ""},
		{"8.8 lowest", "V", 8.8, "V", false, 1, "lowest"},
		{"8.8 V lowest of three", "V", 8.8, "V", true, 1, "lowest of three"},
		{"8.8 min", "V", 8.8, "V", false, 1, "min"},
		{"8.8 V min", "V", 8.8, "V", true, 1, "min"},
		{"8.8 V MIN", "V", 8.8, "V", true, 1, "MIN"},
		{"12.5 about", "V", 12.5, "V", false, 1, "about"},
		{"12.5 and a bit", "V", 12.5, "V", false, 1, "and a bit"},
		{"12 MV", "V", 12, "V", false, 0, "MV"},
		{"minus eighteen", "°C", -18, "°C", false, 0, ""},
		{"Minus Eighteen Degrees", "°C", -18, "°C", false, 0, ""},
		{"negative four fahrenheit", "°C", -20, "°F", true, 0, ""},
		{"twelve point five five volts", "V", 12.55, "V", true, 2, ""},
		{"twelve point fifty five", "V", 12.55, "V", false, 2, ""},
		{"twelve point fifty-five", "V", 12.55, "V", false, 2, ""},
		{"twelve point oh five", "V", 12.05, "V", false, 2, ""},
		{"twelve point zero", "V", 12, "V", false, 1, ""},
		{"twelve point oh fifteen", "V", 12.015, "V", false, 3, ""},
		{"twelve comma six", "V", 12.6, "V", false, 1, ""},
		{"zero point one five", "V", 0.15, "V", false, 2, ""},
		{"oh point one five", "V", 0.15, "V", false, 2, ""},
		{"point one five", "V", 0.15, "V", false, 2, ""},
		{"point 15", "V", 0.15, "V", false, 2, ""},
		{"12 point 55", "V", 12.55, "V", false, 2, ""},
		{"12 point 55V", "V", 12.55, "V", true, 2, ""},
		{"twelve point 5 volts", "V", 12.5, "V", true, 1, ""},
		{"12 point five", "V", 12.5, "V", false, 1, ""},
		{"12 and a half", "V", 12.5, "V", false, 1, ""},
		{"twelve and a quarter volts", "V", 12.25, "V", true, 2, ""},
		{"a hundred and eighty two amps", "A", 182, "A", true, 0, ""},
		{"one hundred eighty-two", "A", 182, "A", false, 0, ""},
		{"hundred", "A", 100, "A", false, 0, ""},
		{"twelve hundred millivolts", "V", 1.2, "mV", true, 0, ""},
		{"twelve thousand five hundred and fifty millivolts", "V", 12.55, "mV", true, 0, ""},
		{"a thousand and five", "rpm", 1005, "rpm", false, 0, ""},
		{"two hundred thousand", "1", 200000, "1", false, 0, ""},
		{"zero", "A", 0, "A", false, 0, ""},
		{"nought point two", "V", 0.2, "V", false, 1, ""},
		{"twelve point six.", "V", 12.6, "V", false, 1, ""},
	} {
		got, err := ParseTyped(c.typed, mustLookup(t, c.want))
		require.NoError(t, err, c.typed)
		assert.Equal(t, c.unit, got.Unit.Name, c.typed)
		assert.Equal(t, c.base, got.Unit.Base(got.Value), c.typed)
		assert.Equal(t, c.given, got.Given, c.typed)
		assert.Equal(t, c.decimals, got.Decimals, c.typed)
		assert.Equal(t, c.rest, got.Rest, c.typed)
	}
}

func TestParseTypedKeepsTheValueInTheUnitTyped(t *testing.T) {
	got, err := ParseTyped("12550 mV", mustLookup(t, "V"))
	require.NoError(t, err)
	assert.Equal(t, Typed{Value: 12550, Unit: mustLookup(t, "mV"), Given: true}, got)
}

func TestParseTypedForAnyUnit(t *testing.T) {
	for typed, unit := range map[string]string{"12.5": "1", "12.5 V": "V", "15 min": "min", "20 degrees": "°C"} {
		got, err := ParseTyped(typed, nil)
		require.NoError(t, err, typed)
		assert.Equal(t, unit, got.Unit.Name, typed)
	}
}

func TestParseTypedRefuses(t *testing.T) {
	for _, c := range []struct {
		typed, want string
		reason      string
		could       []string
	}{
		{"", "V", `nothing was typed`, nil},
		{" \t ", "V", `nothing was typed`, nil},
		{"abc", "V", `"abc" is not a number: type one such as 12.55`, nil},
		{"lowest 8.8", "V", `"lowest" is not a number: type one such as 12.55`, nil},
		{"NaN", "V", `"NaN" is not a number: type one such as 12.55`, nil},
		{"inf", "V", `"inf" is not a number: type one such as 12.55`, nil},
		{"-", "V", `"-" is not a number: type one such as 12.55`, nil},
		{"--5", "V", `"--5" is not a number: type one such as 12.55`, nil},
		{"minus -5", "V", `"minus" is not a number: type one such as 12.55`, nil},
		{".", "V", `"." is not a number: type one such as 12.55`, nil},
		{",", "V", `"," is not a number: type one such as 12.55`, nil},
		{"V", "V", `"V" is not a number: type one such as 12.55`, nil},
		{"point", "V", `"point" is not a number: type one such as 12.55`, nil},
		{"a volt", "V", `"a" is not a number: type one such as 12.55`, nil},
		{"and", "V", `"and" is not a number: type one such as 12.55`, nil},
		{"five-a", "V", `"five-a" is not a number: type one such as 12.55`, nil},
		{"twelve point", "V", `a digit is missing after "point"`, nil},
		{"twelve point volts", "V", `a digit is missing after "point"`, nil},
		{"12 point", "V", `a digit is missing after "point"`, nil},
		{"\x1b[31m", "V", "\"\uFFFD[31m\" is not a number: type one such as 12.55", nil},
		{"1.2.3", "V", `"1.2.3" has two decimal marks: type one, and no mark for thousands`, nil},
		{"1,234.5", "V", `"1,234.5" has two decimal marks: type one, and no mark for thousands`, nil},
		{"1.234,5", "V", `"1.234,5" has two decimal marks: type one, and no mark for thousands`, nil},
		{"1,234,567", "V", `"1,234,567" has two decimal marks: type one, and no mark for thousands`, nil},
		{"12 point 5.5", "V", `"point 5.5" has two decimal marks: type one`, nil},
		{"1e3", "V", `"1e3" is written with an exponent: type the number out in full`, nil},
		{"1.5E-3 V", "V", `"1.5E-3" is written with an exponent: type the number out in full`, nil},
		{"1,234", "V", `"1,234" can mean 1.234 or 1234: type the one you mean`, []string{"1.234", "1234"}},
		{"-12,345", "V", `"-12,345" can mean -12.345 or -12345: type the one you mean`, []string{"-12.345", "-12345"}},
		{"12,550 mV", "V", `"12,550 mV" can mean 12.550 mV or 12550 mV: type the one you mean`, []string{"12.550 mV", "12550 mV"}},
		{"12,550mV", "V", `"12,550mV" can mean 12.550 mV or 12550 mV: type the one you mean`, []string{"12.550 mV", "12550 mV"}},
		{"twelve fifty five", "V", `"twelve fifty five" can mean 12.55 or 1255: type the one you mean`, []string{"12.55", "1255"}},
		{"minus twelve fifty five volts", "V", `"minus twelve fifty five volts" can mean -12.55 V or -1255 V: type the one you mean`, []string{"-12.55 V", "-1255 V"}},
		{"one eighty two", "A", `"one eighty two" can mean 1.82 or 182: type the one you mean`, []string{"1.82", "182"}},
		{"twelve oh five", "V", `"twelve oh five" can mean 12.05 or 1205: type the one you mean`, []string{"12.05", "1205"}},
		{"one two five", "A", `"one two five" can mean 1.25 or 125: type the one you mean`, []string{"1.25", "125"}},
		{"twenty zero", "V", `"twenty zero" can mean 20.0 or 200: type the one you mean`, []string{"20.0", "200"}},
		{"a hundred zero", "V", `"a hundred zero" can mean 100.0 or 1000: type the one you mean`, []string{"100.0", "1000"}},
		{"zero five", "V", `"zero five" can mean 0.5 or 5: type the one you mean`, []string{"0.5", "5"}},
		{"12, 6", "V", `"12, 6" can be one number or two: type no blank beside a decimal mark`, nil},
		{"12. 6V", "V", `"12. 6V" can be one number or two: type no blank beside a decimal mark`, nil},
		{"12 .6", "V", `"12 .6" can be one number or two: type no blank beside a decimal mark`, nil},
		{"twelve point five fifty", "V", `"point five fifty" is not one number: say the digits after the point one by one`, nil},
		{"12 point 5 5", "V", `"point 5 5" can be one number or two: type it in digits, such as 12.55`, nil},
		{"twelve point five-a", "V", `"point five-a" is not one number: say the digits after the point one by one`, nil},
		{"twelve point, five", "V", `a digit is missing after "point,"`, nil},
		{"twelve and a half-five", "V", `"twelve and a half-five" is not one number: type it in digits, such as 12.55`, nil},
		{"zero hundred", "V", `"zero hundred" is not one number: type it in digits, such as 12.55`, nil},
		{"a thousand a hundred", "V", `"a thousand a hundred" is not one number: type it in digits, such as 12.55`, nil},
		{"one two three four five six seven", "V", `"one two three four five six seven" is not one number: type it in digits, such as 12.55`, nil},
		{"twelve and three quarters", "V", `"twelve and three" is not one number: type it in digits, such as 12.55`, nil},
		{"twenty and five", "V", `"twenty and five" is not one number: type it in digits, such as 12.55`, nil},
		{"one hundred hundred", "V", `"one hundred hundred" is not one number: type it in digits, such as 12.55`, nil},
		{"a thousand twelve hundred", "V", `"a thousand twelve hundred" is not one number: type it in digits, such as 12.55`, nil},
		{"ninety nine hundred thousand", "V", `"ninety nine hundred thousand" is not one number: type it in digits, such as 12.55`, nil},
		{"1 200 mV", "V", `"1 200 mV" holds more than one number: type one, without blanks inside it`, nil},
		{"1\u202f200 mV", "V", "\"1 200 mV\" holds more than one number: type one, without blanks inside it", nil},
		{"12 6", "V", `"12 6" holds more than one number: type one, without blanks inside it`, nil},
		{"12 -6", "V", `"12 -6" holds more than one number: type one, without blanks inside it`, nil},
		{"12.6, 11.4", "V", `"12.6, 11.4" holds more than one number: type one, without blanks inside it`, nil},
		{"1 h 30 min", "s", `"1 h 30 min" holds more than one number: type one, without blanks inside it`, nil},
		{"12 hundred", "V", `"12 hundred" holds more than one number: type one, without blanks inside it`, nil},
		{"12 V and a half", "V", `"12 V and a half" holds more than one number: type one, without blanks inside it`, nil},
		{"12 V mV", "V", `"12 V mV" holds two units, V and mV: type one`, nil},
		{"12.5vlots", "V", `"vlots" in "12.5vlots" is not a unit; did you mean "volts"?`, nil},
		{"12MV", "V", `"MV" in "12MV" is not a unit; did you mean "mV"?`, nil},
		{"0x10", "V", `"x10" in "0x10" is not a unit: type a number and its unit, such as "12.55 V"`, nil},
		{"12V55", "V", `"V55" in "12V55" is not a unit: type a number and its unit, such as "12.55 V"`, nil},
		{"12:30", "s", `":30" in "12:30" is not a unit: type a number and its unit, such as "12.55 V"`, nil},
		{"1_000", "V", `"_000" in "1_000" is not a unit: type a number and its unit, such as "12.55 V"`, nil},
		{"12;5", "V", `";5" in "12;5" is not a unit: type a number and its unit, such as "12.55 V"`, nil},
		{"82A", "V", `a current (A) was typed where a voltage (V) is wanted`, nil},
		{"82 amps", "V", `a current (A) was typed where a voltage (V) is wanted`, nil},
		{"20 degrees", "V", `a temperature (°C) was typed where a voltage (V) is wanted`, nil},
		{"3 K", "°C", `a difference of temperatures (K) was typed where a temperature (°C) is wanted`, nil},
		{"3 °C", "K", `a temperature (°C) was typed where a difference of temperatures (K) is wanted`, nil},
		{"12 V", "1", `a voltage (V) was typed where a plain number is wanted`, nil},
		{"15min", "V", `a time (s) was typed where a voltage (V) is wanted`, nil},
		{"1" + strings.Repeat("0", 309), "V", `"1` + strings.Repeat("0", 39) + `..." is too large a number, or has too many digits`, nil},
		{"0." + strings.Repeat("0", 500), "V", `"0.` + strings.Repeat("0", 38) + `..." is too large a number, or has too many digits`, nil},
	} {
		_, err := ParseTyped(c.typed, mustLookup(t, c.want))
		var r *Refused
		require.True(t, errors.As(err, &r), "%q", c.typed)
		assert.Equal(t, c.reason, r.Error(), "%q", c.typed)
		assert.Equal(t, c.could, r.Could, "%q", c.typed)
	}
}

// Every meaning a refusal offers is taken when it is typed.
func TestWhatARefusalOffersIsTaken(t *testing.T) {
	v := mustLookup(t, "V")
	for _, typed := range []string{"1,234", "-12,550mV", "twelve fifty five volts", "minus one two five", "zero five"} {
		_, err := ParseTyped(typed, v)
		var r *Refused
		require.True(t, errors.As(err, &r), typed)
		require.Len(t, r.Could, 2, typed)
		var values []float64
		for _, c := range r.Could {
			got, err := ParseTyped(c, v)
			require.NoError(t, err, c)
			values = append(values, got.Value)
		}
		assert.NotEqual(t, values[0], values[1], typed)
	}
}

func TestScanTyped(t *testing.T) {
	for _, c := range []struct {
		line, want string
		n          int
		value      float64
		unit       string
	}{
		{"12.6 crank 11.4", "V", 1, 12.6, "V"},
		{"12.6 V crank 11.4", "V", 2, 12.6, "V"},
		{"12.6, crank 11.4", "V", 1, 12.6, "V"},
		{"12,6, crank 11,4", "V", 1, 12.6, "V"},
		{"12.6 V; crank", "V", 2, 12.6, "V"},
		{"12.6; a bit", "V", 1, 12.6, "V"},
		{"12.6 11.4", "V", 1, 12.6, "V"},
		{"12 6", "V", 1, 12, "V"},
		{"12.6 .15", "V", 1, 12.6, "V"},
		{"12. crank", "V", 1, 12, "V"},
		{"5 a neg", "A", 2, 5, "A"},
		{"five a neg", "A", 2, 5, "A"},
		{"82A neg 2.4", "A", 1, 82, "A"},
		{"82 amps neg 2.4", "A", 2, 82, "A"},
		{"- 18 slow", "°C", 2, -18, "°C"},
		{"minus eighteen degrees c slow", "°C", 4, -18, "°C"},
		{"minus eighteen slow", "°C", 2, -18, "°C"},
		{"twelve point six crank eleven point four", "V", 3, 12.6, "V"},
		{"twelve point six, eleven point four", "V", 3, 12.6, "V"},
		{"twelve, eleven", "V", 1, 12, "V"},
		{"twenty, five", "V", 1, 20, "V"},
		{"twelve point six volts and crank", "V", 4, 12.6, "V"},
		{"a hundred and eighty two amps", "A", 6, 182, "A"},
		{"a hundred and crank", "A", 2, 100, "A"},
		{"a hundred, five", "A", 2, 100, "A"},
		{"twelve and a half slow", "V", 4, 12.5, "V"},
		{"12 point 5 slow", "V", 3, 12.5, "V"},
		{"40 newton metres tight", "N m", 3, 40, "N m"},
		{"8.8 min", "V", 1, 8.8, "V"},
		{"8.8 minutes", "s", 2, 8.8, "min"},
	} {
		got, n, err := ScanTyped(strings.Fields(c.line), mustLookup(t, c.want))
		require.NoError(t, err, c.line)
		assert.Equal(t, c.n, n, c.line)
		assert.Equal(t, c.value, got.Value, c.line)
		assert.Equal(t, c.unit, got.Unit.Name, c.line)
		assert.Empty(t, got.Rest, c.line)
	}
}

func TestScanTypedRefuses(t *testing.T) {
	for _, c := range []struct {
		line   string
		n      int
		reason string
	}{
		{"", 0, `a number is missing`},
		{"slow 12.6", 0, `"slow" is not a number: type one such as 12.55`},
		{"point", 0, `"point" is not a number: type one such as 12.55`},
		{"minus slow", 0, `"minus" is not a number: type one such as 12.55`},
		{"a 12", 0, `"a" is not a number: type one such as 12.55`},
		{"82 amps neg", 2, `a current (A) was typed where a voltage (V) is wanted`},
		{"1,234 V slow", 2, `"1,234 V" can mean 1.234 V or 1234 V: type the one you mean`},
		{"12, 6 slow", 2, `"12, 6" can be one number or two: type no blank beside a decimal mark`},
		{"twelve fifty five slow", 3, `"twelve fifty five" can mean 12.55 or 1255: type the one you mean`},
		{"minus twelve fifty five volts slow", 5, `"minus twelve fifty five volts" can mean -12.55 V or -1255 V: type the one you mean`},
		{"twelve point crank", 2, `a digit is missing after "point"`},
		{"12x slow", 1, `"x" in "12x" is not a unit: type a number and its unit, such as "12.55 V"`},
		{"minus 12x slow", 2, `"x" in "minus 12x" is not a unit: type a number and its unit, such as "12.55 V"`},
		{"12 point 5x slow", 3, `"x" in "12 point 5x" is not a unit: type a number and its unit, such as "12.55 V"`},
	} {
		_, n, err := ScanTyped(strings.Fields(c.line), mustLookup(t, "V"))
		var r *Refused
		require.True(t, errors.As(err, &r), c.line)
		assert.Equal(t, c.n, n, c.line)
		assert.Equal(t, c.reason, r.Error(), c.line)
	}
}

// A line can put a current where it belongs, though a voltage was asked for.
func TestScanTypedGivesTheValueOfAnotherDimension(t *testing.T) {
	got, n, err := ScanTyped([]string{"82A"}, mustLookup(t, "V"))
	assert.Error(t, err)
	assert.Equal(t, 1, n)
	assert.Equal(t, Typed{Value: 82, Unit: mustLookup(t, "A"), Given: true}, got)
}

// Words that a caller did not take from between blanks do no harm.
func TestScanTypedOfEmptyWords(t *testing.T) {
	v := mustLookup(t, "V")
	for _, words := range [][]string{{""}, {"12", ""}, {"12,", ""}, {"-", ""}, {"twelve", "point", ""}, {"12", "point", ""}} {
		assert.NotPanics(t, func() { _, _, _ = ScanTyped(words, v) }, "%q", words)
	}
}

// A long line costs no more than its length: 64 words are looked at, and what
// could only be one endless number is refused.
func TestScanTypedOfAnEndlessNumber(t *testing.T) {
	_, n, err := ScanTyped(strings.Fields(strings.Repeat("one ", 100_000)), mustLookup(t, "V"))
	assert.Equal(t, 64, n)
	assert.Error(t, err)
	assert.Less(t, len(err.Error()), 200)
}

// say puts a whole number under a million into words, choosing among the ways
// people say it.
func say(t *rapid.T, n int) string {
	small := strings.Fields("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen")
	tens := strings.Fields("- - twenty thirty forty fifty sixty seventy eighty ninety")
	and := func() string { return rapid.SampledFrom([]string{" ", " and "}).Draw(t, "and") }
	times := func(n int, what string) string {
		if n == 1 {
			return rapid.SampledFrom([]string{"a ", "one ", ""}).Draw(t, "one") + what
		}
		return say(t, n) + " " + what
	}
	switch {
	case n < 20:
		return small[n]
	case n < 100 && n%10 == 0:
		return tens[n/10]
	case n < 100:
		return tens[n/10] + rapid.SampledFrom([]string{" ", "-"}).Draw(t, "hyphen") + small[n%10]
	case n < 1000 && n%100 == 0:
		return times(n/100, "hundred")
	case n < 1000:
		return times(n/100, "hundred") + and() + say(t, n%100)
	case n%1000 == 0:
		return times(n/1000, "thousand")
	default:
		return times(n/1000, "thousand") + and() + strings.TrimPrefix(say(t, n%1000), "a ")
	}
}

func TestDictatedNumbersAreUnderstood(t *testing.T) {
	v := mustLookup(t, "V")
	digit := strings.Fields("zero one two three four five six seven eight nine")
	rapid.Check(t, func(t *rapid.T) {
		whole := rapid.IntRange(0, 999_999).Draw(t, "whole")
		fraction := rapid.StringMatching(`[0-9]{0,5}`).Draw(t, "fraction")
		words, text := say(t, whole), strconv.Itoa(whole)
		if fraction != "" {
			words += " point"
			text += "." + fraction
			for _, d := range fraction {
				words += " " + digit[d-'0']
			}
		}
		if rapid.Bool().Draw(t, "minus") {
			words, text = "minus "+words, "-"+text
		}
		if rapid.Bool().Draw(t, "volts") {
			words += " volts"
		}
		got, err := ParseTyped(words, v)
		require.NoError(t, err, words)
		assert.Equal(t, float(text), got.Value, words)
		assert.Equal(t, len(fraction), got.Decimals, words)
	})
}

// What the strict reader takes, the lenient one takes with the same meaning.
func TestTheLenientReaderTakesWhatTheStrictOneTakes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := anyUnit.Draw(t, "unit")
		decimals := rapid.IntRange(0, 6).Draw(t, "decimals")
		n := rapid.Int64Range(-1e9, 1e9).Draw(t, "digits")
		scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil)
		text := new(big.Rat).SetFrac(big.NewInt(n), scale).FloatString(decimals)
		if u != plain {
			spelling := rapid.SampledFrom(append(append([]string{u.Name}, u.symbols...), u.words...)).Draw(t, "spelling")
			text += rapid.SampledFrom([]string{"", " "}).Draw(t, "blank") + spelling
		}
		base, v, err := nearestQuantity(text)
		require.NoError(t, err, text)
		got, err := ParseTyped(text, u)
		require.NoError(t, err, text)
		assert.Same(t, v, got.Unit, text)
		assert.Equal(t, base, got.Unit.Base(got.Value), text)
		assert.Equal(t, decimals, got.Decimals, text)
		assert.Equal(t, u != plain, got.Given, text)
	})
}

// oneLine holds a message to what may reach a terminal.
func oneLine(t require.TestingT, message string) {
	assert.NotEmpty(t, message)
	for _, r := range message {
		assert.True(t, unicode.IsPrint(r), "%q", message)
	}
}
