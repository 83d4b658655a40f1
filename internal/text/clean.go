package text

import (
	"strings"
	"unicode"
)

// Clean makes text from a tree, a job, a file name or a keyboard safe to print on one
// line: a run of white space becomes one blank, none stands at either end, and what is
// Hidden is left out. Bytes that are not UTF-8 become U+FFFD.
func Clean(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case Hidden(r):
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
	return strings.Join(strings.Fields(s), " ")
}

// Hidden reports whether a character steers a screen or reorders what is shown instead of
// being seen: control codes, C1 included, bidirectional and zero-width marks, separators of
// lines and paragraphs, and what is never a character by the Unicode standard. The two joiners
// are none of them, because some scripts are not written without them.
func Hidden(r rune) bool {
	if r >= ' ' && r <= '~' {
		return false // what nearly all text is made of
	}
	const nonJoiner, joiner = '\u200c', '\u200d'
	if r == nonJoiner || r == joiner {
		return false
	}
	if r&0xfffe == 0xfffe || r >= 0xfdd0 && r <= 0xfdef {
		return true
	}
	return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp, unicode.Cs)
}
