package engine

import (
	"math/bits"
	"slices"

	"deadflat/internal/eval"
	"deadflat/internal/source"
)

// bits is a set of small numbers.
type bitset []uint64

func newBits(n int) bitset      { return make(bitset, (n+63)/64) }
func (b bitset) set(i int)      { b[i/64] |= 1 << uint(i%64) }
func (b bitset) has(i int) bool { return b[i/64]&(1<<uint(i%64)) != 0 }
func (b bitset) or(o bitset) {
	for i := range o {
		b[i] |= o[i]
	}
}
func (b bitset) count() (n int) {
	for _, w := range b {
		n += bits.OnesCount64(w)
	}
	return
}

// Ways lists every way out of a step, the side ways included.
func (s *Step) Ways() []*Branch {
	out := append([]*Branch{}, s.Branches...)
	if s.Unable != nil {
		out = append(out, s.Unable)
	}
	if s.Unsure != nil {
		out = append(out, s.Unsure)
	}
	return out
}

// order sorts the steps so that every branch leads forward, and refuses a circle
// and a step that nothing leads to.
func (b *builder) order() {
	b.betterSteps()
	state := map[*Step]int{}
	var done []*Step
	var visit func(s *Step, from *Branch)
	visit = func(s *Step, from *Branch) {
		switch state[s] {
		case 1:
			place := s.Place
			if from != nil {
				place = from.Place
			}
			f := b.faults.Add("cycle", place, 1, "this leads back to step %q; a tree cannot go in a circle (ask again in a retest, or end the round with `then`)", s.ID)
			f.Notes = append(f.Notes, source.Note{Place: s.Place, Message: "step " + s.ID + " is here"})
			return
		case 2:
			return
		}
		state[s] = 1
		for _, br := range s.Ways() {
			if br.To.Step != nil {
				visit(br.To.Step, br)
			}
		}
		for _, t := range s.betters {
			visit(t, nil)
		}
		state[s] = 2
		done = append(done, s)
	}
	visit(b.t.Begin, nil)
	lost := slices.ContainsFunc(done, (*Step).lost) // it may have led there
	for _, s := range b.t.Steps {
		if state[s] == 0 && !lost {
			b.faults.Add("unreachable", s.Place, 1, "nothing leads to step %q", s.ID)
		}
	}
	for i, j := 0, len(done)-1; i < j; i, j = i+1, j-1 {
		done[i], done[j] = done[j], done[i]
	}
	b.t.Steps = done
}

// betterSteps resolves, for each step, the tests that the limits it decides on
// call better.
func (b *builder) betterSteps() {
	for _, s := range b.t.Steps {
		seen := map[*Step]bool{}
		for _, a := range s.prog.Atoms {
			if a.Kind != eval.Compare {
				continue
			}
			for _, l := range a.Diff.Limits {
				if l.Better == "" {
					continue
				}
				t := b.s.steps[s.prefix+l.Better]
				if t == nil {
					t = b.s.steps[l.Better]
				}
				if t == nil {
					b.faults.Add("unknown-name", s.Place, 1, "limits.%s decides here and its better test %q is not a step of this tree%s", l.ID, l.Better, source.DidYouMean(l.Better, keys(b.s.steps)))
					continue
				}
				if t != s && !seen[t] {
					seen[t] = true
					s.betters = append(s.betters, t)
				}
			}
		}
		if s.Better != nil && !seen[s.Better] {
			s.betters = append(s.betters, s.Better)
		}
	}
}

// finish numbers steps and fields and works out what can be reached from where.
func (b *builder) finish() {
	t := b.t
	for i, s := range t.Steps {
		s.Index = i
		for _, r := range s.Take {
			b.addField(s, r, r.Optional, false)
		}
		for _, r := range s.Record {
			b.addField(s, r, true, true)
		}
		t.atoms = max(t.atoms, len(s.prog.Atoms))
		for _, rule := range t.Before {
			for _, k := range rule.Kinds {
				if k == s.Kind {
					s.rules = append(s.rules, rule)
				}
			}
		}
	}
	t.asking()
	b.reach()
}

// addField numbers one field of a step.
func (b *builder) addField(s *Step, r *Reading, optional, record bool) {
	fd := FieldOf{step: s, Reading: r, index: b.t.fields, Slot: -1, Optional: optional, record: record}
	if v := b.s.atStep[s.ID+"."+r.ID]; v != nil {
		fd.Slot = v.Slot
	}
	s.fields = append(s.fields, fd)
	b.t.fields++
}

// lost reports whether a fault has left the step without one of its ways.
func (s *Step) lost() bool {
	return s.faulty || len(s.Branches) == 0 || slices.ContainsFunc(s.Ways(), func(b *Branch) bool { return b.To == Target{} })
}

// reach works out, from the last step backwards, which findings and actions can
// still be come to from each step.
func (b *builder) reach() {
	t := b.t
	actions := map[string]int{}
	for _, f := range t.Findings {
		if _, ok := actions[f.Action]; !ok {
			actions[f.Action] = len(actions)
		}
		f.action = actions[f.Action]
	}
	for i := len(t.Steps) - 1; i >= 0; i-- {
		s := t.Steps[i]
		s.actions, s.findings = newBits(len(actions)), newBits(len(t.Findings))
		for _, r := range s.rules {
			s.findings.set(r.Else.Index)
			s.actions.set(r.Else.action)
		}
		s.fewest = 1 << 30
		for _, br := range s.Ways() {
			s.add(br.To)
		}
		for _, better := range s.betters {
			s.add(Target{Step: better})
		}
		if s.asking {
			s.fewest, s.most = s.fewest+1, s.most+1
		}
	}
}

// asking works out which steps have something to ask on every way that leads to
// them: a step whose readings all ways have taken already passes in silence.
func (t *Tree) asking() {
	have := make([]bitset, len(t.Steps)) // readings taken on every way to the step
	meet := func(to *Step, after bitset) {
		if have[to.Index] == nil {
			have[to.Index] = append(bitset{}, after...)
			return
		}
		for i := range after {
			have[to.Index][i] &= after[i]
		}
	}
	have[0] = newBits(len(t.Readings))
	for _, s := range t.Steps {
		after := append(bitset{}, have[s.Index]...)
		s.asking = len(s.fields) == 0 && s.Kind != Decide
		if s.Kind.MakesStale() {
			for _, r := range t.Readings {
				if !r.Fact {
					after[r.Index/64] &^= 1 << uint(r.Index%64)
				}
			}
		}
		for _, fd := range s.fields {
			s.asking = s.asking || s.Kind.Anew() || !have[s.Index].has(fd.Reading.Index)
			after.set(fd.Reading.Index)
		}
		for _, br := range s.Ways() {
			if br.To.Step != nil {
				meet(br.To.Step, after)
			}
		}
		for _, better := range s.betters {
			meet(better, after)
		}
	}
}

func (s *Step) add(to Target) {
	if to.Finding != nil {
		s.findings.set(to.Finding.Index)
		s.actions.set(to.Finding.action)
		s.fewest = 0
		return
	}
	s.fewest, s.most = min(s.fewest, to.Step.fewest), max(s.most, to.Step.most)
	s.findings.or(to.Step.findings)
	s.actions.or(to.Step.actions)
}
