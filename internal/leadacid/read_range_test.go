package leadacid

import (
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
		{"12.4 V ± 0.05", "V", Around(12.4, 0.05)},
		{"150 mV ± 2", "V", Range{0.148, 0.15, 0.152}},
		{"68 F ± 9", "°C", Around(20, 5)},
		{"100..150 mV", "V", Range{0.1, 0.125, 0.15}},
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
		"12.4 lowest": `"12.4 lowest": the words "lowest" after the number mean nothing here`,
		"12.5..12.3":  `"12.5..12.3": the first end is the greater one, type the lesser one first`,
	} {
		_, err := ReadRange(typed, "V")
		assert.EqualError(t, err, want, typed)
	}
}
