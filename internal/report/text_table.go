package report

import (
	"slices"
	"strings"

	"deadflat/internal/text"
)

// Columns of a text table are two apart, and none is made narrower than
// narrowest: below that a table is printed as a list.
const (
	columnGap = 2
	narrowest = 13
)

// table prints a table in columns where the width has room for them, else as a
// list with one point a row.
func (t *textForm) table(tab table) {
	t.block("", "", tab.caption+":")
	t.WriteByte('\n')
	widths, ok := columnWidths(tab, t.width)
	if !ok || tab.small {
		t.tableAsList(tab)
		return
	}
	head := each(tab.head, func(h string) item { return item{text: h} })
	rule := each(widths, func(n int) item { return item{text: strings.Repeat("-", n)} })
	for _, row := range append([][]item{head, rule}, tab.rows...) {
		t.row(row, widths)
	}
}

// row prints one row, each cell wrapped to its column and what stands under it
// in parentheses.
func (t *textForm) row(cells []item, widths []int) {
	texts := make([][]string, len(cells))
	height := 0
	for i, c := range cells {
		texts[i] = text.Wrap(c.text, widths[i], "", "")
		if c.under != "" {
			texts[i] = append(texts[i], text.Wrap("("+c.under+")", widths[i], "", "")...)
		}
		height = max(height, len(texts[i]))
	}
	for n := range height {
		var line strings.Builder
		for i, lines := range texts {
			cell := ""
			if n < len(lines) {
				cell = lines[n]
			}
			line.WriteString(text.Pad(cell, widths[i]+columnGap))
		}
		t.WriteString(strings.TrimRight(line.String(), " ") + "\n")
	}
}

// columnWidths shares the width out: every column gets what its longest cell
// takes, and while that is too much the widest column gives way. False when the
// columns would become too narrow to read.
func columnWidths(tab table, width int) ([]int, bool) {
	widths := each(tab.head, text.Width)
	for _, row := range tab.rows {
		for i, c := range row {
			widths[i] = max(widths[i], text.Width(text.Clean(c.text)))
		}
	}
	room := width - columnGap*(len(widths)-1)
	total := 0
	for i := range widths {
		widths[i] = min(widths[i], width)
		total += widths[i]
	}
	for ; total > room; total-- {
		widest := slices.Index(widths, slices.Max(widths))
		if widths[widest] <= narrowest {
			return nil, false
		}
		widths[widest]--
	}
	return widths, true
}

func (t *textForm) tableAsList(tab table) {
	for _, row := range tab.rows {
		t.point(row[0])
		for i, cell := range row[1:] {
			if cell != (item{}) {
				t.block("  ", "      ", tab.head[i+1]+": "+cell.inline())
			}
		}
	}
}
