package engine

import (
	"fmt"

	"deadflat/internal/eval"
	"deadflat/internal/text"
)

// How a step decides.
//
// Every comparison of the step is worked out once, over everything that can be
// true, and each branch is then true, false or open. One true branch is taken.
// When only one is open it is taken too, since exactly one must hold. When
// several are open the doubt straddles a limit: if every way leads to the same
// action that is said and the walk goes on; else the better test that the limit
// names is taken; else the safer side, and the finding is provisional.

// room gives trace space for one step out of the state's own memory.
func (s *state) room(n int) []eval.Trace {
	if cap(s.traces)-len(s.traces) < n {
		s.traces = make([]eval.Trace, 0, max(256, 4*n))
	}
	at := len(s.traces)
	s.traces = s.traces[:at+n]
	return s.traces[at : at+n : at+n]
}

// tally sorts the branches of a step by what their guards come to.
type tally struct {
	yes, open, unknown int
	firstYes, lastOpen int
}

func count(st *Step, trace []eval.Trace) tally {
	var t tally
	for i, b := range st.Branches {
		v := eval.True
		if b.Guard != nil {
			v = b.Guard.Verdict(trace)
		}
		switch v {
		case eval.True:
			if t.yes == 0 {
				t.firstYes = i
			}
			t.yes++
		case eval.Open:
			t.lastOpen = i
			t.open++
		case eval.Unknown:
			t.unknown++
		}
	}
	return t
}

// holding lists the numbers of the branches whose guards come to v.
func holding(st *Step, trace []eval.Trace, v eval.Verdict) []int {
	var out []int
	for i, b := range st.Branches {
		if b.Guard == nil && v == eval.True || b.Guard != nil && b.Guard.Verdict(trace) == v {
			out = append(out, i)
		}
	}
	return out
}

// certain reports whether what is known already settles the step, so that its
// open fields need not be asked. What is still to be asked counts as not known,
// whatever was read earlier. It gives the branch, or nil. A branch that
// stops all work is taken at once, in the midst of a page as well.
func (s *state) certain(st *Step) *Branch {
	if len(st.prog.Atoms) == 0 || st.Kind.MakesStale() {
		return nil
	}
	s.await(st, true)
	mark := len(s.traces)
	trace := s.room(len(st.prog.Atoms))
	st.prog.Run(&s.env, trace)
	t := count(st, trace)
	s.traces = s.traces[:min(mark, len(s.traces))]
	s.await(st, false)
	if t.yes != 1 {
		return nil
	}
	return st.Branches[t.firstYes]
}

// await marks the step's open fields as still to be asked, or takes the mark off.
func (s *state) await(st *Step, on bool) {
	for i := range st.fields {
		fd := &st.fields[i]
		if s.passes(fd) {
			continue
		}
		s.env.Values[fd.Reading.Index].Awaited = on
		if fd.Slot >= 0 {
			s.env.Values[fd.Slot].Awaited = on
		}
	}
}

// decide takes the branch that holds.
func (s *state) decide(st *Step) {
	if st.Kind.MakesStale() {
		s.changed(st)
	}
	s.assume(st)
	trace := s.room(len(st.prog.Atoms))
	st.prog.Run(&s.env, trace)
	t := count(st, trace)
	d := decision{step: st, trace: trace}
	switch {
	case t.yes == 1:
		d.branch = st.Branches[t.firstYes]
	case s.suspect != nil && (t.yes > 1 || t.unknown == 0 && t.open == 0):
		s.resume(text.Lower(s.suspect.Title) + " cannot be judged out of order here")
		return
	case t.yes > 1:
		s.stuck = fmt.Sprintf("step %q: more than one branch holds (%s); the tree contradicts itself here", st.ID, branchTexts(st, holding(st, trace, eval.True)))
		return
	case t.unknown > 0:
		s.missingInput(st, trace)
		return
	case t.open == 1:
		d.branch = st.Branches[t.lastOpen]
	case t.open > 1:
		s.close(d, holding(st, trace, eval.Open))
		return
	default:
		s.stuck = fmt.Sprintf("step %q: no branch holds for these answers; the tree has a gap here", st.ID)
		return
	}
	s.leave(d)
}

