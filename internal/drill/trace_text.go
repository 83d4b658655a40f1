package drill

import (
	"fmt"
	"math"
	"strings"

	"github.com/guptarohit/asciigraph"
)

// Marks of the three lines of a drawn trace. They differ in shape, so that no
// colour is needed to tell them apart.
const (
	markTrue  = "*"
	markShown = "="
	markHeld  = "-"
)

// The least room that a drawing needs, columns and rows.
const (
	leastColumns = 30
	leastRows    = 5
)

// Seconds is how long a trace is: all of it, or the beginning that is shown when it
// is slowed down.
func (t *Trace) Seconds(slow bool) float64 {
	if slow {
		return slowSeconds
	}
	return traceSeconds
}

// Draw draws the trace up to a moment, in so many columns and rows at most. What is
// not yet there is left open, so that drawing it again and again shows it as it
// comes about.
func (t *Trace) Draw(slow bool, until float64, columns, rows int) []string {
	over := t.Seconds(slow)
	const labels = 10 // columns of the axis, and of what stands over at its end
	width := max(columns-labels, leastColumns-labels)
	low, high := t.bounds()
	lines := [][]float64{
		t.column(t.Volts, width, over, until, t.furthest),
		t.column(t.held(hold), width, over, until, last),
		t.column(t.display(), width, over, until, last),
	}
	chart := asciigraph.PlotMany(lines,
		asciigraph.Height(steps(high-low, max(rows-6, leastRows))), asciigraph.Precision(1),
		asciigraph.LowerBound(low), asciigraph.UpperBound(high),
		asciigraph.SeriesChars(asciigraph.CreateCharSet(markTrue), asciigraph.CreateCharSet(markHeld), asciigraph.CreateCharSet(markShown)),
		asciigraph.XAxisRange(0, over), asciigraph.XAxisTickCount(4),
		asciigraph.XAxisValueFormatter(func(x float64) string { return fmt.Sprintf("%.1f s", x) }))
	out := []string{"V"}
	for _, l := range strings.Split(chart, "\n") {
		out = append(out, strings.TrimRight(l, " "))
	}
	_, holds := t.words()
	at := min(len(t.Volts)-1, max(0, int(until/t.Step)))
	return append(out,
		fmt.Sprintf("%s true, the %s in each column", markTrue, holds),
		fmt.Sprintf("%s the display: %s", markShown, volts(t.display()[at])),
		fmt.Sprintf("%s a %s hold: %s", markHeld, holds, volts(t.held(hold)[at])))
}

// roundVolts are the steps in which an axis of volts may go.
var roundVolts = []float64{0.1, 0.2, 0.5, 1, 2, 5}

// steps is in how many round steps a span of whole volts is drawn, as many as there is
// room for.
func steps(span float64, room int) int {
	for _, each := range roundVolts {
		if n := math.Round(span / each); n <= float64(room) && math.Abs(n*each-span) < 1e-9 {
			return int(n)
		}
	}
	return room
}

// volts prints a voltage that may not be there yet.
func volts(x float64) string {
	if math.IsNaN(x) {
		return "nothing yet"
	}
	return fmt.Sprintf("%.2f V", x)
}

// bounds are the ends of the axis of volts, whole ones.
func (t *Trace) bounds() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, x := range t.Volts {
		low, high = math.Min(low, x), math.Max(high, x)
	}
	return math.Floor(low), math.Ceil(high)
}

// column makes one value of the samples of each column, NaN after a moment.
func (t *Trace) column(xs []float64, width int, over, until float64, of func([]float64) float64) []float64 {
	out := make([]float64, width)
	for c := range out {
		from, to := int(float64(c)*over/float64(width)/t.Step), int(float64(c+1)*over/float64(width)/t.Step)
		to = min(max(to, from+1), len(xs))
		out[c] = math.NaN()
		if from < to && float64(from)*t.Step <= until {
			out[c] = of(xs[from:to])
		}
	}
	return out
}

func last(xs []float64) float64 { return xs[len(xs)-1] }
