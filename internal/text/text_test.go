package text

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestClean(t *testing.T) {
	for in, want := range map[string]string{
		"  two\n\twords ":        "two words",
		"\x1b[31mred\x1b[0m\x07": "[31mred[0m",
		"\u009b2J":               "2J",
		"a\u202eb\u2066c\u200bd": "abcd",
		"one\u2028two":           "one two",
		"\xffx":                  "\ufffdx",
		"\u200dé \u200c":         "\u200dé \u200c",
		"\ufdd0\uffff\U0001fffe": "",
		"hard\u00a0space":        "hard space",
	} {
		assert.Equal(t, want, Clean(in))
	}
	rapid.Check(t, func(t *rapid.T) {
		s := Clean(string(rapid.SliceOf(rapid.Byte()).Draw(t, "bytes")) + rapid.String().Draw(t, "text"))
		assert.True(t, utf8.ValidString(s))
		assert.False(t, strings.ContainsFunc(s, Hidden), "%q", s)
		assert.Equal(t, s, Clean(s))
	})
}

func TestHidden(t *testing.T) {
	for _, r := range "aä電 °Ωµ½\u00a0\u200d\u200c\ufffd😀" {
		assert.Falsef(t, Hidden(r), "%U", r)
	}
	for _, r := range "\x00\a\t\n\r\x1b\x7f\u0085\u009b\u00ad\u200b\u200e\u2028\u2029\u202e\u2066\ufeff\ufdd0\ufffe\uffff\U0001ffff" {
		assert.Truef(t, Hidden(r), "%U", r)
	}
}

func TestSentences(t *testing.T) {
	for in, want := range map[string]string{
		"first": "First.", "second!": "Second!", "third?": "Third?", "": "", " ": "", "as follows:": "As follows:",
		"mV is small": "mV is small.", "é": "É.", "überspannung": "Überspannung.", "éclair": "Éclair.", "Ω": "Ω.", "Ωhm": "Ωhm.",
		"he said “yes.”": "He said “yes.”", "12 V": "12 V.", "電池": "電池.", "\u200bhidden": "Hidden.", "\xff": "\ufffd.",
	} {
		assert.Equal(t, want, Sentence(in))
	}
	for in, want := range map[string]string{
		"": "", "Battery": "battery", "Überspannung": "überspannung", "Éclair": "éclair", "E\u0301clair": "e\u0301clair", "Ωhm": "ωhm",
		"A battery": "a battery", "LED": "LED", "D+ terminal": "D+ terminal", "Ω": "Ω", "V across the post": "V across the post", "12 V": "12 V", "電池": "電池",
	} {
		assert.Equal(t, want, Lower(in))
	}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.String().Draw(t, "text")
		for _, f := range []func(string) string{Capital, Lower, Stop, Sentence} {
			assert.True(t, utf8.ValidString(f(s)), "%q", f(s))
		}
	})
}

func TestLists(t *testing.T) {
	assert.Equal(t, "", List(nil, "and"))
	assert.Equal(t, "a", List([]string{"a"}, "and"))
	assert.Equal(t, "a and b", List([]string{"a", "b"}, "and"))
	assert.Equal(t, "a, b or c", List([]string{"a", "b", "c"}, "or"))
	assert.Equal(t, "1 step", Count(1, "step"))
	assert.Equal(t, "0 steps", Count(0, "step"))
	assert.Equal(t, "2 branches", Count(2, "branch"))
	assert.Equal(t, "starter feed stud", Spoken("starter_feed_stud"))
}

func TestWrap(t *testing.T) {
	assert.Equal(t, []string{"Red on the post;", "  black on the", "  block."}, Wrap("Red on the post; black on the block.", 16, "", "  "))
	assert.Equal(t, []string{"- one two", "  three"}, Wrap("one two three", 10, "- ", "  "))
	assert.Equal(t, []string{"about", "12.5 V"}, Wrap("about 12.5 V", 9, "", ""), "a number keeps its unit")
	assert.Equal(t, []string{"read", "12.55 V ± 0.06 V."}, Wrap("read 12.55 V ± 0.06 V.", 18, "", ""))
	assert.Equal(t, []string{"12.55 V", "± 0.06 V"}, Wrap("12.55 V ± 0.06 V", 14, "", ""), "a narrow column")
	assert.Equal(t, []string{"wait", "30 minutes"}, Wrap("wait 30 minutes", 10, "", ""))
	assert.Equal(t, []string{"3 posts"}, Wrap("3 posts", 18, "", ""))
	assert.Equal(t, []string{"abcde", " fghi", " j"}, Wrap("abcdefghij", 5, "", " "), "a long word is cut")
	assert.Equal(t, []string{"漢字", "漢字"}, Wrap("漢字漢字", 5, "", ""), "wide letters count twice")
	assert.Empty(t, Wrap(" ", 5, "- ", "  "))
	assert.Equal(t, "漢字…", Shorten("漢字漢字", 6))
	assert.Equal(t, "a…", Shorten("a battery", 3), "no blank before the ellipsis")
	assert.Equal(t, "漢  ", Pad("漢", 4))
}

// No line is too long and no letter is lost, whatever the text.
func TestWrapProperty(t *testing.T) {
	squeeze := func(s string) string { return strings.Join(strings.Fields(s), "") }
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.String().Draw(t, "text")
		width, indent := rapid.IntRange(8, 80).Draw(t, "width"), strings.Repeat(" ", rapid.IntRange(0, 4).Draw(t, "indent"))
		lines := Wrap(s, width, "", indent)
		for _, l := range lines {
			assert.LessOrEqual(t, Width(l), width, "%q", l)
		}
		assert.Equal(t, squeeze(Clean(s)), squeeze(strings.Join(lines, "")))
	})
}