func branchTexts(st *Step, which []int) string {
	var out []string
	for _, i := range which {
		out = append(out, st.Branches[i].Text)
	}
	return text.List(out, "and")
}

// missingInput deals with a decision that needs what is not known: a step reached by a
// suspicion asks for it, any other refuses.
func (s *state) missingInput(st *Step, trace []eval.Trace) {
	if st.Unable != nil {
		for i := range st.fields {
			if v := s.env.Values[st.fields[i].Reading.Index]; !v.Known() {
				s.leave(decision{step: st, branch: st.Unable, how: byUnable, trace: trace, why: text.Lower(st.fields[i].Reading.Ask) + " could not be taken"})
				return
			}
		}
	}
	var names []string
	for i, t := range trace {
		if t.Verdict != eval.Unknown {
			continue
		}
		a := st.prog.Atoms[i]
		if a.Kind == eval.Compare {
			if why := a.Diff.Why(s.env.Values); why != "" {
				s.stuck = fmt.Sprintf("step %q: the answers cannot be: %s; go back and look again", st.ID, why)
				return
			}
		}
		for _, v := range a.Vars() {
			val := &s.env.Values[v.Slot]
			name := v.ID + " (" + stateWords(val.State) + ")"
			if val.Stale {
				name = v.ID + " (from before the vehicle changed)"
			}
			if !val.Known() && !containsString(names, name) {
				names = append(names, name)
			}
		}
	}
	if s.suspect != nil {
		s.resume(fmt.Sprintf("%s cannot be judged yet without %s", text.Lower(s.suspect.Title), text.List(names, "and")))
		return
	}
	s.stuck = fmt.Sprintf("step %q cannot be decided without %s; go back, or take it", st.ID, text.List(names, "and"))
}

// close handles a decision that the doubt leaves open.
func (s *state) close(d decision, open []int) {
	st := d.step
	d.others = open
	if s.keepForks {
		s.forks = append(s.forks, fork{at: len(s.decisions), state: s.clone()})
	}
	nominal := s.nominal(st, d.trace, open, false, &d)
	switch {
	case s.same(st, open):
		d.how, d.branch = bySame, nominal
		if d.branch == nil {
			d.branch = st.Branches[open[0]]
		}
	case s.better(&d):
	case s.openChoice(st, d.trace) && st.Unsure != nil:
		d.how, d.branch = byUnsure, st.Unsure
	default:
		d.how, d.branch = bySafer, s.nominal(st, d.trace, open, true, &d)
		if d.branch == nil || d.limit == nil {
			d.how, d.branch = byNominal, nominal
		}
		if d.branch == nil {
			d.branch = st.Branches[open[0]]
		}
	}
	s.leave(d)
}

// same reports whether every open branch leads to one action and clears the same.
func (s *state) same(st *Step, open []int) bool {
	first := st.Branches[open[0]]
	set := append(bitset{}, st.actions...)
	clear(set)
	place := true
	for _, i := range open {
		b := st.Branches[i]
		if !sameFindings(b.Clears, first.Clears) {
			return false
		}
		place = place && b.To == first.To
		if f := b.To.Finding; f != nil {
			set.set(f.action)
		} else {
			set.or(b.To.Step.actions)
		}
	}
	return place || set.count() <= 1
}

func sameFindings(a, b []*Finding) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// better goes to the test that the limit, or the step, calls better, unless it
// has been done already or cannot be done.
func (s *state) better(d *decision) bool {
	for _, t := range d.step.betters {
		if s.env.Done[t.declared] || !s.has(t.Needs) || !s.calls(d, t) {
			continue
		}
		d.how = byBetter
		d.branch = &Branch{Index: -1, Text: "too close to call: take the better test", To: Target{Step: t}, Place: d.step.Place}
		return true
	}
	return false
}

