package engine

import (
	"slices"

	"deadflat/internal/eval"
)

// The straight way is what most rows of a table need: every answer given
// beforehand, nothing done to the vehicle in between, and no reading near a
// limit. It runs each step's jump program and gives up, for the whole walk to
// take over, as soon as anything else comes up: a missing answer, a close call,
// a charge, a retest, a step that asks to be done. It comes to the same end as
// the walk, which a property test holds it to.

// straightStep is what a step needs on the straight way.
type straightStep struct {
	ok     bool
	need   bitset // readings that must be given
	rules  []straightRule
	code   eval.Code
	target []Target
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
	for i, s := range t.Steps {
		p := &out[i]
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
func (r *Runner) straight() (*Finding, bool) {
	r.way = r.way[:0]
	i := 0
	for {
		p := &r.steps[i]
		if !p.ok || !r.have.covers(p.need) {
			return nil, false
		}
		for _, c := range p.rules {
			if r.safe.has(c.index) {
				continue
			}
			if c.code.Run(&r.env) != 0 {
				return nil, false
			}
			r.safe.set(c.index)
		}
		b := p.code.Run(&r.env)
		if b < 0 {
			return nil, false
		}
		r.way = append(r.way, passed{int32(i), int32(b)})
		r.env.Done[r.w.first.Steps[i].born] = true
		to := p.target[b]
		if to.Finding != nil {
			return to.Finding, true
		}
		i = to.Step.Index
	}
}

func (b bitset) covers(o bitset) bool {
	for i := range o {
		if o[i]&^b[i] != 0 {
			return false
		}
	}
	return true
}
