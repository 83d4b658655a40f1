package source

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/mattn/go-runewidth"
)

// A line longer than widestLine runes is cut, leaving leadIn runes before the spot.
const (
	widestLine = 110
	leadIn     = 40
)

// widths counts the columns of a character the same way whatever the language of the machine.
var widths = &runewidth.Condition{EastAsianWidth: false, StrictEmojiNeutral: true}

// printLine writes the fault's line with its number and, under it, a caret for each column of the
// spot. A file that nobody kept has no lines to show.
func (f *Faults) printLine(w io.Writer, fault Fault) {
	lines := f.lines[fault.Place.File]
	if fault.Place.Line < 1 || fault.Place.Line > len(lines) {
		return
	}
	line := cells(strings.TrimSuffix(lines[fault.Place.Line-1], "\r"))
	from := min(max(fault.Place.Col-1, 0), len(line))
	to := min(from+fault.Width, len(line))

	first, last, before, after := 0, len(line), "", ""
	if len(line) > widestLine {
		first = max(0, from-leadIn)
		last = min(len(line), first+widestLine)
		to = min(to, last)
		if first > 0 {
			before = "…"
		}
		if last < len(line) {
			after = "…"
		}
	}
	number := fmt.Sprintf("%5d", fault.Place.Line)
	margin := strings.Repeat(" ", len(number))
	fmt.Fprintf(w, "%s | %s%s%s\n", number, before, strings.Join(line[first:last], ""), after)
	fmt.Fprintf(w, "%s | %s%s%s\n", margin, blanks(before), blanks(line[first:from]...), carets(line[from:to]))
}

// cells cuts a line into what is printed for each of its runes.
func cells(line string) []string {
	out := make([]string, 0, len(line))
	for len(line) > 0 {
		r, size := utf8.DecodeRuneInString(line)
		out = append(out, cell(r, line[:size]))
		line = line[size:]
	}
	return out
}

// cell is the printed form of one rune, or of one byte that is no UTF-8.
func cell(r rune, text string) string {
	switch {
	case r == utf8.RuneError && len(text) == 1:
		return fmt.Sprintf(`\x%02x`, text[0])
	case r == '\t':
		return text
	case !harmless(r) && r < 0x100:
		return fmt.Sprintf(`\x%02x`, r)
	case !harmless(r):
		return `\u` + fmt.Sprintf("%04x", r)
	}
	return text
}

// blanks is as wide as the cells, with their tabs kept, so that what follows lines up.
func blanks(cells ...string) string {
	var b strings.Builder
	for _, cell := range cells {
		if cell == "\t" {
			b.WriteByte('\t')
			continue
		}
		b.WriteString(strings.Repeat(" ", widths.StringWidth(cell)))
	}
	return b.String()
}

// carets is as wide as the cells, and never empty. Tabs inside the spot stay tabs.
func carets(cells []string) string {
	out := strings.ReplaceAll(blanks(cells...), " ", "^")
	if !strings.Contains(out, "^") {
		return "^"
	}
	return out
}

// visible writes a text on one line with every control code as an escape.
func visible(s string) string {
	var b strings.Builder
	for len(s) > 0 {
		r, size := utf8.DecodeRuneInString(s)
		switch r {
		case '\n', '\t', '\r':
			quoted := strconv.QuoteRune(r)
			b.WriteString(quoted[1 : len(quoted)-1])
		default:
			b.WriteString(cell(r, s[:size]))
		}
		s = s[size:]
	}
	return b.String()
}
