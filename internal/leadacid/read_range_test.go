package leadacid

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestReadRange(t *testing.T) {
	for _, c := range []struct {
		typed, unit string
		want        Range
	}{
		{"12.4", "V", Exactly(12.4)},
		{"12,4 V", "V", Exactly(12.4)},
		{"12400 mV", "V", Exactly(12.4)},
		{"twelve point four", "V", Exactly(12.4)},
		{"-18", "°C", Exactly(-18)},
		{"0 F", "°C", Exactly(-160.0 / 9)},
		{"12.4 ± 0.05", "V", Around(12.4, 0.05)},
		{"12.4 V ± 0.05", "V", Around(12.4, 0.05)},
		{"12.4±0.05 V", "V", Around(12.4, 0.05)},
		{"12.4 +- 50 mV", "V", Around(12.4, 0.05)},
		{"12.4 +/- 1 %", "V", Around(12.4, 0.124)},
		{"-4 A ± 10%", "A", Around(-4, 0.4)},
		{"150 mV ± 2", "V", Range{0.148, 0.15, 0.152}},
		{"20 ± 3", "°C", Around(20, 3)},
		{"20 ± 3 K", "°C", Around(20, 3)},
		{"20 °C ± 3 °C", "°C", Around(20, 3)},
		{"68 F ± 9", "°C", Around(20, 5)},
		{"75 % ± 5", "%", Around(75, 5)},
		{"75 ± 5 %", "%", Around(75, 5)},
		{"12.3..12.5", "V", Range{12.3, 12.4, 12.5}},
		{"12.3..12.5 V", "V", Range{12.3, 12.4, 12.5}},
		{"12.3 V to 12.5 V", "V", Range{12.3, 12.4, 12.5}},
		{"100..150 mV", "V", Range{0.1, 0.125, 0.15}},
		{"-10 to 5", "°C", Range{-10, -2.5, 5}},
		{"32..50 F", "°C", Range{0, 5, 10}},
		{"5..5", "A", Exactly(5)},
	} {
		got, err := ReadRange(c.typed, c.unit)
		require.NoError(t, err, c.typed)
		for _, d := range [][2]float64{{c.want.Lo, got.Lo}, {c.want.Best, got.Best}, {c.want.Hi, got.Hi}} {
			assert.InDelta(t, d[0], d[1], 1e-9, c.typed)
		}
	}
}

func TestReadRangeRefuses(t *testing.T) {
	for typed, want := range map[string]string{
		"":            "nothing was typed",
		"high":        `"high" is not a number: type one such as 12.55`,
		"12.4 lowest": `"12.4 lowest": the words "lowest" after the number mean nothing here`,
		"12 A":        "a current (A) was typed where a voltage (V) is wanted",
		"12.5..12.3":  `"12.5..12.3": the first end is the greater one, type the lesser one first`,
		"12..13..14":  `"12..13..14" has more than two ends: type a range such as 12.3..12.5`,
		"12..":        "nothing was typed",
		"..12":        "nothing was typed",
		"12 ± -1":     `"12 ± -1": a doubt cannot be negative`,
		"12 ± 1 ± 1":  `"12 ± 1 ± 1" has more than one doubt: type one such as 12.4 ± 0.05`,
		"12 ±":        "nothing was typed",
		"12 ± 1 A":    "a current (A) was typed where a voltage (V) is wanted",
		"12 ± x %":    `"x" is not a number: type one such as 12.55`,
		"1e3":         `"1e3" is written with an exponent: type the number out in full`,
	} {
		_, err := ReadRange(typed, "V")
		assert.EqualError(t, err, want, typed)
	}
	_, err := ReadRange("20 ± 3 V", "°C")
	assert.EqualError(t, err, "a voltage (V) was typed where a temperature (°C) is wanted")
}

// Whatever is typed is refused in one line, or is a range in order.
func FuzzReadRange(f *testing.F) {
	for _, s := range []string{"12.4", "12.4 V ± 0.05", "12.3..12.5 V", "20 ± 3 K", "68 F +- 5 %", "1 to 2 to 3", "±", "..", "five to six"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, unit := range []string{"V", "°C", "%", "h", "1"} {
			r, err := ReadRange(s, unit)
			if err != nil {
				require.NotRegexp(t, `[\x00-\x1f]`, err.Error())
				continue
			}
			require.False(t, math.IsNaN(r.Lo) || math.IsNaN(r.Best) || math.IsNaN(r.Hi))
			require.True(t, r.Lo <= r.Best && r.Best <= r.Hi, "%q %v", s, r)
		}
	})
}
