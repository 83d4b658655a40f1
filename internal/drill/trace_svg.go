package drill

import (
	"fmt"
	"html"
	"math"
	"slices"
	"strings"
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
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.0f %.0f" role="img" font-family="system-ui, sans-serif" font-size="12" fill="#1a1a1a">`, svgWidth, svgHeight)
	fmt.Fprintf(&b, "\n<title>%s</title>\n<desc>%s</desc>\n", html.EscapeString(t.Title(slow)), html.EscapeString(strings.Join(t.Words(), " ")))
	t.axes(&b, over, x, y)
	b.WriteString(`<path d="` + t.envelope(over, x, y) + `" fill="none" stroke="` + trueColour + `" stroke-width="1"/>` + "\n")
	b.WriteString(`<path d="` + t.stairs(t.display(), over, x, y) + `" fill="none" stroke="` + shownColour + `" stroke-width="3"/>` + "\n")
	b.WriteString(`<path d="` + t.stairs(t.held(hold), over, x, y) + `" fill="none" stroke="` + heldColour + `" stroke-width="2" stroke-dasharray="5 3"/>` + "\n")
	t.legend(&b)
	b.WriteString("</svg>\n")
	return b.String()
}

// Title names the drawing.
func (t *Trace) Title(slow bool) string {
	if slow {
		return "The beginning of the crank, slowed down"
	}
	return "The crank"
}

// axes draws volts and seconds.
func (t *Trace) axes(b *strings.Builder, over float64, x, y func(float64) float64) {
	low, high := t.bounds()
	n := steps(high-low, svgSteps)
	for i := range n + 1 {
		v := low + (high-low)*float64(i)/float64(n)
		fmt.Fprintf(b, `<line x1="%.1f" x2="%.1f" y1="%.1f" y2="%.1f" stroke="#d8dce0"/><text x="%.1f" y="%.1f" text-anchor="end">%g V</text>`+"\n",
			svgLeft, svgWidth-svgRight, y(v), y(v), svgLeft-5, y(v)+4, math.Round(10*v)/10)
	}
	for i := range 6 {
		s := over * float64(i) / 5
		fmt.Fprintf(b, `<text x="%.1f" y="%.1f" text-anchor="middle">%.2f s</text>`+"\n", min(max(x(s), svgLeft+12), svgWidth-22), svgHeight-svgFoot+18, s)
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

func (t *Trace) legend(b *strings.Builder) {
	y := svgHeight - 12
	_, holds := t.words()
	for i, l := range []struct{ name, colour, style string }{
		{"true", trueColour, `stroke-width="1"`},
		{fmt.Sprintf("the display, averaged over %.1f s", window), shownColour, `stroke-width="3"`},
		{fmt.Sprintf("a %s hold of %.0f ms", holds, 1000*hold), heldColour, `stroke-width="2" stroke-dasharray="5 3"`},
	} {
		x := svgLeft + []float64{0, 90, 340}[i]
		fmt.Fprintf(b, `<line x1="%.0f" x2="%.0f" y1="%.0f" y2="%.0f" stroke="%s" %s/><text x="%.0f" y="%.0f">%s</text>`+"\n", x, x+28, y-4, y-4, l.colour, l.style, x+34, y, l.name)
	}
}
