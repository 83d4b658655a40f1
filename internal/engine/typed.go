package engine

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"deadflat/internal/text"
	"deadflat/internal/unit"
)

// Typed is one answer read from a line.
type Typed struct {
	Reading *Reading
	Answer  Answer
}

// fits holds an answer against the reading's span or choices.
func (r *Reading) fits(a *Answer) *Refusal {
	if !r.Number() {
		for _, c := range a.Choice {
			if !slices.Contains(r.Choices, c) {
				return &Refusal{Reading: r, Reason: fmt.Sprintf("%q is not one of the choices: %s", c, strings.Join(r.Choices, "; "))}
			}
		}
		if len(a.Choice) == 0 && !a.Unsure {
			return &Refusal{Reading: r, Reason: "one of the choices is wanted: " + strings.Join(r.Choices, "; ")}
		}
		if a.Unsure && !r.Unsure {
			return &Refusal{Reading: r, Reason: `"not sure" is no answer here; look again, or say unable`}
		}
		return nil
	}
	u := r.Unit
	if a.Unit != "" {
		given, ok := unit.Lookup(a.Unit)
		if !ok || given.Dim != u.Dim {
			return &Refusal{Reading: r, Reason: fmt.Sprintf("%q was given where %s is wanted", a.Unit, u.Dim)}
		}
		u = given
	}
	if v := u.Base(a.Value); v < r.Span[0] || v > r.Span[1] || v != v {
		return r.outside(v, u)
	}
	return nil
}

func (r *Reading) outside(v float64, u *unit.Unit) *Refusal {
	return &Refusal{Reading: r, Reason: fmt.Sprintf("%s is outside what is possible here (%s to %s)", show(v, u), show(r.Span[0], r.Unit), show(r.Span[1], r.Unit))}
}

// smaller is the unit a thousandth as large that a meter may have been set to.
var smaller = map[string]string{"V": "mV", "A": "mA", "V/A": "mV/A", "Ah": "mAh"}

var states = map[string]string{"unsteady": "unsteady", "jumps": "unsteady", "jumping": "unsteady", "over range": "over range", "ol": "over range", "overload": "over range"}

var held = map[string]string{"lowest": "lowest", "low": "lowest", "min": "lowest", "minimum": "lowest",
	"highest": "highest", "high": "highest", "max": "highest", "maximum": "highest", "peak": "highest",
	"recording": "recording", "recorded": "recording", "settled": ""}

// Parse reads one field as a person types or says it: "12.55", "12,55 V",
// "twelve point five five", "8.8 lowest", "2" or "corr" for a choice, "not sure",
// "unsteady", "over range". It does not hold the answer against odd questions;
// the walk does.
func (t *Tree) Parse(r *Reading, typed string) (Answer, *Refusal) {
	s := strings.Join(strings.Fields(strings.ToLower(typed)), " ")
	a := Answer{Typed: typed}
	if s == "" {
		return a, &Refusal{Reading: r, Reason: "nothing was typed"}
	}
	if st, ok := states[s]; ok {
		a.State = st
		return a, nil
	}
	if !r.Number() {
		return r.parseChoice(a, s)
	}
	q, err := unit.ParseTyped(typed, r.Unit)
	if err != nil {
		return a, &Refusal{Reading: r, Reason: reason(err)}
	}
	a.Value, a.Unit = q.Value, q.Unit.Name
	if ref := r.rest(&a, q.Rest); ref != nil {
		return a, ref
	}
	return a, r.spanned(&a, q)
}

func reason(err error) string {
	var ref *unit.Refused
	if errors.As(err, &ref) {
		return ref.Error()
	}
	return err.Error()
}

// rest reads the words after a number: how the meter held it.
func (r *Reading) rest(a *Answer, rest string) *Refusal {
	rest, ref := r.ownDoubt(a, rest)
	if ref != nil {
		return ref
	}
	for _, w := range strings.Fields(strings.ToLower(rest)) {
		h, ok := held[strings.Trim(w, ",;()")]
		switch {
		case ok && h != "":
			a.Held = h
		case ok, w == "hold", w == "held", w == "about":
		default:
			return &Refusal{Reading: r, Reason: fmt.Sprintf("%q after the number is not understood; write lowest or highest if the meter held a peak", w)}
		}
	}
	return nil
}

// ownDoubt reads "± 0.1" or "+- 0.1 V" after a number: how far the person thinks
// it may be out, in the unit of the number.
func (r *Reading) ownDoubt(a *Answer, rest string) (string, *Refusal) {
	i := strings.Index(rest, "±")
	n := len("±")
	if j := strings.Index(rest, "+-"); i < 0 && j >= 0 {
		i, n = j, 2
	}
	if i < 0 {
		return rest, nil
	}
	u, _ := unit.Lookup(a.Unit)
	if u.Dim.Point {
		u, _ = unit.Lookup("K")
	}
	words := strings.Fields(rest[i+n:])
	q, used, err := unit.ScanTyped(words, u)
	if err != nil || used == 0 || q.Value < 0 {
		return rest, &Refusal{Reading: r, Reason: "after ± a number is wanted: how far it may be out"}
	}
	a.OutBy = u.From(q.Unit.Base(q.Value))
	return rest[:i] + strings.Join(words[used:], " "), nil
}

// spanned holds a number against the span, and suggests the smaller unit where
// that would fit and none was typed.
func (r *Reading) spanned(a *Answer, q unit.Typed) *Refusal {
	ref := r.fits(a)
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

func (r *Reading) parseChoice(a Answer, s string) (Answer, *Refusal) {
	if s == "not sure" || s == "unsure" || s == "?" || s == "don't know" || s == "dont know" {
		a.Unsure = true
		return a, r.fits(&a)
	}
	if n, err := strconv.Atoi(s); err == nil {
		if n == len(r.Choices)+1 && r.Unsure {
			a.Unsure = true
			return a, nil
		}
		if n < 1 || n > len(r.Choices) {
			if m := r.matching(s); len(m) == 1 { // "21" of "21 watts"
				a.Choice = m
				return a, nil
			}
			return a, &Refusal{Reading: r, Reason: fmt.Sprintf("there are choices 1 to %d", len(r.Choices))}
		}
		a.Choice = []string{r.Choices[n-1]}
		return a, nil
	}
	switch m := r.matching(s); len(m) {
	case 0:
		return a, &Refusal{Reading: r, Reason: fmt.Sprintf("%q is not one of the choices: %s", s, strings.Join(r.Choices, "; "))}
	case 1:
		a.Choice = m
		return a, nil
	default:
		return a, &Refusal{Reading: r, Reason: fmt.Sprintf("%q could be %s; type a little more", s, orList(m))}
	}
}

// matching lists the choices that typed text stands for: the whole of one, else
// those that begin with it, else those with a word that begins with it.
func (r *Reading) matching(s string) []string {
	var begins, inside []string
	for _, c := range r.Choices {
		l := strings.ToLower(c)
		switch {
		case l == s:
			return []string{c}
		case strings.HasPrefix(l, s):
			begins = append(begins, c)
		case strings.Contains(" "+l, " "+s):
			inside = append(inside, c)
		}
	}
	if len(begins) > 0 {
		return begins
	}
	return inside
}

func orList(words []string) string {
	q := make([]string, len(words))
	for i, w := range words {
		q[i] = strconv.Quote(w)
	}
	return text.List(q, "or")
}
