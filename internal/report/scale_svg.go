package report

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"deadflat/internal/markup"
	"deadflat/internal/text"
)

// Sizes of a drawn scale, in the drawing's own units (CSS pixels at full
// width).
const (
	scaleWidth = 640.0
	scaleEdge  = 22.0 // room beside the axis for half a tick label
	labelSize  = 12.0
	labelRow   = 15.0
	bandHeight = 16.0
	bandMiddle = 12.0 // above the axis
	labelGap   = 5.0  // between a limit and its label
	// letterWidth is generous for a 12 px sans-serif, so that labels keep clear
	// of each other whatever font is at hand. Source: measured on a wide face
	letterWidth  = 7.0
	labelLetters = 38 // of one line of a limit's label; a label has at most two
)

// The hues of the drawings. Each also differs in shape, so that the drawings
// read the same in grey.
const (
	inkColour   = "#1a1a1a"
	softColour  = "#555555"
	bandColour  = "#c9d3e0"
	limitColour = "#7a2e12"
	limitTint   = "#ead3c8"
)

// placedLabel is a limit's label and where its first line goes.
type placedLabel struct {
	limit limit
	lines []string
	x, y  float64
	text  float64 // where the text begins, or ends when it stands left of its line
}

// svg draws the scale. Limits hang from labels above the axis, the band of
// doubt and the diamond of the best value lie on it, the value is written under
// it.
func (s *scale) svg(m *markup.Writer) {
	labels, left, right, top := s.placeLabels()
	x := func(v float64) float64 { return left + s.share(v)*(right-left) }
	axisY := top + 26
	height := axisY + 44
	startDrawing(m, "scale", "0 0 "+px(scaleWidth)+" "+px(height), px(labelSize), s.title, s.words())
	s.drawBand(m, x, axisY)
	for _, l := range labels {
		l.draw(m, x, axisY)
	}
	s.drawAxis(m, x, axisY)
	s.drawValue(m, x(s.best), axisY)
	m.End()
}

// placeLabels gives every limit's label its own height, and finds the ends of
// the axis.
//
// All labels stand to the right of their limits, and the limit that ends first
// has its label on top: its line passes only the labels of limits that end
// further right, which begin beyond it, so nothing can cross. Where the mirror
// image of that leaves a longer axis, it is used instead.
func (s *scale) placeLabels() (labels []placedLabel, left, right, top float64) {
	for _, l := range s.limits {
		labels = append(labels, placedLabel{limit: l, lines: fold(l.label)})
	}
	left, right, mirrored := s.fitLabels(labels)
	slices.SortStableFunc(labels, func(a, b placedLabel) int {
		if mirrored {
			return cmp.Compare(b.limit.from, a.limit.from)
		}
		return cmp.Compare(a.limit.to, b.limit.to)
	})
	top = labelSize
	x := func(v float64) float64 { return left + s.share(v)*(right-left) }
	for i := range labels {
		l := &labels[i]
		l.y, l.x, l.text = top, x((l.limit.from+l.limit.to)/2), x(l.limit.to)+labelGap
		if mirrored {
			l.text = x(l.limit.from) - labelGap
		}
		top += labelRow*float64(len(l.lines)) + 3
	}
	return labels, left, right, top
}

// fitLabels finds the longest axis that leaves every label its room, with all
// labels to the right of their limits or, mirrored, to the left.
func (s *scale) fitLabels(labels []placedLabel) (left, right float64, mirrored bool) {
	low, high := scaleEdge, scaleWidth-scaleEdge
	left, right = low, high
	for _, l := range labels {
		if f := s.share(l.limit.to); f > 0 {
			right = math.Min(right, low+(scaleWidth-labelGap-l.width()-low)/f)
		}
		if f := 1 - s.share(l.limit.from); f > 0 {
			left = math.Max(left, high-(high-labelGap-l.width())/f)
		}
	}
	if high-left > right-low {
		return left, high, true
	}
	return low, right, false
}

// width is how much room the longest line of the label takes.
func (l placedLabel) width() float64 {
	return letterWidth * float64(widest(l.lines))
}

