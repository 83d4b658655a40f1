package batch

import (
	"fmt"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A plain number is the float64 nearest to what is written, as strconv has it.
func TestPlainNumberIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		places := rapid.IntRange(0, 15).Draw(t, "places")
		whole := rapid.Int64Range(-999_999_999_999_999, 999_999_999_999_999).Draw(t, "whole")
		text := strconv.FormatInt(whole, 10)
		if places > 0 {
			text = fmt.Sprintf("%d.%0*d", whole/1000, places, rapid.IntRange(0, 9).Draw(t, "last"))
		}
		got, ok := plainNumber([]byte(text))
		want, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		if ok {
			require.Equal(t, want, got, text)
		} else {
			require.Greater(t, len(text), 15, "%q is plain", text)
		}
	})
}

func TestWhatIsNotPlain(t *testing.T) {
	for _, text := range []string{"-", ".", "1.", ".5", "1.2.3", "1,2", "+1", "1e3", "0x1", "12 V", "NaN", "Inf", "--1", "1234567890123456", "١"} {
		_, ok := plainNumber([]byte(text))
		assert.False(t, ok, text)
	}
}
