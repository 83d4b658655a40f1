package engine

import (
	"slices"

	"deadflat/internal/eval"
)

// The straight way is what most rows of a table need: every answer given
// beforehand, nothing done to the vehicle in between, and no reading near a
// limit. It runs each step's jump program until it comes to a finding, or to a
// step that surely asks for what the row does not give. It gives up, for the
// whole walk to take over, as soon as anything else comes up: another missing
// answer, a close call, a charge that was done, a retest. It comes to the same end
// as the walk, which a property test holds it to.

// straightStep is what a step needs on the straight way.
type straightStep struct {
	step   *Step
	ok     bool       // the step can be decided
	waits  bool       // it asks to be done
	behind []*Finding // of a step that changes the vehicle: all findings that can follow
	asks   bitset     // it surely asks for these readings when they are not given; nil if that is not sure
	need   bitset     // readings that must be given
	takes  bitset     // readings that the step takes
	looks  bitset     // other readings that its guards look at, nil for none: they count if a step of the way took them
	rules  []straightRule
	code   eval.Code
	target []Target
}

// asksFirst gives the readings for which the step surely waits: those of a step
// that decides only on all its answers, none of which is ever passed over. A
// branch that stops all work does not wait.
func (s *Step) asksFirst(recorded bitset) bitset {
	if !s.Kind.makesStale() && (!s.Together || s.Kind == Retest || slices.ContainsFunc(s.Branches, (*Branch).stops)) {
		return nil
	}
	out := append(bitset{}, recorded...)
	clear(out)
	for _, tk := range s.fields {
		if tk.optional || recorded.has(tk.reading.Index) {
			return nil
		}
		out.set(tk.reading.Index)
	}
	return out
}

// asksKnown reports whether a guard asks whether something is known: then all
// that is needed must be there, since what is missing could still be given.
func (s *Step) asksKnown() bool {
	for _, a := range s.decide.prog.Atoms {
		if a.Kind == eval.KnownIs {
			return true
		}
	}
	return false
}

// lookedAt notes what the guards of the step look at beside what it takes itself. It
// reports false when that is the take at one step, which the straight way does not
// keep.
func (p *straightStep) lookedAt(t *Tree) bool {
	for _, a := range p.step.decide.prog.Atoms {
		for _, v := range a.Vars() {
			switch {
			case v.Slot >= len(t.Readings):
				return false
			case p.takes.has(v.Slot):
			default:
				if p.looks == nil {
					p.looks = newBits(len(t.Readings))
				}
				p.looks.set(v.Slot)
			}
		}
	}
	return true
}

// takesUp reports whether a hazard rule comes to the same with all answers that the
// row gives as with those that the walk takes up for it: not when it asks what is
// known.
func (r *Rule) takesUp(t *Tree) bool {
	for _, a := range r.Holds.Program().Atoms {
		first := a.Kind == eval.Compare && slices.ContainsFunc(a.Diff.Terms, func(x eval.Term) bool { return x.First != nil })
		if first || a.Kind == eval.KnownIs || slices.ContainsFunc(a.Vars(), func(v *eval.Var) bool { return v.Slot >= len(t.Readings) }) {
			return false
		}
	}
	return true
}

type straightRule struct {
	index int
	code  eval.Code
}

// straighten prepares the steps of a tree.
func (t *Tree) straighten() []straightStep {
	out := make([]straightStep, len(t.Steps))
	recorded := newBits(len(t.Readings)) // somewhere, where they may be passed over
	for _, s := range t.Steps {
		for _, r := range s.Record {
			recorded.set(r.Index)
		}
	}
	for i, s := range t.Steps {
		p := &out[i]
		p.step, p.asks = s, s.asksFirst(recorded)
		p.waits = len(s.fields) == 0 && s.Kind != Decide
		if s.Kind.makesStale() {
			p.behind = t.among(s.findings)
		}
		p.need, p.takes = newBits(len(t.Readings)), newBits(len(t.Readings))
		for _, tk := range s.fields {
			p.takes.set(tk.reading.Index)
		}
		p.ok = p.lookedAt(t) && !s.Kind.makesStale() && s.Kind != Retest && (len(s.fields) > 0 || s.Kind == Decide)
		all := s.Together || len(s.decide.prog.Atoms) == 0
		for _, tk := range s.fields {
			// A field that may be left open once a branch is certain is not needed.
			if (all || s.asksKnown()) && !tk.optional || tk.reading.Assume != nil {
				p.need.set(tk.reading.Index)
			}
		}
		for _, r := range s.rules {
			if !r.takesUp(t) {
				p.ok, p.waits, p.asks = false, false, nil
			}
			p.rules = append(p.rules, straightRule{slices.Index(t.Before, r), eval.Compile([]*eval.Guard{r.Holds})})
		}
		var guards []*eval.Guard
		for _, b := range s.Branches {
			guards = append(guards, b.Guard)
			p.target = append(p.target, b.To)
		}
		p.code = eval.Compile(guards)
	}
	return out
}

// passed is one step of a straight way, and the branch it took.
type passed struct {
	step   int32
	branch int32
}

// straight walks as far as an end, or reports false.
func (r *Runner) straight() (Ending, bool) {
	r.way = r.way[:0]
	clear(r.took)
	i := 0
	for {
		p := &r.steps[i]
		for k := range p.rules {
			c := &p.rules[k]
			if r.safe.has(c.index) {
				continue
			}
			if c.code.Run(&r.env) != 0 {
				return Ending{}, false
			}
			r.safe.set(c.index)
		}
		switch {
		case p.waits:
			return Ending{Step: p.step}, true
		case p.asks != nil && !r.have.covers(p.asks):
			return Ending{Step: p.step, Needs: r.missing(p.step)[0]}, true
		case !p.ok || !r.have.covers(p.need) || !r.tookAll(p.looks):
			return Ending{}, false
		}
		b := p.code.Run(&r.env)
		if b < 0 {
			return Ending{}, false
		}
		r.way = append(r.way, passed{int32(i), int32(b)})
		r.env.Done[p.step.declared] = true
		r.took.or(p.takes)
		to := &p.target[b]
		if to.Finding != nil {
			return Ending{Finding: to.Finding}, true
		}
		i = to.Step.Index
	}
}

// tookAll reports whether the steps of the way took all of some readings that the row
// gives. The walk knows nothing of one that no step has taken.
func (r *Runner) tookAll(of bitset) bool {
	for i := range of {
		if of[i]&r.have[i]&^r.took[i] != 0 {
			return false
		}
	}
	return true
}

// missing lists the readings of a step that the row does not give.
func (r *Runner) missing(st *Step) []*Reading {
	var out []*Reading
	for _, tk := range st.fields {
		if !r.have.has(tk.reading.Index) {
			out = append(out, tk.reading)
		}
	}
	return out
}

// wantsStraight is Wants for a step on the straight way that changes the vehicle:
// nothing known counts beyond it, so every finding behind it is possible.
func (r *Runner) wantsStraight(st *Step) Wants {
	w := Wants{Step: st}
	if len(st.fields) == 0 {
		w.Names = append(w.Names, st.ID+".done")
	}
	for _, q := range r.missing(st) {
		w.Names = append(w.Names, q.ID)
	}
	w.Possible = r.steps[st.Index].behind
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
