package engine

import (
	"math/bits"
	"slices"

	"deadflat/internal/eval"
)

// Runner decides one vehicle after another on one tree without a person: the
// same walk, fed from a row of readings, in memory that is used again for the
// next row. A field that is optional and not given counts as skipped. A Runner
// serves one goroutine at a time.
type Runner struct {
	w     Walk
	steps []fastStep
	env   eval.Env  // of the fast path
	have  bitset    // readings given by their bare names
	ans   []*Answer // of those readings, by index; nil for the quick calls
	safe  bitset    // hazard rules that hold for this row
	puts  []put
	marks []mark
	took  bitset   // readings that the steps passed on the fast path take
	found *Finding // of the fast path
	asks  *Step    // where the fast path found that more is needed
	only  bool     // a later take was given, or reasons are wanted: the whole walk only
	ran   bool     // the whole walk has run
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

// NewRunner makes a runner whose readings were taken with the given meter.
func (t *Tree) NewRunner(m *Meter) *Runner {
	r := &Runner{steps: t.fastSteps(), have: newBits(len(t.Readings)), took: newBits(len(t.Readings)), safe: newBits(len(t.Before))}
	r.w = Walk{first: t, meter: m, kit: Kit{Meter: m.Name}}
	r.w.s = newState(t, m, &r.w.kit)
	r.w.s.batch = true
	r.env.Values = make([]eval.Value, t.slots)
	r.ans = make([]*Answer, len(t.Readings))
	r.env.Done = make([]bool, len(t.Steps))
	return r
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

// Ending is where a row came to.
type Ending struct {
	Finding *Finding // nil when more is needed
	Step    *Step    // the step that asks for more
	Stuck   string   // the tree cannot decide
}

// Run walks as far as the row reaches: on the fast path if that will do.
func (r *Runner) Run() Ending {
	if !r.only {
		if e, ok := r.fast(); ok {
			r.asks, r.found = e.Step, e.Finding
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
	return Ending{Step: s.at, Stuck: s.stuck}
}

// whole walks the row with everything that a person's walk has.
func (r *Runner) whole() {
	s := r.w.s
	s.reset()
	r.w.visits, r.ran = nil, true
	seq := 0
	for i := range s.bare {
		if r.have.has(i) {
			seq++
			s.bare[i] = pending{ok: true, any: true, seq: seq, ans: r.ans[i], value: r.env.Values[i]}
		}
	}
	for i := range r.puts {
		p := &r.puts[i]
		waiting := pending{ok: true, any: true, seq: seq + 1 + i, ans: p.ans, value: p.value}
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
// fast path every decision was beyond doubt.
func (r *Runner) Certainty() Certainty {
	switch {
	case r.ran && r.w.s.end != nil:
		_, _, c := r.w.s.certainty()
		return c
	case r.ran || r.found == nil:
		return "" // more is needed
	}
	for _, e := range r.found.RestsOn {
		if !slices.ContainsFunc(e, r.stands) {
			return Likely
		}
	}
	return Firm
}

// stands reports whether a ground of the finding stood on the fast path, where nothing
// changed the vehicle.
func (r *Runner) stands(g Ground) bool {
	if g.Step != nil {
		return r.env.Done[g.Step.declared]
	}
	i := g.Reading.Index
	if !r.have.has(i) || r.env.Values[i].State != eval.Taken {
		return false
	}
	gate := func(rule *Rule) bool { return slices.Contains(rule.Needs, g.Reading) }
	return r.took.has(i) || slices.ContainsFunc(r.w.first.Before, func(rule *Rule) bool {
		return r.safe.has(slices.Index(r.w.first.Before, rule)) && gate(rule)
	})
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
	if st := r.asks; st != nil && st.Kind.MakesStale() {
		return r.fastWants(st)
	}
	if !r.ran {
		r.whole()
	}
	s := r.w.s
	w := Wants{Step: s.at}
	if s.gate == nil && len(s.at.fields) == 0 {
		w.Names = append(w.Names, s.at.ID+".done")
	}
	for _, o := range s.wanted() {
		if !o.optional {
			w.Names = append(w.Names, s.columnOf(o.reading))
		}
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
