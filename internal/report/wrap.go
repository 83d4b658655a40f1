package report

import (
	"strings"
	"unicode/utf8"

	"github.com/mattn/go-runewidth"

	"deadflat/internal/unit"
)

// screen measures text in terminal columns, the same on every machine: the
// library's default asks the environment, and a report must not.
var screen = runewidth.Condition{}

// columns is how many terminal columns a text takes.
func columns(s string) int {
	if strings.IndexFunc(s, func(r rune) bool { return r >= utf8.RuneSelf }) < 0 {
		return len(s)
	}
	return screen.StringWidth(s)
}

// wrap cleans a text and breaks it into lines of at most width columns, at
// spaces where it can. An empty text has no lines.
func wrap(s string, width int) []string {
	var out []string
	line, taken := "", 0
	for _, word := range strings.Split(glue(clean(s)), " ") {
		word = strings.ReplaceAll(word, hardSpace, " ")
		takes := columns(word)
		if line != "" && taken+1+takes <= width {
			line, taken = line+" "+word, taken+1+takes
			continue
		}
		if line != "" {
			out = append(out, line)
		}
		for takes > width {
			head := screen.Truncate(word, width, "")
			if head == "" {
				break
			}
			out = append(out, head)
			word = word[len(head):]
			takes = columns(word)
		}
		line, taken = word, takes
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}

// pad fills a text with spaces up to width columns.
func pad(s string, width int) string {
	return s + strings.Repeat(" ", max(0, width-columns(s)))
}

// hardSpace is a space at which a line may not be broken.
const hardSpace = "\u00a0"

// glue keeps a number and its unit, and a reading and its doubt, on one line:
// "12.55 V ± 0.06 V" breaks nowhere. The text must be clean.
func glue(s string) string {
	words := strings.Split(s, " ")
	var b strings.Builder
	for i, word := range words {
		switch {
		case i == 0:
		case word == "±" || words[i-1] == "±" || isUnit(word) && endsInDigit(words[i-1]):
			b.WriteString(hardSpace)
		default:
			b.WriteByte(' ')
		}
		b.WriteString(word)
	}
	return b.String()
}

func endsInDigit(s string) bool { return s != "" && s[len(s)-1] >= '0' && s[len(s)-1] <= '9' }

// isUnit reports whether a word, less the marks after it, is a unit's name.
func isUnit(word string) bool {
	_, known := unit.Lookup(strings.TrimRight(word, ".,;:?)"))
	return known
}
