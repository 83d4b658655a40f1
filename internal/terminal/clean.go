package terminal

import (
	"strings"
	"unicode"
)

// clean makes text from a tree, a job or a keyboard safe to print on one line:
// line breaks and tabs become blanks, and everything that steers a terminal or
// reorders what is shown is left out.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\r' || r == '\t' || r == '\u2028' || r == '\u2029':
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r):
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
}
