package terminal

import (
	"strings"
	"testing"
	"unicode"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestWrap(t *testing.T) {
	assert.Equal(t, []string{"Red on the post;", "  black on the", "  block."}, wrap("Red on the post; black on the block.", 16, 2))
	assert.Equal(t, []string{"about", "12.5 V"}, wrap("about 12.5 V", 9, 0), "a number keeps its unit")
	assert.Equal(t, []string{"abcde", " fghi", " j"}, wrap("abcdefghij", 5, 1), "a long word is cut")
	assert.Equal(t, []string{""}, wrap("", 40, 0))
}

// No line is too long, and no letter is lost, whatever the text.
func TestWrapProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := clean(rapid.String().Draw(t, "text"))
		width, indent := rapid.IntRange(narrowest, widest).Draw(t, "width"), rapid.IntRange(0, 4).Draw(t, "indent")
		lines := wrap(text, width, indent)
		for _, l := range lines {
			assert.LessOrEqual(t, lipgloss.Width(l), width, "%q", l)
		}
		assert.Equal(t, squeeze(text), squeeze(strings.Join(lines, " ")))
	})
}

func TestCleanProperty(t *testing.T) {
	assert.Equal(t, "[31mred[0m two lines", clean("\x1b[31mred\x1b[0m\x07 two\nlines\u202e"))
	rapid.Check(t, func(t *rapid.T) {
		for _, r := range clean(string(rapid.SliceOf(rapid.Byte()).Draw(t, "bytes"))) {
			assert.False(t, unicode.IsControl(r) || unicode.Is(unicode.Cf, r), "%q", r)
		}
	})
}
