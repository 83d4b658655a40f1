package engine

import (
	"slices"

	"deadflat/internal/eval"
)

// The fast path is for what most rows of a table are: every answer is given, the
// vehicle is not changed on the way, and no reading lies near a limit. Each step's
// guards run as a jump program until there is a finding, or a step that surely asks
// for something the row does not give. On anything else (a close call, another
// missing answer, a charge that was done, a retest) the fast path gives up, and the
// whole walk decides the row. A property test holds the two to the same end.

// fastStep is a step laid out for the fast path.
type fastStep struct {
	*Step
	decides bool       // the fast path can decide the step
	waits   bool       // it asks to be done
	asks    bitset     // it surely asks for those of these that are not given; nil if that is not sure
	need    bitset     // readings without which it cannot be decided
	takes   bitset     // readings that it takes
	looks   bitset     // other readings that its guards look at; nil for none
	ending  []*Finding // of a step that changes the vehicle: all findings that can follow
	rules   []fastRule
	code    eval.Code
}

type fastRule struct {
	index int // among the tree's hazard rules
	code  eval.Code
}

// fastSteps lays out the steps of a tree.
func (t *Tree) fastSteps() []fastStep {
	out := make([]fastStep, len(t.Steps))
	recorded := newBits(len(t.Readings)) // by any step: such a reading may have been passed over
	for _, s := range t.Steps {
		for _, r := range s.Record {
			recorded.set(r.Index)
		}
	}
	for i, s := range t.Steps {
		p := fastStep{Step: s, need: newBits(len(t.Readings)), takes: newBits(len(t.Readings))}
		known := slices.ContainsFunc(s.prog.Atoms, func(a *eval.Atom) bool { return a.Kind == eval.KnownIs })
		for _, f := range s.fields {
			p.takes.set(f.Reading.Index)
			// Another field may be left open once a branch is certain, unless a guard
			// asks what is known: what is missing could still be given.
			all := s.Together || len(s.prog.Atoms) == 0 || known
			if all && !f.Optional || f.Reading.Assume != nil {
				p.need.set(f.Reading.Index)
			}
		}
		asksDone := len(s.fields) == 0 && s.Kind != Decide
		p.decides = p.lookBack(t) && !s.Kind.MakesStale() && s.Kind != Retest && !asksDone
		if s.Kind.MakesStale() {
			p.ending = t.among(s.findings)
		}
		sure := true
		for _, r := range s.rules {
			sure = sure && r.indifferent(t)
			p.rules = append(p.rules, fastRule{slices.Index(t.Before, r), eval.Compile([]*eval.Guard{r.Holds})})
		}
		p.decides, p.waits = p.decides && sure, asksDone && sure
		if sure && s.asksAll(recorded) {
			p.asks = p.takes
		}
		var guards []*eval.Guard
		for _, b := range s.Branches {
			guards = append(guards, b.Guard)
		}
		p.code = eval.Compile(guards)
		out[i] = p
	}
	return out
}

// asksAll reports whether the step surely waits for all its readings: it decides on
// all of them, and none is ever passed over. A branch that stops all work does not wait.
func (s *Step) asksAll(recorded bitset) bool {
	if !s.Kind.MakesStale() && (!s.Together || s.Kind == Retest || slices.ContainsFunc(s.Branches, (*Branch).stops)) {
		return false
	}
	return !slices.ContainsFunc(s.fields, func(f FieldOf) bool { return f.Optional || recorded.has(f.Reading.Index) })
}

// lookBack notes which readings the guards look at that the step does not take itself.
// It reports false when one is the take at a certain step: the fast path keeps only the
// latest.
func (p *fastStep) lookBack(t *Tree) bool {
	for _, a := range p.prog.Atoms {
		for _, v := range a.Vars() {
			switch {
			case v.Slot >= len(t.Readings):
				return false
			case p.takes.has(v.Slot):
			case p.looks == nil:
				p.looks = newBits(len(t.Readings))
				fallthrough
			default:
				p.looks.set(v.Slot)
			}
		}
	}
	return true
}

// indifferent reports whether a hazard rule comes to the same over all answers of the
// row, those for later steps included, as over the ones that the walk has used by then.
// It does not when it asks what is known.
func (r *Rule) indifferent(t *Tree) bool {
	for _, a := range r.Holds.Program().Atoms {
		first := a.Kind == eval.Compare && slices.ContainsFunc(a.Diff.Terms, func(x eval.Term) bool { return x.First != nil })
		if first || a.Kind == eval.KnownIs || slices.ContainsFunc(a.Vars(), func(v *eval.Var) bool { return v.Slot >= len(t.Readings) }) {
			return false
		}
	}
	return true
}

// fast walks as far as an end, or reports false.
func (r *Runner) fast() (Ending, bool) {
	clear(r.took)
	p := &r.steps[0]
	for {
		for k := range p.rules {
			rule := &p.rules[k]
			if r.safe.has(rule.index) {
				continue
			}
			if rule.code.Run(&r.env) != 0 {
				return Ending{}, false
			}
			r.safe.set(rule.index)
		}
		switch {
		case p.waits, p.asks != nil && !r.have.covers(p.asks):
			return Ending{Step: p.Step}, true
		case !p.decides || !r.have.covers(p.need) || !r.tookAll(p.looks):
			return Ending{}, false
		}
		b := p.code.Run(&r.env)
		if b == eval.GiveUp {
			return Ending{}, false
		}
		r.env.Done[p.declared] = true
		r.took.or(p.takes)
		to := p.Branches[b].To
		if to.Finding != nil {
			return Ending{Finding: to.Finding}, true
		}
		p = &r.steps[to.Step.Index]
	}
}

// tookAll reports whether the steps passed took all of some readings that the row
// gives. The walk knows nothing of one that no step has taken.
func (r *Runner) tookAll(of bitset) bool {
	for i := range of {
		if of[i]&r.have[i]&^r.took[i] != 0 {
			return false
		}
	}
	return true
}

// fastWants is Wants at a step that changes the vehicle: nothing known counts beyond
// it, so every finding behind it is possible.
func (r *Runner) fastWants(st *Step) Wants {
	w := Wants{Step: st, Possible: r.steps[st.Index].ending}
	if len(st.fields) == 0 {
		w.Names = append(w.Names, st.ID+".done")
	}
	for _, f := range st.fields {
		if !r.have.has(f.Reading.Index) {
			w.Names = append(w.Names, f.Reading.ID)
		}
	}
	return w
}

func (b bitset) covers(o bitset) bool {
	for i := range o {
		if o[i]&^b[i] != 0 {
			return false
		}
	}
	return true
}
