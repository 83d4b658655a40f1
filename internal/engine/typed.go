package engine

import (
	"errors"
	"fmt"
	"strings"

	"deadflat/internal/unit"
)

// Typed is one answer read from a line.
type Typed struct {
	Reading *Reading
	Answer  Answer
}

// fits holds an answer, read from meter m, against the reading's span or choices.
func (r *Reading) fits(a *Answer, m *Meter) *Refusal {
	if !r.Number() {
		return r.fitsChoice(a)
	}
	u := r.Unit
	if a.Unit != "" {
		given, ok := unit.Lookup(a.Unit)
		if !ok || given.Dim != u.Dim {
			return &Refusal{Reading: r, Reason: fmt.Sprintf("%q was given where %s is wanted", a.Unit, u.Dim)}
		}
		u = given
	}
	if v := u.Base(a.Value); !m.possible(r, v) {
		return &Refusal{Reading: r, Reason: fmt.Sprintf("%s is outside what is possible here (%s to %s)", show(v, u), show(r.Span[0], r.Unit), show(r.Span[1], r.Unit))}
	}
	return nil
}

// smaller is the unit a thousandth as large that a meter may have been set to.
var smaller = map[string]string{"V": "mV", "A": "mA", "V/A": "mV/A", "Ah": "mAh"}

var states = map[string]string{"unsteady": "unsteady", "jumps": "unsteady", "jumping": "unsteady", "over range": "over range", "ol": "over range", "overload": "over range"}

var held = map[string]string{"lowest": "lowest", "low": "lowest", "min": "lowest", "minimum": "lowest",
	"highest": "highest", "high": "highest", "max": "highest", "maximum": "highest", "peak": "highest",
	"recording": "recording", "recorded": "recording", "settled": ""}

// Parse reads one field as a person types or says it: "12.55", "12,55 V", "twelve
// point five five", "12.4 ± 0.05", "12.3 to 12.5", "8.8 lowest", "2" or "corr" for a
// choice, "not sure", "unsteady", "over range". Meter m is what a number was read
// from; nil is one that is never out. It does not hold the answer against odd
// questions; the walk does.
func (r *Reading) Parse(typed string, m *Meter) (Answer, *Refusal) {
	s := strings.Join(strings.Fields(strings.ToLower(typed)), " ")
	a := Answer{Typed: typed}
	if s == "" {
		return a, &Refusal{Reading: r, Reason: "nothing was typed"}
	}
	if !r.Number() {
		return r.parseChoice(a, s)
	}
	if st, ok := states[s]; ok {
		a.State = st
		return a, nil
	}
	q, err := unit.ParseTyped(typed, r.Unit)
	if err != nil {
		return a, &Refusal{Reading: r, Reason: reason(err)}
	}
	words := strings.Fields(q.Rest)
	n, ref := r.number(&a, q, words)
	if ref == nil && n < len(words) {
		ref = &Refusal{Reading: r, Reason: fmt.Sprintf("%q after the number is not understood; write lowest or highest if the meter held a peak", strings.ToLower(words[n]))}
	}
	if ref != nil {
		return a, ref
	}
	return a, r.spanned(&a, q, m)
}

func reason(err error) string {
	var ref *unit.Refused
	if errors.As(err, &ref) {
		return ref.Error()
	}
	return err.Error()
}

// number makes an answer of a quantity and the words after it, which say how far it
// may be out and how the meter held it. It stops at the first that says neither.
func (r *Reading) number(a *Answer, q unit.Typed, words []string) (n int, ref *Refusal) {
	for n < len(words) {
		used, err := q.ScanOutBy(words[n:])
		if err != nil {
			return n, &Refusal{Reading: r, Reason: reason(err)}
		}
		if used > 0 {
			n += used
			continue
		}
		w := strings.ToLower(strings.Trim(words[n], ",;()"))
		if h, ok := held[w]; ok {
			a.Held = h
		} else if w != "hold" && w != "held" && w != "about" {
			break
		}
		n++
	}
	a.Value, a.Unit, a.OutBy = q.Value, q.Unit.Name, q.OutBy
	return n, nil
}

// spanned holds a number against the span, and suggests the smaller unit where
// that would fit and none was typed.
func (r *Reading) spanned(a *Answer, q unit.Typed, m *Meter) *Refusal {
	ref := r.fits(a, m)
	if ref == nil {
		return nil
	}
	name, ok := smaller[q.Unit.Name]
	if q.Given || !ok {
		return ref
	}
	u, _ := unit.Lookup(name)
	if v := u.Base(q.Value); v >= r.Span[0] && v <= r.Span[1] {
		ref.Suggest = unit.Format(v, u, -1)
	}
	return ref
}
