package unit

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whatever is typed is either refused with a reason that fits on a line, or is a
// finite number in a unit of the dimension wanted; and a word after it that
// means nothing changes nothing but Rest.
func FuzzParseTyped(f *testing.F) {
	for _, s := range []string{"12.55", "12,55 V", "12550mV", "68 F", "−18 °C", "twelve point five five volts", "minus a hundred and eighty two", "12 and a half", "1,234", "12, 6", "8.8 lowest"} {
		f.Add(s)
	}
	wanted := []*Unit{nil, mustLookup(f, "V"), mustLookup(f, "°F"), mustLookup(f, "s"), plain}
	f.Fuzz(func(t *testing.T, s string) {
		for _, want := range wanted {
			got, err := ParseTyped(s, want)
			if err != nil {
				var r *Refused
				require.True(t, errors.As(err, &r))
				oneLine(t, r.Error())
				continue
			}
			require.True(t, finite(got.Value))
			require.True(t, finite(got.Unit.Base(got.Value)))
			require.False(t, got.Value == 0 && math.Signbit(got.Value))
			require.GreaterOrEqual(t, got.Decimals, 0)
			if want != nil {
				require.Equal(t, want.Dim, got.Unit.Dim)
			}
			again, err := ParseTyped(s+" xyzzy", want)
			require.NoError(t, err)
			require.Equal(t, strings.TrimSpace(got.Rest+" xyzzy"), again.Rest)
			again.Rest = got.Rest
			require.Equal(t, got, again)
		}
	})
}

// Whatever a file holds is either refused with a message that fits on a line, or
// is a finite quantity that prints and parses back, and the lenient reader
// understands it in the same way.
func FuzzParseQuantity(f *testing.F) {
	for _, s := range []string{"12.4 V", "0.002 V/A", "-18 °C", "75%", "7", "40 N m", "1e3 V", "12,4 V", "5 6", "0.1 °F"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		base, u, err := nearestQuantity(s)
		if err != nil {
			oneLine(t, err.Error())
			return
		}
		require.True(t, finite(base))
		back, v, err := nearestQuantity(Format(base, u, -1))
		require.NoError(t, err)
		require.Equal(t, base, back)
		require.Same(t, u, v)
		got, err := ParseTyped(s, u)
		if err != nil { // a number may fit the base unit and not its own
			require.Contains(t, err.Error(), "too large")
			return
		}
		require.Same(t, u, got.Unit)
		assert.InDelta(t, base, got.Unit.Base(got.Value), 1e-12*(1+math.Abs(base)))
	})
}
