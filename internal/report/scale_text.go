package report

import (
	"math"
	"strings"

	"deadflat/internal/text"
)

// widestScale is as wide as a scale is drawn however much room there is.
const widestScale = 72

// lines draws the scale in characters, at most width wide:
//
//	                  [===*===]
//	|--------|--------|--------|--------|--------|
//	11.8     12.0     12.2     12.4     12.6     12.8 V
//	                           ^ 12.40 V (charged enough to test)
//
// "[===*===]" is what can be true with the best value in it, "<" or ">" in
// place of a bracket goes on past the axis, "^" is a limit and "^--^" one with
// a doubt of its own.
func (s *scale) lines(width int) []string {
	ticks := s.ticks()
	last := max(10, min(width, widestScale)-text.Width(ticks[len(ticks)-1].label+" "+s.unit))
	col := func(v float64) int { return int(math.Round(s.share(v) * float64(last))) }
	out := []string{s.bandLine(col), s.axisLine(col), s.tickLine(col)}
	for _, l := range s.limits {
		out = append(out, limitLines(l, col, width)...)
	}
	if far := s.far(); far != "" {
		out = append(out, text.Wrap(text.Sentence(far), width, "", "")...)
	}
	return out
}

func (s *scale) bandLine(col func(float64) int) string {
	best := col(s.best)
	from, to := max(0, min(col(s.band[0]), best-1)), max(col(s.band[1]), best+1)
	ends := [2]rune{'[', ']'}
	if s.open[0] {
		ends[0] = '<'
	}
	if s.open[1] {
		ends[1] = '>'
	}
	row := blank(to + 1)
	for i := from; i <= to; i++ {
		row[i] = '='
	}
	row[from], row[to] = ends[0], ends[1]
	row[best] = '*'
	return string(row)
}

func (s *scale) axisLine(col func(float64) int) string {
	row := []rune(strings.Repeat("-", col(s.to)+1))
	for _, t := range s.ticks() {
		row[col(t.at)] = '|'
	}
	return string(row)
}

// tickLine writes the numbers of the ticks, leaving out those that would touch
// the one before; the last has the unit.
func (s *scale) tickLine(col func(float64) int) string {
	ticks := s.ticks()
	var row []rune
	final := col(s.to)
	for i, t := range ticks {
		at := col(t.at)
		isLast := i == len(ticks)-1
		clear := len(row) == 0 || at > len(row)
		if !isLast && (!clear || at+len(t.label) >= final) && i > 0 {
			continue
		}
		row = append(row, blank(at-len(row))...)
		row = append(row, []rune(t.label)...)
	}
	return string(row) + " " + s.unit
}

// limitLines marks a limit and names it, to the right of the mark where there
// is room, else on the lines below.
func limitLines(l limit, col func(float64) int, width int) []string {
	from, to := col(l.from), col(l.to)
	mark := "^"
	if to > from {
		mark = "^" + strings.Repeat("-", to-from-1) + "^"
	}
	row := strings.Repeat(" ", from) + mark
	switch n := text.Width(l.label); {
	case to+2+n <= width:
		return []string{row + " " + l.label}
	case n+1 <= from:
		return []string{strings.Repeat(" ", from-n-1) + l.label + " " + mark}
	default:
		return append([]string{row}, text.Wrap(l.label, width, "", "")...)
	}
}

func blank(n int) []rune { return []rune(strings.Repeat(" ", max(0, n))) }
