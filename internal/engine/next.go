package engine

import (
	"slices"

	"deadflat/internal/eval"
)

// Next says what the walk asks for now.
func (w *Walk) Next() *Prompt {
	s := w.s
	p := &Prompt{Tree: s.t, Meter: w.meter, Round: s.round, Cranks: w.cranks, PutBack: slices.Clone(s.open), Back: w.back(s.open)}
	if !w.quiet {
		p.Possible = s.t.among(s.possible())
	}
	for i := range s.bare {
		if b := &s.bare[i]; b.ok {
			p.Waiting = append(p.Waiting, w.takeOf(s, sample{reading: s.t.Readings[i], field: -1, seq: b.seq, ans: b.ans, value: b.value, epoch: b.epoch}))
		}
	}
	switch {
	case s.end != nil:
		p.Result = w.result(s)
		p.Cautions = s.end.Cautions
		return p
	case s.at == nil:
		return p
	}
	st := s.at
	p.Step, p.Gate, p.Stuck = st, s.gate, s.stuck
	p.Cautions = st.Cautions
	p.Fewest, p.Most = st.fewest, st.most
	if !w.quiet {
		p.Do, p.Why = st.Do.Over(&s.env), st.Why.Over(&s.env)
	}
	if s.stuck != "" {
		return p
	}
	p.Ack = s.gate == nil && (len(st.fields) == 0 || s.mustShow(st))
	var wanted []open
	if !p.Ack { // what is known decides such a step
		wanted = s.wanted()
	}
	p.CanSkip = len(wanted) > 0
	for _, o := range wanted {
		p.CanSkip = p.CanSkip && o.optional
		p.Fields = append(p.Fields, w.field(o.reading, o.optional))
	}
	if s.gate != nil || w.quiet {
		return p
	}
	for i := range st.fields {
		if fd := &st.fields[i]; s.passes(fd) {
			if t := s.latest(fd.Reading); t != nil {
				p.Taken = append(p.Taken, w.takeOf(s, *t))
			}
		}
	}
	return p
}

// open is a reading that the walk asks for now.
type open struct {
	reading  *Reading
	optional bool
}

// wanted lists what the step asks for now: what its hazard rules still need, all
// rules together so that one page asks for all of it, else its open fields.
func (s *state) wanted() []open {
	var out []open
	if s.gate == nil {
		for i := range s.at.fields {
			if fd := &s.at.fields[i]; !s.passes(fd) {
				out = append(out, open{fd.Reading, fd.Optional})
			}
		}
		return out
	}
	for _, r := range s.at.rules {
		if r.Holds.Eval(&s.env) == eval.True {
			continue
		}
		for _, q := range r.Needs {
			v := &s.env.Values[q.Index]
			known := !v.Stale && v.State != eval.NotAsked
			if !known && !slices.ContainsFunc(out, func(o open) bool { return o.reading == q }) {
				out = append(out, open{q, false})
			}
		}
	}
	return out
}

// columnOf names the column that would give a reading which is asked for now.
func (s *state) columnOf(r *Reading) string {
	if s.at.Kind == Retest || s.latest(r) != nil {
		return s.at.ID + "." + r.ID
	}
	return r.ID
}

func (w *Walk) field(r *Reading, optional bool) Field {
	s := w.s
	if w.quiet {
		return Field{Reading: r, Name: s.columnOf(r), Optional: optional, Before: w.before(r)}
	}
	f := Field{Reading: r, Name: s.columnOf(r), Optional: optional, How: r.How.Over(&s.env), Slips: r.Slips.Over(&s.env), Cannot: r.Cannot.Over(&s.env)}
	if r.Good.known(&s.env) { // half a sentence of what is good helps nobody
		f.Good = r.Good.Over(&s.env)
	}
	if t := w.before(r); t != nil {
		f.Before = t
	}
	return f
}

// before is the latest take of a reading that is out of date, from this round or
// an earlier one.
func (w *Walk) before(r *Reading) *Take {
	for i := len(w.done); i >= 0; i-- {
		s := w.s
		if i < len(w.done) {
			s = w.done[i].s
		}
		for j := len(s.log) - 1; j >= 0; j-- {
			if l := &s.log[j]; l.reading.ID == r.ID && l.value.State == eval.Taken {
				t := w.takeOf(s, *l)
				t.Stale = true
				return &t
			}
		}
	}
	return nil
}

// latest is the newest entry of a reading in the log.
func (s *state) latest(r *Reading) *sample {
	for i := len(s.log) - 1; i >= 0; i-- {
		if s.log[i].reading == r {
			return &s.log[i]
		}
	}
	return nil
}

