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
	for _, tk := range s.takes {
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
		p.waits = len(s.takes) == 0 && s.Kind != Decide
		if s.Kind.makesStale() {
			p.behind = t.among(s.findings)
		}
		p.ok = !s.Kind.makesStale() && s.Kind != Retest && (len(s.takes) > 0 || s.Kind == Decide)
		p.need = newBits(len(t.Readings))
		all := s.Together || len(s.decide.prog.Atoms) == 0
		for _, tk := range s.takes {
			// A field that may be left open once a branch is certain is not needed.
			if (all || s.asksKnown()) && !tk.optional || tk.reading.Assume != nil {
				p.need.set(tk.reading.Index)
			}
		}
		for _, r := range s.rules {
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
		case !p.ok || !r.have.covers(p.need):
			return Ending{}, false
		}
		b := p.code.Run(&r.env)
		if b < 0 {
			return Ending{}, false
		}
		r.way = append(r.way, passed{int32(i), int32(b)})
		r.env.Done[p.step.born] = true
		to := &p.target[b]
		if to.Finding != nil {
			return Ending{Finding: to.Finding}, true
		}
		i = to.Step.Index
	}
}

// missing lists the readings of a step that the row does not give.
func (r *Runner) missing(st *Step) []*Reading {
	var out []*Reading
	for _, tk := range st.takes {
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
	if len(st.takes) == 0 {
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
