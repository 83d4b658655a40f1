package engine

import (
	"fmt"
	"math"

	"deadflat/internal/eval"
)

func ratio(margin, doubt float64) string {
	if doubt <= 0 {
		return ""
	}
	return fmt.Sprintf(" The margin is %.1f times the doubt.", margin/doubt)
}

// closest is the open comparison with the smallest margin for its doubt.
func closest(d *decision) (margin, doubt float64, unitName string) {
	best := math.Inf(1)
	for i, t := range d.trace {
		a := d.step.prog.Atoms[i]
		if t.Verdict != eval.Open || a.Kind != eval.Compare {
			continue
		}
		m, dt := t.Margin()
		if f := m / math.Max(dt, 1e-12); f < best {
			best, margin, doubt = f, m, dt
			unitName = a.Diff.Dim.String()
		}
	}
	return
}

// closeText is one close call in a sentence.
func closeText(d *decision, c *CloseCall) string {
	b := "At \"" + d.step.Title + "\" the readings are too close to a limit to call"
	if c.Doubt > 0 {
		b += fmt.Sprintf(" (the margin is %.1f times the doubt)", c.Margin/c.Doubt)
	}
	switch d.how {
	case bySame:
		return b + "; every way leads to the same action."
	case byBetter:
		return b + "; the better test \"" + targetTitle(d.branch.To) + "\" was taken instead."
	case byUnsure:
		return "At \"" + d.step.Title + "\" the answer was \"not sure\"."
	}
	b += "; the walk went on to \"" + targetTitle(d.branch.To) + "\""
	switch {
	case c.Matters:
		return b + ", and the other side would have ended in another action."
	case c.Ends != "":
		return b + ", and where the other side ends is not known without more readings."
	}
	return b + ", and the other side ends in the same action."
}
