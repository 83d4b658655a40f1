package prove

import (
	"math"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// flow works out what can be true wherever some changes can tell. The axes are cut at what
// limits become as well, so that a change of one can be seen.
func (b *bench) flow(open []*mutant) {
	more := map[*engine.Tree][]*eval.Atom{}
	for _, m := range open {
		m.each(func(s *engine.Step, p *eval.Program) {
			t := b.treeOf[s]
			more[t] = append(more[t], nil...)
			for _, a := range p.Atoms {
				if is := m.atoms[a]; is != nil && !slices.Contains(more[t], is) {
					more[t] = append(more[t], is)
				}
			}
		})
	}
	for t, atoms := range more {
		m, err := newModel(t, atoms...)
		if err != nil {
			continue
		}
		f := newFlow(m)
		f.visit = func(s *engine.Step, _ *branches, st *state) {
			if !st.doubt {
				b.asked[s] = append(b.asked[s], st)
			}
		}
		f.gated = func(s *engine.Step, r *engine.Rule, st *state) {
			if !st.doubt {
				b.held[gate{s, r}] = append(b.held[gate{s, r}], st)
			}
		}
		f.run(b.c.entries(m)...)
		b.flows[t] = f
	}
}

// difference is a set of exact answers that a change sends elsewhere.
type difference struct {
	step    *engine.Step
	answers Witness
	walks   *replay // to the step with them
	unclear string  // why it is not known that there are such answers
}

// tooMuch is why a change is not proved to make no difference.
const tooMuch = "it is too complex to prove that it makes a difference"

// differ looks for answers, among those that can come to a change, that it sends elsewhere;
// nil when there are none.
func (b *bench) differ(m *mutant) *difference {
	for _, s := range m.steps {
		f := b.flows[b.treeOf[s]]
		if f == nil || m.library != nil && m.atoms == nil {
			return &difference{step: s, unclear: tooMuch}
		}
		before, ends := f.guards[s.Index], endsOf(s)
		var after *branches
		var now []string
		b.changed(m, f, s.Program(), func() { after, now = f.m.branchesOf(s), endsOf(s) })
		if before.err != nil || after.err != nil {
			return &difference{step: s, unclear: tooMuch}
		}
		for _, st := range b.asked[s] {
			p, whole := f.m.problemFor(st, slices.Concat(before.refs, after.refs))
			if hit, err := p.parted(whole, before, after, ends, now); err != nil {
				return &difference{step: s, unclear: tooMuch}
			} else if hit != nil {
				return b.shown(f, s, st, p, hit, whole)
			}
		}
	}
	for _, g := range m.gates {
		if d := b.letsOthersPass(m, g); d != nil {
			return d
		}
	}
	return nil
}

// shown puts a difference into answers.
func (b *bench) shown(f *flow, s *engine.Step, st *state, p *problem, hit, whole box) *difference {
	numbers := p.readable(hit)
	return &difference{step: s, answers: p.worded(hit, whole, numbers), walks: f.replayTo(b.c.ideal, s, st, p.wanted(hit), numbers)}
}

// changed runs do with the comparisons of a program in cells as the change has them.
func (b *bench) changed(m *mutant, f *flow, p *eval.Program, do func()) {
	f.m.work = 0 // each change has a bound of its own
	atoms := proved(p.Atoms)
	was := make([]*pieces, len(atoms))
	for i, a := range atoms {
		was[i] = f.m.atoms[a]
	}
	defer func() {
		for i, a := range atoms {
			f.m.atoms[a] = was[i]
		}
	}()
	if m.library != nil {
		for _, a := range atoms {
			f.m.atoms[a] = f.m.atoms[m.atoms[a]]
		}
		do()
		return
	}
	m.apply()
	defer m.undo()
	for _, a := range atoms {
		f.m.atoms[a] = f.m.buildCells(a, f.m.expanded[a])
	}
	do()
}

// endsOf are where the branches of a step lead and what they rule out.
func endsOf(s *engine.Step) []string {
	var out []string
	for _, b := range s.Branches {
		end := endOf(b.To)
		for _, x := range b.Clears {
			end += " without " + x.ID
		}
		out = append(out, end)
	}
	return out
}

// parted looks for answers that two sets of branches of one step send to two ends, or that
// the second leaves without one.
func (p *problem) parted(whole box, before, after *branches, ends, now []string) (box, error) {
	x, y := before.everywhere(p, whole), after.everywhere(p, whole)
	for i := range x {
		for j := range y {
			if ends[i] == now[j] {
				continue
			}
			if hit, err := p.bothHold(whole, x[i], y[j]); err != nil || hit != nil {
				return hit, err
			}
		}
	}
	v := after.prove(p, whole)
	for _, hit := range []box{v.gap, v.overlap, v.missing} {
		if hit != nil {
			return hit, nil
		}
	}
	return nil, v.err
}

// everywhere is where each branch holds, `otherwise` included.
func (b *branches) everywhere(p *problem, whole box) [][]cell {
	out := slices.Clone(b.yes)
	if b.otherwise < 0 {
		return out
	}
	out[b.otherwise] = b.rest(p, whole, math.MaxInt)
	return out
}

// letsOthersPass looks for answers that a changed hazard rule lets pass and the rule does
// not, or the other way round. A rule that is taken off lets all pass.
func (b *bench) letsOthersPass(m *mutant, g gate) *difference {
	f := b.flows[b.treeOf[g.step]]
	if f == nil || m.library != nil && m.atoms == nil {
		return &difference{step: g.step, unclear: tooMuch}
	}
	var yes, no []cell
	var failed error
	prog, root := g.rule.Holds.Program(), g.rule.Holds.Root
	b.changed(m, f, prog, func() {
		if !slices.Contains(g.step.Rules(), g.rule) {
			yes = []cell{nil}
			return
		}
		if yes, failed = f.m.cells(prog, root, isTrue); failed == nil {
			no, failed = f.m.cells(prog, root, notTrue)
		}
	})
	if failed != nil {
		return &difference{step: g.step, unclear: tooMuch}
	}
	for _, st := range b.held[g] {
		p, whole := f.m.problemFor(st, slices.Concat(f.ruleYes[g.rule], f.ruleNo[g.rule], yes, no))
		for _, pair := range [][2][]cell{{f.ruleYes[g.rule], no}, {f.ruleNo[g.rule], yes}} {
			if hit, err := p.bothHold(whole, pair[0], pair[1]); err != nil {
				return &difference{step: g.step, unclear: tooMuch}
			} else if hit != nil {
				return b.shown(f, g.step, st, p, hit, whole)
			}
		}
	}
	return nil
}