// result lays out the end of a round.
func (w *Walk) result(s *state) *Result {
	f := s.end
	r := &Result{Finding: f, Remedy: f.Remedy.Over(&s.env), Customer: f.Customer.Over(&s.env), Open: f.Open.Over(&s.env),
		PutBack: slices.Clone(s.open), Back: w.back(s.open), CanGoOn: f.Then != nil && s.round < maxRounds}
	r.Close, r.Missing, r.Certainty = s.certainty()
	cleared := newBits(len(s.t.Findings))
	for _, d := range s.decisions {
		for _, c := range d.clears() {
			if !cleared.has(c.Index) && c != f {
				cleared.set(c.Index)
				r.Cleared = append(r.Cleared, c)
			}
		}
	}
	if w.quiet {
		return r
	}
	for _, x := range s.t.Findings {
		if x == f || cleared.has(x.Index) || len(x.Faults) == 0 {
			continue
		}
		r.NotTested = append(r.NotTested, NotTested{Finding: x, Why: w.whyNot(s, x)})
	}
	return r
}

// trees are those of all rounds, in order.
func (w *Walk) trees() []*Tree {
	var out []*Tree
	for _, r := range w.done {
		out = append(out, r.s.t)
	}
	return append(out, w.s.t)
}

// back says how some temporary changes are put back, in the words of the latest tree
// that knows. A change may be left from an earlier round.
func (w *Walk) back(open []string) map[string]string {
	out := map[string]string{}
	for _, t := range w.trees() {
		for _, word := range open {
			if s := t.Words.Back[word]; s != "" {
				out[word] = s
			}
		}
	}
	return out
}

// whyNot says what became of the test that would have proved a finding.
func (w *Walk) whyNot(s *state, f *Finding) string {
	st := s.t.proves(f)
	if st == nil {
		return "not asked on this way"
	}
	for i := range st.fields {
		v := s.env.Values[st.fields[i].Reading.Index]
		switch v.State {
		case eval.Unable:
			if l := s.latest(st.fields[i].Reading); l != nil && l.why != "" {
				return "could not be taken: " + l.why
			}
			return "could not be taken"
		case eval.Skipped:
			return "skipped"
		case eval.Unsteady, eval.OverRange:
			return stateWords(v.State)
		}
	}
	if s.env.Done[st.declared] {
		return "tested, neither found nor ruled out"
	}
	return "not asked on this way"
}

// certainty lists the decisions that the doubt left open and the evidence that is not
// there, and says whether the finding is firm.
func (s *state) certainty() ([]CloseCall, []Missing, Certainty) {
	calls, missing := s.closeCalls(), s.lacking(s.end)
	if len(missing) > 0 || slices.ContainsFunc(calls, CloseCall.Open) {
		return calls, missing, Likely
	}
	return calls, missing, Firm
}

// closeCalls lists the decisions that the doubt left open: each other side is walked as
// far as the answers reach.
func (s *state) closeCalls() []CloseCall {
	var out []CloseCall
	for _, f := range s.forks {
		if f.at >= len(s.decisions) {
			continue
		}
		d := s.decisions[f.at]
		c := CloseCall{Step: d.step, Taken: d.branch, How: d.how.words()}
		for _, i := range d.others {
			if b := d.step.Branches[i]; b != d.branch {
				c.Other = append(c.Other, b)
			}
		}
		c.Margin, c.Doubt, c.Unit = closest(&d)
		c.Matters, c.Ends = s.otherSides(f, &d)
		c.Text = closeText(&d, &c)
		out = append(out, c)
	}
	return out
}

// otherSides walks the branches that were not taken with the answers that were
// given. It reports whether one ends in another action, and "unknown" when one
// needs an answer that nobody gave.
func (s *state) otherSides(f fork, d *decision) (matters bool, ends string) {
	if d.how == bySame || d.how == byBetter {
		return false, ""
	}
	for _, i := range d.others {
		b := d.step.Branches[i]
		if b == d.branch {
			continue
		}
		c := f.state.clone()
		c.leave(decision{step: d.step, branch: b, how: byNominal})
		c.offer(s, f.at)
		c.advance()
		switch {
		case c.end == nil:
			if !onlyAction(c.at, s.end) {
				ends = "unknown"
			}
		case c.end.action != s.end.action:
			return true, ends
		}
	}
	return matters, ends
}

func onlyAction(st *Step, f *Finding) bool {
	return st != nil && st.actions.count() == 1 && st.actions.has(f.action)
}

// offer hands a fork every answer that the walk took after it.
func (s *state) offer(from *state, since int) {
	at := 0
	if since < len(from.decisions) {
		at = from.decisions[since].from
	}
	for _, l := range from.log[min(at, len(from.log)):] {
		p := pending{ok: true, any: true, seq: l.seq, ans: l.ans, value: l.value}
		if l.field >= 0 {
			s.fields[l.field] = p
		} else {
			s.gates[gateAnswer{l.step, l.reading}] = p
		}
		if !s.bare[l.reading.Index].ok {
			s.bare[l.reading.Index] = p
		}
	}
	for _, d := range from.decisions[since:] {
		if len(d.step.fields) == 0 && d.how != byUnable {
			s.doneIn[d.step.Index] = true
		}
	}
	s.from = len(s.log)
}

func (h how) words() string {
	return [...]string{"clear", "same action", "better test", "safer side", "best value", "not sure", "could not be done", "hazard"}[h]
}
