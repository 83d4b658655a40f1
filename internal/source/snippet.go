package source

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"deadflat/internal/text"
)

// A line longer than widestLine runes is cut, leaving leadIn runes before the spot.
const (
	widestLine = 110
	leadIn     = 40
)

// printLine writes the fault's line with its number and, under it, a caret for each column of the
// spot. A file that nobody kept has no lines to show.
func (f *Faults) printLine(w io.Writer, fault Fault) {
	lines := f.lines[fault.Place.File]
	if fault.Place.Line < 1 || fault.Place.Line > len(lines) {
		return
	}
	line := strings.TrimSuffix(lines[fault.Place.Line-1], "\r")
	length := utf8.RuneCountInString(line)
	from := min(max(fault.Place.Col-1, 0), length)
	first, last, before, after := 0, length, "", ""
	if length > widestLine {
		first = max(0, from-leadIn)
		last = min(length, first+widestLine)
		if first > 0 {
			before = "…"
		}
		if last < length {
			after = "…"
		}
	}
	shown := cells(line, first, last)
	spot := shown[from-first : min(from+fault.Width, last)-first]
	number := fmt.Sprintf("%5d", fault.Place.Line)
	margin := strings.Repeat(" ", len(number))
	fmt.Fprintf(w, "%s | %s%s%s\n", number, before, strings.Join(shown, ""), after)
	fmt.Fprintf(w, "%s | %s%s%s\n", margin, blanks(before), blanks(shown[:from-first]...), carets(spot))
}

// cells cuts the runes of a line from first up to (not including) last into what is printed for each.
func cells(line string, first, last int) []string {
	out := make([]string, 0, last-first)
	for n := 0; n < last; n++ {
		r, size := utf8.DecodeRuneInString(line)
		if n >= first {
			out = append(out, cell(r, line[:size]))
		}
		line = line[size:]
	}
	return out
}

// cell is the printed form of one rune, or of one byte that is no UTF-8.
func cell(r rune, s string) string {
	switch {
	case r == utf8.RuneError && len(s) == 1:
		return fmt.Sprintf(`\x%02x`, s[0])
	case r == '\t':
		return s
	case text.Hidden(r) && r < 0x100:
		return fmt.Sprintf(`\x%02x`, r)
	case text.Hidden(r):
		return `\u` + fmt.Sprintf("%04x", r)
	}
	return s
}

// blanks is as wide as the cells, with their tabs kept, so that what follows lines up.
func blanks(cells ...string) string {
	var b strings.Builder
	for _, cell := range cells {
		if cell == "\t" {
			b.WriteByte('\t')
			continue
		}
		b.WriteString(strings.Repeat(" ", text.Width(cell)))
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