// calls reports whether step t is the better test of a limit that is open here,
// or of the whole step, and notes the limit.
func (s *state) calls(d *decision, t *Step) bool {
	for i, tr := range d.trace {
		if tr.Verdict != eval.Open {
			continue
		}
		a := d.step.prog.Atoms[i]
		if a.Kind != eval.Compare {
			continue
		}
		for _, l := range a.Diff.Limits {
			if l.Better != "" && (t.ID == d.step.prefix+l.Better || t.ID == l.Better) {
				d.limit = l.Limit
				return true
			}
		}
	}
	return d.step.Better == t
}

// openChoice reports whether what is open is a choice, not a number.
func (s *state) openChoice(st *Step, trace []eval.Trace) bool {
	for i, t := range trace {
		if t.Verdict == eval.Open && st.prog.Atoms[i].Kind == eval.OneOf {
			return true
		}
	}
	return false
}

// nominal is the open branch that holds on the best values; with safer, on the
// safer side of every limit that names one. It is nil when none does.
func (s *state) nominal(st *Step, trace []eval.Trace, open []int, safer bool, d *decision) *Branch {
	var room [32]eval.Trace
	t := append(room[:0], trace...)
	if safer {
		for i := range t {
			if t[i].Verdict != eval.Open {
				continue
			}
			if holds, by := st.prog.Atoms[i].Safer(); by != nil {
				t[i].Nominal, d.limit = holds, by
			}
		}
	}
	for _, i := range open {
		if b := st.Branches[i]; b.Guard == nil || b.Guard.Nominal(t) {
			return b
		}
	}
	return nil
}

// possible is the set of findings that what is known still allows.
func (s *state) possible() bitset {
	out := newBits(len(s.t.Findings))
	if s.end != nil {
		out.set(s.end.Index)
		return out
	}
	if s.at == nil {
		return out
	}
	seen := make([]bool, len(s.t.Steps))
	s.explore(s.at, out, seen)
	return out
}

// explore goes down every branch that is not ruled out. Beyond something that
// changes the vehicle nothing known counts any more, so all of it is possible.
func (s *state) explore(st *Step, out bitset, seen []bool) {
	if seen[st.Index] {
		return
	}
	seen[st.Index] = true
	if st.Kind.MakesStale() || st.Kind == Retest && !s.fresh(st) {
		out.or(st.findings)
		return
	}
	for _, r := range st.rules {
		if v := r.Holds.Eval(&s.env); v != eval.True {
			out.set(r.Else.Index)
			if v == eval.False {
				return
			}
		}
	}
	mark := len(s.traces)
	trace := s.room(len(st.prog.Atoms))
	st.prog.Run(&s.env, trace)
	defer func() { s.traces = s.traces[:min(mark, len(s.traces))] }()
	for _, b := range st.Branches {
		if b.Guard == nil || b.Guard.Verdict(trace) != eval.False {
			s.exploreTo(b.To, out, seen)
		}
	}
	if st.Unable != nil && !s.fresh(st) {
		s.exploreTo(st.Unable.To, out, seen)
	}
	if st.Unsure != nil {
		s.exploreTo(st.Unsure.To, out, seen)
	}
	for _, t := range st.betters {
		if !s.env.Done[t.declared] {
			s.explore(t, out, seen)
		}
	}
}

func (s *state) exploreTo(to Target, out bitset, seen []bool) {
	if to.Finding != nil {
		out.set(to.Finding.Index)
		return
	}
	s.explore(to.Step, out, seen)
}

func stateWords(st eval.State) string {
	return [...]string{"not asked on this way", "taken", "assumed", "skipped", "could not be taken", "unsteady", "over range"}[st]
}