// draw draws a limit: a line down through the axis, or a hatched strip when the
// limit has a doubt of its own, and its label.
func (l placedLabel) draw(m *markup.Writer, x func(float64) float64, axisY float64) {
	top := l.y - labelSize + 2
	if from, to := x(l.limit.from), x(l.limit.to); to-from >= 1 {
		m.Void("rect", "x", px(from), "y", px(top), "width", px(to-from), "height", px(axisY+6-top),
			"fill", limitTint, "fill-opacity", "0.6", "stroke", limitColour, "stroke-width", "1", "stroke-dasharray", "2 2")
	} else {
		m.Void("line", "x1", px(l.x), "y1", px(top), "x2", px(l.x), "y2", px(axisY+6), "stroke", limitColour, "stroke-width", "2")
	}
	anchor := "start"
	if l.text < l.x {
		anchor = "end"
	}
	for i, line := range l.lines {
		m.Leaf("text", line, "x", px(l.text), "y", px(l.y+labelRow*float64(i)), "text-anchor", anchor, "fill", limitColour)
	}
}

// drawBand draws what can be true: a box with closed ends, or with an arrow
// head where a one-sided reading goes on.
func (s *scale) drawBand(m *markup.Writer, x func(float64) float64, axisY float64) {
	from, to := x(s.band[0]), x(s.band[1])
	if to-from < 3 {
		from, to = (from+to)/2-1.5, (from+to)/2+1.5
	}
	mid := axisY - bandMiddle
	y, low := mid-bandHeight/2, mid+bandHeight/2
	var path strings.Builder
	path.WriteString("M " + px(from) + " " + px(low))
	if s.open[0] {
		path.WriteString(" L " + px(from-9) + " " + px(mid))
	}
	path.WriteString(" L " + px(from) + " " + px(y) + " L " + px(to) + " " + px(y))
	if s.open[1] {
		path.WriteString(" L " + px(to+9) + " " + px(mid))
	}
	path.WriteString(" L " + px(to) + " " + px(low) + " Z")
	m.Void("path", "d", path.String(), "fill", bandColour, "stroke", inkColour, "stroke-width", "1")
}

// drawAxis draws the line, its ticks and their numbers, the unit at the last.
func (s *scale) drawAxis(m *markup.Writer, x func(float64) float64, axisY float64) {
	ticks := s.ticks()
	m.Void("line", "x1", px(x(s.from)), "y1", px(axisY), "x2", px(x(s.to)), "y2", px(axisY), "stroke", inkColour, "stroke-width", "1")
	for i, t := range ticks {
		m.Void("line", "x1", px(x(t.at)), "y1", px(axisY), "x2", px(x(t.at)), "y2", px(axisY+4), "stroke", inkColour, "stroke-width", "1")
		label := t.label
		if i == len(ticks)-1 {
			label += " " + s.unit
		}
		m.Leaf("text", label, "x", px(x(t.at)), "y", px(axisY+18), "text-anchor", "middle", "font-size", "11", "fill", softColour)
	}
}

// drawValue draws the diamond of the best value and writes the reading under
// the axis, kept inside the drawing.
func (s *scale) drawValue(m *markup.Writer, x, axisY float64) {
	diamond(m, x, axisY-bandMiddle, 5)
	half := letterWidth*float64(text.Width(s.value))/2 + 9
	at := math.Min(scaleWidth-half, math.Max(half+14, x))
	diamond(m, at-half, axisY+32, 4)
	m.Leaf("text", s.value, "x", px(at), "y", px(axisY+36), "text-anchor", "middle", "font-weight", "bold")
}

func diamond(m *markup.Writer, x, y, r float64) {
	m.Void("path", "d", "M "+px(x-r)+" "+px(y)+" L "+px(x)+" "+px(y-r)+" L "+px(x+r)+" "+px(y)+" L "+px(x)+" "+px(y+r)+" Z",
		"fill", inkColour)
}

// px prints a length of a drawing, a whole one without its nought.
func px(v float64) string { return strings.TrimSuffix(markup.Tenth(v), ".0") }

// fold breaks a label into at most two lines; what does not fit is cut with an
// ellipsis.
func fold(label string) []string {
	lines := text.Wrap(label, labelLetters, "", "")
	if len(lines) < 2 {
		return lines
	}
	return []string{lines[0], text.Shorten(strings.Join(lines[1:], " "), labelLetters)}
}

// startDrawing opens a drawing with the words that say the same.
func startDrawing(m *markup.Writer, kind, box, letters, title, words string) {
	head, desc := m.ID(kind), m.ID(kind)
	m.Start("svg", "xmlns", "http://www.w3.org/2000/svg", "viewBox", box, "role", "img", "aria-labelledby", head+" "+desc,
		"font-family", "system-ui, sans-serif", "font-size", letters, "fill", inkColour)
	m.Leaf("title", title, "id", head)
	m.Leaf("desc", words, "id", desc)
}
