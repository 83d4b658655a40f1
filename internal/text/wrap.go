package text

import (
	"strings"

	"github.com/charmbracelet/x/ansi"

	"deadflat/internal/unit"
)

// Width is how many terminal columns a text takes.
func Width(s string) int { return ansi.StringWidth(s) }

// Pad fills a text with blanks up to width columns.
func Pad(s string, width int) string { return s + strings.Repeat(" ", max(0, width-Width(s))) }

// Shorten cuts a text to at most width columns, the last of them an ellipsis if something
// was cut.
func Shorten(s string, width int) string {
	if Width(s) <= width {
		return s
	}
	return strings.TrimRight(ansi.Truncate(s, width-1, ""), " ") + "…"
}

// Wrap cleans a text and breaks it into lines of at most width columns, at blanks where it
// can; a number stays with its unit. The first line begins with first, the others with rest,
// which are no wider than half of it. A text of nothing but blanks has no lines.
func Wrap(s string, width int, first, rest string) []string {
	s = Clean(s)
	if s == "" {
		return nil
	}
	var lines []string
	line, used, bare := first, Width(first), true // bare: no word stands on the line
	for _, word := range glued(s, width-max(Width(first), Width(rest))) {
		w := Width(word)
		if !bare && used+1+w > width {
			lines = append(lines, line)
			line, used, bare = rest, Width(rest), true
		}
		if !bare {
			line, used = line+" ", used+1
		}
		for used+w > width {
			head := cut(word, width-used)
			if head == word {
				break
			}
			lines = append(lines, line+head)
			word, line, used = word[len(head):], rest, Width(rest)
			w = Width(word)
		}
		line, used, bare = line+word, used+w, false
	}
	return append(lines, line)
}

// glued takes a clean text apart into what stays on one line. What is wider than a line is
// broken before its doubt: "12.55 V" and "± 0.06 V".
func glued(s string, room int) []string {
	var out []string
	for _, word := range strings.Split(Glue(s), " ") {
		if Width(word) > room {
			word = strings.ReplaceAll(word, hardSpace+"±", " ±")
		}
		for _, part := range strings.Split(word, " ") {
			out = append(out, strings.ReplaceAll(part, hardSpace, " "))
		}
	}
	return out
}

// cut is as much of a word as fits in width columns, one character at least.
func cut(word string, width int) string {
	head := ""
	for n := max(width, 1); head == ""; n++ {
		head = ansi.Truncate(word, n, "")
	}
	return head
}

// hardSpace is a blank at which a line may not be broken.
const hardSpace = "\u00a0"

// Glue keeps a number and its unit, and a reading and its doubt, on one line by hard
// spaces: "12.55 V ± 0.06 V" breaks nowhere. The text must be clean.
func Glue(s string) string {
	words := strings.Split(s, " ")
	var b strings.Builder
	for i, word := range words {
		switch {
		case i == 0:
		case word == "±" || words[i-1] == "±" || endsInDigit(words[i-1]) && isUnit(word):
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
	_, known := unit.Lookup(strings.TrimRight(word, `.,;:!?)"'”’`))
	return known
}
