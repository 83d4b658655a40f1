package source

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestDidYouMean(t *testing.T) {
	known := []string{"title", "tree", "rest_voltage", "crank_voltage", "to", "if", "battery earth"}
	tests := []struct{ word, want string }{
		{"titel", "title"}, // two letters swapped
		{"rest_voltag", "rest_voltage"},
		{"rest-voltage", "rest_voltage"}, // hyphen for underscore
		{"Rest_Voltage", "rest_voltage"}, // capitals
		{"battery_erath", "battery earth"},
		{"ttile", "title"},
		{"ot", "to"},
		{"title", ""}, // a word is no suggestion for itself
		{"x", ""},     // too short to guess
		{"odometer", ""},
		{"", ""},
	}
	for _, tt := range tests {
		want := ""
		if tt.want != "" {
			want = `; did you mean "` + tt.want + `"?`
		}
		assert.Equal(t, want, DidYouMean(tt.word, known), tt.word)
	}
	assert.Equal(t, `; did you mean "cat"?`, DidYouMean("bat", []string{"rat", "cat"}), "the first in the alphabet")
}

func TestDidYouMeanIgnoresOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[a-c]{0,6}`)
		known := rapid.SliceOf(word).Draw(t, "known")
		typed := word.Draw(t, "typed")
		assert.Equal(t, DidYouMean(typed, known), DidYouMean(typed, rapid.Permutation(known).Draw(t, "shuffled")))
	})
}

// editDistance is a distance: none from a word to itself, the same both ways, at most one for one letter more.
func TestEditDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[a-c]{0,8}`)
		a, b := []rune(word.Draw(t, "a")), []rune(word.Draw(t, "b"))
		const far = 100
		assert.Zero(t, editDistance(a, a, far))
		assert.Equal(t, editDistance(a, b, far), editDistance(b, a, far))
		at := rapid.IntRange(0, len(a)).Draw(t, "at")
		longer := append(append(append([]rune{}, a[:at]...), 'x'), a[at:]...)
		assert.Equal(t, 1, editDistance(a, longer, far))
		limit := rapid.IntRange(1, 10).Draw(t, "limit")
		assert.Equal(t, min(editDistance(a, b, far), limit), editDistance(a, b, limit))
	})
}
