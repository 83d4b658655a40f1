package unit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseTypedWithDoubt(t *testing.T) {
	for _, c := range []struct {
		typed, want, unit string
		value, outBy      float64
		rest              string
	}{
		{"12.4", "V", "V", 12.4, 0, ""},
		{"twelve point four volts", "V", "V", 12.4, 0, ""},
		{"12.4 ± 0.05", "V", "V", 12.4, 0.05, ""},
		{"12.4 V ± 0.05", "V", "V", 12.4, 0.05, ""},
		{"12.4±0.05 V", "V", "V", 12.4, 0.05, ""},
		{"12,4 V+-0,05", "V", "V", 12.4, 0.05, ""},
		{"12.4 +- 50 mV", "V", "V", 12.4, 0.05, ""},
		{"12.4 +/- 0.05", "V", "V", 12.4, 0.05, ""},
		{"12.4 +/- 1 %", "V", "V", 12.4, 0.124, ""},
		{"12.4 ± one percent", "V", "V", 12.4, 0.124, ""},
		{"-4 A ± 10%", "A", "A", -4, 0.4, ""},
		{"150 mV ± 2", "V", "mV", 150, 2, ""},
		{"1.28 ± 1 %", "1", "1", 1.28, 0.0128, ""},
		{"20 ± 3", "°C", "°C", 20, 3, ""},
		{"20 ± 3 K", "°C", "°C", 20, 3, ""},
		{"20 °C ± 3 °C", "°C", "°C", 20, 3, ""},
		{"20 °C ± 9 °F", "°C", "°C", 20, 5, ""},
		{"68 F ± 9", "°C", "°F", 68, 9, ""},
		{"68 F ± 5 K", "°C", "°F", 68, 9, ""},
		{"20 ± 3 degrees", "°C", "°C", 20, 3, ""},
		{"75 % ± 5", "%", "%", 75, 5, ""},
		{"75 ± 5 %", "%", "%", 75, 5, ""},
		{"12.3..12.5", "V", "V", 12.4, 0.1, ""},
		{"12.3 .. 12.5 V", "V", "V", 12.4, 0.1, ""},
		{"12.3 to 12.5", "V", "V", 12.4, 0.1, ""},
		{"12.3 V to 12.5 V", "V", "V", 12.4, 0.1, ""},
		{"100..150 mV", "V", "mV", 125, 25, ""},
		{"100 mV..150", "V", "mV", 125, 25, ""},
		{"0.1 V to 150 mV", "V", "mV", 125, 25, ""},
		{"-10 to 5", "°C", "°C", -2.5, 7.5, ""},
		{"32..50 F", "°C", "°F", 41, 9, ""},
		{"5..5", "A", "A", 5, 0, ""},
		{"five to six", "A", "A", 5.5, 0.5, ""},
		{"12.4 to be sure", "V", "V", 12.4, 0, "to be sure"},
		{"8.8 ± 0.1 min", "V", "V", 8.8, 0.1, "min"},
		{"8.8 to 9 lowest", "V", "V", 8.9, 0.1, "lowest"},
		{"8.8 lowest", "V", "V", 8.8, 0, "lowest"},
	} {
		want, _ := Lookup(c.want)
		got, err := ParseTyped(c.typed, want)
		require.NoError(t, err, c.typed)
		assert.Equal(t, c.unit, got.Unit.Name, c.typed)
		assert.InDelta(t, c.value, got.Value, 1e-12, c.typed)
		assert.InDelta(t, c.outBy, got.OutBy, 1e-12, c.typed)
		assert.Equal(t, c.rest, got.Rest, c.typed)
	}
}

func TestParseTypedRefusesDoubt(t *testing.T) {
	for typed, want := range map[string]string{
		"":            "nothing was typed",
		"high":        `"high" is not a number: type one such as 12.55`,
		"±":           "a number is missing",
		"..12":        "a number is missing",
		"12 A":        "a current (A) was typed where a voltage (V) is wanted",
		"12.5..12.3":  `"12.5..12.3": the first end is the greater one, type the lesser one first`,
		"100 mV to 1": `"100 mV to 1": the first end is the greater one, type the lesser one first`,
		"12..13..14":  `"12..13..14" has more than two ends: type a range such as 12.3..12.5`,
		"12..":        `"12.." has no second end: type a range such as 12.3..12.5`,
		"12 to 13 A":  "a current (A) was typed where a voltage (V) is wanted",
		"12 ± -1":     `"± -1": a doubt cannot be negative`,
		"12 ± 1 ± 1":  `"± 1 ± 1" has more than one doubt: type one such as 12.4 ± 0.05`,
		"12 ±":        `"±": a number is wanted after the mark, how far it may be out`,
		"12 ± x %":    `"± x %": a number is wanted after the mark, how far it may be out`,
		"12 ± 1 A":    "a current (A) was typed where a voltage (V) is wanted",
		"12 13":       `"12 13" holds more than one number: type one, without blanks inside it`,
		"1e3":         `"1e3" is written with an exponent: type the number out in full`,
	} {
		volt, _ := Lookup("V")
		_, err := ParseTyped(typed, volt)
		assert.EqualError(t, err, want, typed)
	}
	celsius, _ := Lookup("°C")
	_, err := ParseTyped("20 ± 3 V", celsius)
	assert.ErrorContains(t, err, "a voltage (V) was typed where")
}

func TestParseRange(t *testing.T) {
	for _, c := range []struct {
		typed, in string
		want      Range
	}{
		{"12.4", "V", Exactly(12.4)},
		{"12.4 V ± 0.05", "V", Around(12.4, 0.05)},
		{"150 mV ± 2", "V", Range{0.148, 0.15, 0.152}},
		{"68 F ± 9", "°C", Around(20, 5)},
		{"100..150 mV", "V", Range{0.1, 0.125, 0.15}},
		{"32..50 F", "°C", Range{0, 5, 10}},
		{"5..5", "A", Exactly(5)},
	} {
		u, _ := Lookup(c.in)
		got, err := ParseRange(c.typed, u)
		require.NoError(t, err, c.typed)
		for _, d := range [][2]float64{{c.want.Lo, got.Lo}, {c.want.Best, got.Best}, {c.want.Hi, got.Hi}} {
			assert.InDelta(t, d[0], d[1], 1e-9, c.typed)
		}
	}
	volt, _ := Lookup("V")
	_, err := ParseRange("12.4 lowest", volt)
	assert.EqualError(t, err, `"12.4 lowest": the words "lowest" after the number mean nothing here`)
	_, err = ParseRange("12.5..12.3", volt)
	assert.EqualError(t, err, `"12.5..12.3": the first end is the greater one, type the lesser one first`)
}

// Whatever is typed is refused in one line, or is a value with a doubt of 0 or more.
func FuzzParseDoubt(f *testing.F) {
	for _, s := range []string{"12.4", "12.4 V ± 0.05", "12.3..12.5 V", "20 ± 3 K", "68 F +- 5 %", "1 to 2 to 3", "±", "..", "five to six"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, name := range []string{"V", "°C", "%", "h", "1"} {
			want, _ := Lookup(name)
			got, err := ParseTyped(s, want)
			if err != nil {
				require.NotRegexp(t, `[\x00-\x1f]`, err.Error())
				continue
			}
			require.False(t, math.IsNaN(got.Value) || math.IsInf(got.Value, 0) || math.IsInf(got.OutBy, 0))
			require.GreaterOrEqual(t, got.OutBy, 0.0, s)
		}
	})
}
