package calc

import (
	"fmt"
	"math"
	"strings"

	"deadflat/internal/unit"
)

// Impossible says why nothing was worked out: the numbers put in cannot be, they
// contradict one another, or nothing is published that leads from them to an
// answer.
type Impossible struct{ Reason string }

// Error is the reason in plain English, without a full stop.
func (e *Impossible) Error() string { return e.Reason }

// Impossiblef makes the error.
func Impossiblef(format string, args ...any) error {
	return &Impossible{fmt.Sprintf(format, args...)}
}

// Quantity is what a number measures, and the span outside of which it is a slip
// of the meter or of the hand.
type Quantity struct {
	Title, Unit string
	Lo, Hi      float64
	Under, Over string    // what a number below or above the span usually means
	Only        []float64 // when set, the only values there are
}

// Measure is the unit of the quantity.
func (q *Quantity) Measure() *unit.Unit { return unit.Must(q.Unit) }

// Check refuses, as Impossible, a range that is not finite and in order, or that
// leaves the span.
func (q *Quantity) Check(r unit.Range) error {
	for _, v := range []float64{r.Lo, r.Best, r.Hi} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return Impossiblef("%s is not a finite number", q.Title)
		}
	}
	if r.Lo > r.Best || r.Best > r.Hi {
		return Impossiblef("%s: the best value must lie between the two ends", q.Title)
	}
	if len(q.Only) > 0 {
		return q.checkOnly(r)
	}
	v, hint := r.Lo, q.Under
	if r.Lo >= q.Lo {
		if r.Hi <= q.Hi {
			return nil
		}
		v, hint = r.Hi, q.Over
	}
	if hint != "" {
		hint = ": " + hint
	}
	return Impossiblef("%s is %s, expected %s to %s%s", q.Title, Show(v, q.Unit), Show(q.Lo, q.Unit), Show(q.Hi, q.Unit), hint)
}

func (q *Quantity) checkOnly(r unit.Range) error {
	var names []string
	for _, v := range q.Only {
		if r == unit.Exactly(v) {
			return nil
		}
		names = append(names, Show(v, "1"))
	}
	return Impossiblef("%s is %s, expected one of %s (%s)", q.Title, Show(r.Best, q.Unit), strings.Join(names, ", "), q.Unit)
}

// Show writes a number for a sentence, to four figures, with its unit.
func Show(v float64, unitName string) string {
	u := unit.Must(unitName)
	decimals := 0
	if v != 0 {
		decimals = max(0, 3-int(math.Floor(math.Log10(math.Abs(v)))))
	}
	if unitName == "%" || unitName == "°C" {
		decimals = min(decimals, 1)
	}
	number, name, _ := strings.Cut(unit.Format(u.Base(v), u, decimals), " ")
	if strings.Contains(number, ".") {
		number = strings.TrimSuffix(strings.TrimRight(number, "0"), ".")
	}
	return strings.TrimSpace(number + " " + name)
}

// ShowRange writes a range for a sentence: "13.8 to 14.8 V".
func ShowRange(r unit.Range, unitName string) string {
	if r.Lo == r.Hi {
		return Show(r.Lo, unitName)
	}
	lo, _, _ := strings.Cut(Show(r.Lo, unitName), " ")
	return lo + " to " + Show(r.Hi, unitName)
}
