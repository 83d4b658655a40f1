package engine

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"deadflat/internal/eval"
)

// Column is where one value of a row belongs: a reading's first take, the take
// at one step, or the word that a step has been done.
type Column struct {
	Name    string
	Reading *Reading // nil when the column says that Step was done or could not be
	Step    *Step    // nil for a bare name
	Unable  bool
	field   int
}

// Column finds what a name means: "rest_voltage" or its short name, "step.reading"
// for a later take, "step.done", "step.unable".
func (t *Tree) Column(name string) (Column, error) {
	c := Column{Name: name, field: -1}
	head, tail, ok := strings.Cut(name, ".")
	if !ok {
		if c.Reading = t.byShort(name); c.Reading == nil {
			return c, fmt.Errorf("%q is not a reading of tree %q", name, t.Name)
		}
		return c, nil
	}
	st, err := t.step(head)
	if err != nil {
		return c, err
	}
	c.Step = st
	switch tail {
	case "done":
		return c, nil
	case "unable":
		c.Unable = true
		return c, nil
	}
	i := slices.IndexFunc(st.fields, func(fd FieldOf) bool { return fd.Reading.ID == tail || fd.Reading.Short == tail })
	if i < 0 {
		if r := t.byShort(tail); r != nil && st.guards(r) {
			c.Reading = r
			return c, nil
		}
		return c, fmt.Errorf("step %q takes no reading %q", st.ID, tail)
	}
	c.Reading, c.field = st.fields[i].Reading, st.fields[i].index
	return c, nil
}

// Give gives one value as a person would type it: of a reading, "yes" or "no" for a
// step that was done, the reason for one that could not be. Plain numbers and whole
// choices, nearly all there are in a table, are read the quick way, to the same effect.
func (r *Runner) Give(c Column, text []byte) *Refusal {
	q := c.Reading
	switch {
	case q == nil:
		return r.mark(c, string(text))
	case q.Number():
		if v, ok := plainNumber(text); ok && r.PutNumber(c, q.Unit.Base(v)) {
			return nil
		}
	default:
		if i := slices.IndexFunc(q.Choices, func(c string) bool { return c == string(text) }); i >= 0 {
			r.PutChoice(c, i)
			return nil
		}
	}
	a, refusal := q.Parse(string(text), r.w.meter)
	if refusal == nil {
		refusal = r.Put(c, &a)
	}
	return refusal
}

// plainNumber reads "12.6", "-0.35" or "640". Everything else (a comma, a unit, an
// exponent, a long row of digits) is left to the reader of typed input.
func plainNumber(text []byte) (float64, bool) {
	if len(text) == 0 || len(text) > 15 || text[len(text)-1] < '0' {
		return 0, false
	}
	for _, c := range text {
		if (c < '0' || c > '9') && c != '.' && c != '-' {
			return 0, false
		}
	}
	v, err := strconv.ParseFloat(string(text), 64)
	return v, err == nil
}

// mark says that a column's step was done, or why it could not be.
func (r *Runner) mark(c Column, text string) *Refusal {
	switch {
	case c.Unable && c.Step.Unable == nil:
		return &Refusal{Reason: fmt.Sprintf("step %q has no other way on: take its readings, or leave this empty", c.Step.ID)}
	case !c.Unable:
		done, known := yesNo[text]
		if !known {
			return &Refusal{Reason: "expected yes or no"}
		}
		if !done {
			return nil
		}
	}
	r.marks = append(r.marks, mark{c, text})
	r.only = true
	return nil
}

var yesNo = map[string]bool{"yes": true, "y": true, "true": true, "done": true, "1": true, "no": false, "n": false, "false": false, "0": false}

// Put gives one answer. It is refused like a typed one, but for odd questions,
// which only a person can answer. The runner keeps the pointer until Reset.
func (r *Runner) Put(c Column, a *Answer) *Refusal {
	if a.State == "" {
		if ref := c.Reading.fits(a, r.w.meter); ref != nil {
			return ref
		}
	}
	v := r.place(&c, a)
	*v = r.w.meter.measure(c.Reading, a)
	r.only = r.only || v.State != eval.Taken
	return nil
}

// place is where the value of a column goes. What stands there is of an earlier
// row.
func (r *Runner) place(c *Column, a *Answer) *eval.Value {
	if c.Step != nil {
		r.puts = append(r.puts, put{column: *c, ans: a})
		r.only = true
		return &r.puts[len(r.puts)-1].value
	}
	i := c.Reading.Index
	if a != nil {
		r.ans[i] = a
	}
	r.have.set(i)
	return &r.env.Values[i]
}

// PutNumber gives a number in the reading's base unit, the fast way. It reports
// whether it lies inside the span.
func (r *Runner) PutNumber(c Column, base float64) bool {
	q := c.Reading
	if !(base >= q.Span[0] && base <= q.Span[1]) {
		return false
	}
	v := r.place(&c, nil)
	v.Best, v.State = base, eval.Taken
	wide := q.AlsoOutBy
	r.w.meter.doubt(q.meter, v, &wide)
	v.Below, v.Above = wide, wide
	return true
}

// PutChoice gives a choice by its number, counted from 0.
func (r *Runner) PutChoice(c Column, i int) {
	v := r.place(&c, nil)
	v.Set, v.State = 1<<uint(i), eval.Taken
}
