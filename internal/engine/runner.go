package engine

import (
	"fmt"
	"math/bits"
	"slices"
	"strings"

	"deadflat/internal/eval"
)

// Runner decides one vehicle after another on one tree without a person: the
// same walk, fed from a row of readings, in memory that is used again for the
// next row. A field that is optional and not given counts as skipped. A Runner
// serves one goroutine at a time.
type Runner struct {
	w     Walk
	steps []straightStep
	env   eval.Env  // of the straight way
	have  bitset    // readings given by their bare names
	ans   []*Answer // of those readings, by index; nil for the quick calls
	safe  bitset    // hazard rules that hold for this row
	puts  []put
	marks []mark
	way   []passed
	took  bitset // readings that the steps of the way take
	asks  *Step  // where the straight way found that more is needed
	only  bool   // a later take was given, or reasons are wanted: the whole walk only
	ran   bool   // the whole walk has run
}

// put is one answer of the row that has no place among the bare names.
type put struct {
	column Column
	ans    *Answer
	value  eval.Value
}

type mark struct {
	column Column
	why    string
}

// Column is where one value of a row belongs: a reading's first take, the take
// at one step, or the word that a step has been done.
type Column struct {
	Name    string
	Reading *Reading // nil when the column says that Step was done or could not be
	Step    *Step    // nil for a bare name
	Unable  bool
	field   int
}

// NewRunner makes a runner whose readings were taken with the given meter.
func (t *Tree) NewRunner(m *Meter) *Runner {
	r := &Runner{steps: t.straighten(), have: newBits(len(t.Readings)), took: newBits(len(t.Readings)), safe: newBits(len(t.Before))}
	r.w = Walk{first: t, meter: m}
	r.w.s = newState(t, m, &r.w.kit)
	r.w.s.batch = true
	r.env.Values = make([]eval.Value, t.slots)
	r.ans = make([]*Answer, len(t.Readings))
	r.env.Done = make([]bool, len(t.Steps))
	return r
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
	i := slices.IndexFunc(st.takes, func(tk take) bool { return tk.reading.ID == tail || tk.reading.Short == tail })
	if i < 0 {
		if r := t.byShort(tail); r != nil && st.guards(r) {
			c.Reading = r
			return c, nil
		}
		return c, fmt.Errorf("step %q takes no reading %q", st.ID, tail)
	}
	c.Reading, c.field = st.takes[i].reading, st.takes[i].index
	return c, nil
}

// Reset forgets the row.
func (r *Runner) Reset() {
	for at, word := range r.have {
		for ; word != 0; word &= word - 1 {
			i := at*64 + bits.TrailingZeros64(word)
			r.env.Values[i].State = eval.NotAsked // the rest counts for nothing then
			if r.ans[i] != nil {
				r.ans[i] = nil
			}
		}
	}
	clear(r.env.Done)
	clear(r.have)
	clear(r.safe)
	r.puts, r.marks = r.puts[:0], r.marks[:0]
	r.asks, r.only, r.ran = nil, r.w.s.left != nil, false
}

// Put gives one answer. It is refused like a typed one, but for odd questions,
// which only a person can answer. The runner keeps the pointer until Reset.
func (r *Runner) Put(c Column, a *Answer) *Refusal {
	if a.State == "" {
		if ref := c.Reading.fits(a); ref != nil {
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

// Mark says that a column's step was done, or with a reason that it could not be. The
// error says that the step has no way on for that.
func (r *Runner) Mark(c Column, why string) error {
	if c.Unable && c.Step.Unable == nil {
		return fmt.Errorf("step %q has no other way on: take its readings, or leave %q empty", c.Step.ID, c.Name)
	}
	r.marks = append(r.marks, mark{c, why})
	r.only = true
	return nil
}

// Ending is where a row came to.
type Ending struct {
	Finding *Finding // nil when more is needed
	Step    *Step    // the step that asks for more
	Needs   *Reading // the first reading it asks for; nil when the step only wants to be done
	Stuck   string   // the tree cannot decide
}

// Run walks as far as the row reaches: the straight way if that will do.
func (r *Runner) Run() Ending {
	if !r.only {
		if e, ok := r.straight(); ok {
			r.asks = e.Step
			return e
		}
	}
	return r.wholeEnding()
}

// wholeEnding walks the row whole.
func (r *Runner) wholeEnding() Ending {
	r.whole()
	s := r.w.s
	if s.end != nil {
		return Ending{Finding: s.end}
	}
	e := Ending{Step: s.at, Stuck: s.stuck}
	if w := s.wanted(); len(w) > 0 {
		e.Needs = w[0].reading
	}
	return e
}

// whole walks the row with everything that a person's walk has.
func (r *Runner) whole() {
	s := r.w.s
	s.reset()
	r.w.visits, r.ran = nil, true
	for i := range s.bare {
		if r.have.has(i) {
			s.bare[i] = pending{ok: true, any: true, ans: r.ans[i], value: r.env.Values[i]}
		}
	}
	for i := range r.puts {
		p := &r.puts[i]
		waiting := pending{ok: true, any: true, ans: p.ans, value: p.value}
		if p.column.field >= 0 {
			s.fields[p.column.field] = waiting
		} else {
			s.gates[gateAnswer{p.column.Step, p.column.Reading}] = waiting
		}
	}
	for _, m := range r.marks {
		if m.column.Unable {
			s.unable[m.column.Step] = m.why
		} else {
			s.doneIn[m.column.Step.Index] = true
		}
	}
	s.advance()
}

// Certainty is how far the finding of the last Run can be relied on. On the
// straight way every decision was beyond doubt.
func (r *Runner) Certainty() Certainty {
	if !r.ran {
		return Firm
	}
	_, c := r.w.s.closeCalls()
	return c
}

// CloseCalls counts the close calls of the last Run.
func (r *Runner) CloseCalls() int {
	if !r.ran {
		return 0
	}
	return len(r.w.s.forks)
}

// Wants is what a row that came to no finding still needs.
type Wants struct {
	Step     *Step
	Names    []string // of the columns that would give what is asked for now and must be given
	Possible []*Finding
}

// Wants tells what the last Run still needs; it must have come to no finding.
func (r *Runner) Wants() Wants {
	if st := r.asks; st != nil && st.Kind.makesStale() {
		return r.wantsStraight(st)
	}
	if !r.ran {
		r.whole()
	}
	s := r.w.s
	w := Wants{Step: s.at}
	if s.gate == nil && len(s.at.takes) == 0 {
		w.Names = append(w.Names, s.at.ID+".done")
	}
	for _, o := range s.wanted() {
		if o.optional {
			continue
		}
		name := o.reading.ID
		if s.latest(o.reading) != nil {
			name = s.at.ID + "." + name
		}
		w.Names = append(w.Names, name)
	}
	w.Possible = s.t.among(s.possible())
	return w
}

// among lists the findings of a set.
func (t *Tree) among(set bitset) []*Finding {
	var out []*Finding
	for _, f := range t.Findings {
		if set.has(f.Index) {
			out = append(out, f)
		}
	}
	return out
}

// Explain switches the writing of explanations on or off for the rows to come.
func (r *Runner) Explain(on bool) {
	r.w.s.left, r.only = nil, on
	if on {
		r.w.s.left = r.w.visit
	}
}

// Record lays the last Run out whole. Its explanations are there when Explain
// was on.
func (r *Runner) Record() *Record {
	if !r.ran {
		r.whole()
	}
	return r.w.Record()
}
