package drill

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"deadflat/internal/markup"
)

// Sizes of a drawn trace, CSS pixels.
const (
	svgWidth  = 640.0
	svgHeight = 260.0
	svgLeft   = 46.0 // of the axis of volts
	svgRight  = 12.0
	svgTop    = 12.0
	svgFoot   = 58.0
)

// The colours of the three lines. Each is drawn in another way as well: thin,
// thick, and dashed.
const (
	trueColour  = "#2a5674"
	shownColour = "#b0561f"
	heldColour  = "#444444"
)

// svgSteps is in how many steps the axis of volts goes at most.
const svgSteps = 8

// svgColumns is how many columns the truth is drawn in: each as a line from the
// lowest to the highest in it, so that no dip is lost.
const svgColumns = 290

// SVG draws the trace, all of it or its beginning, for a page. Nothing in it comes
// from outside.
func (t *Trace) SVG(slow bool) string {
	over := t.Seconds(slow)
	low, high := t.bounds()
	x := func(s float64) float64 { return svgLeft + s/over*(svgWidth-svgLeft-svgRight) }
	y := func(v float64) float64 { return svgTop + (high-v)/(high-low)*(svgHeight-svgTop-svgFoot) }
	var m markup.Writer
	m.Start("svg", "xmlns", "http://www.w3.org/2000/svg", "viewBox", "0 0 "+markup.Tenth(svgWidth)+" "+markup.Tenth(svgHeight), "role", "img",
		"font-family", "system-ui, sans-serif", "font-size", "12", "fill", "#1a1a1a")
	m.Leaf("title", t.Title(slow))
	m.Leaf("desc", strings.Join(t.Words(), " "))
	t.axes(&m, over, x, y)
	_, holds := t.words()
	curves := []curve{
		{"true", 0, t.envelope(over, x, y), []string{"stroke", trueColour, "stroke-width", "1"}},
		{fmt.Sprintf("the display, averaged over %.1f s", window), 90, t.stairs(t.display(), over, x, y), []string{"stroke", shownColour, "stroke-width", "3"}},
		{fmt.Sprintf("a %s hold of %.0f ms", holds, 1000*hold), 340, t.stairs(t.held(hold), over, x, y), []string{"stroke", heldColour, "stroke-width", "2", "stroke-dasharray", "5 3"}},
	}
	for _, l := range curves {
		m.Void("path", append([]string{"d", l.path, "fill", "none"}, l.stroke...)...)
	}
	for _, l := range curves {
		x, y := svgLeft+l.at, svgHeight-12
		m.Void("line", append([]string{"x1", markup.Tenth(x), "x2", markup.Tenth(x + 28), "y1", markup.Tenth(y - 4), "y2", markup.Tenth(y - 4)}, l.stroke...)...)
		m.Leaf("text", l.name, "x", markup.Tenth(x+34), "y", markup.Tenth(y))
	}
	m.End()
	return m.String()
}

// Title names the drawing.
func (t *Trace) Title(slow bool) string {
	if slow {
		return "The beginning of the crank, slowed down"
	}
	return "The crank"
}

// axes draws volts and seconds.
func (t *Trace) axes(m *markup.Writer, over float64, x, y func(float64) float64) {
	low, high := t.bounds()
	n := steps(high-low, svgSteps)
	for i := range n + 1 {
		v := low + (high-low)*float64(i)/float64(n)
		m.Void("line", "x1", markup.Tenth(svgLeft), "x2", markup.Tenth(svgWidth-svgRight), "y1", markup.Tenth(y(v)), "y2", markup.Tenth(y(v)), "stroke", "#d8dce0")
		m.Leaf("text", fmt.Sprintf("%g V", math.Round(10*v)/10), "x", markup.Tenth(svgLeft-5), "y", markup.Tenth(y(v)+4), "text-anchor", "end")
	}
	for i := range 6 {
		s := over * float64(i) / 5
		m.Leaf("text", fmt.Sprintf("%.2f s", s), "x", markup.Tenth(min(max(x(s), svgLeft+12), svgWidth-22)), "y", markup.Tenth(svgHeight-svgFoot+18), "text-anchor", "middle")
	}
}

// envelope draws the truth as the span in each column.
func (t *Trace) envelope(over float64, x, y func(float64) float64) string {
	lows, highs := t.column(t.Volts, svgColumns, over, over, slices.Min), t.column(t.Volts, svgColumns, over, over, slices.Max)
	var b strings.Builder
	for i := range lows {
		at := x((float64(i) + 0.5) / svgColumns * over)
		move := "L"
		if i == 0 {
			move = "M"
		}
		fmt.Fprintf(&b, "%s%.1f %.1f L%.1f %.1f ", move, at, y(highs[i]), at, y(lows[i]))
	}
	return strings.TrimSpace(b.String())
}

// stairs draws values that stand for a while.
func (t *Trace) stairs(xs []float64, over float64, x, y func(float64) float64) string {
	var b strings.Builder
	was := math.NaN()
	end := min(len(xs), int(over/t.Step))
	for i, v := range xs[:end] {
		at := x(float64(i) * t.Step)
		switch {
		case math.IsNaN(v) || v == was:
		case math.IsNaN(was):
			fmt.Fprintf(&b, "M%.1f %.1f ", at, y(v))
		default:
			fmt.Fprintf(&b, "H%.1f V%.1f ", at, y(v))
		}
		if !math.IsNaN(v) {
			was = v
		}
	}
	if b.Len() > 0 {
		fmt.Fprintf(&b, "H%.1f", x(over))
	}
	return b.String()
}

// curve is one way to see the trace: its name in the legend and how it is drawn.
type curve struct {
	name   string
	at     float64 // in the legend, from its left
	path   string
	stroke []string
}
