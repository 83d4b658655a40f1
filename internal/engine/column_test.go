package engine

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/unit"
)

// A plain number is what the reader of typed input makes of it.
func TestAPlainNumberIsWhatIsTyped(t *testing.T) {
	volt, _ := unit.Lookup("V")
	plain := 0
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`-?[0-9.]{1,4}[0-9.-]{0,12}`).Draw(t, "text")
		got, ok := plainNumber([]byte(text))
		if !ok {
			return
		}
		plain++
		want, err := unit.ParseTyped(text, volt)
		require.NoError(t, err, text)
		require.Equal(t, want.Value, got, text)
	})
	require.Positive(t, plain)
}

func TestWhatIsNotPlain(t *testing.T) {
	for _, text := range []string{"", "-", ".", "1.", "1.2.3", "1,2", "+1", "1e3", "0x1", "12 V", "NaN", "Inf", "--1", "1234567890123456", "١"} {
		_, ok := plainNumber([]byte(text))
		assert.False(t, ok, text)
	}
}
