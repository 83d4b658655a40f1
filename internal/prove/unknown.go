package prove

import (
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// unknownAsGood looks for branches that take a reading which is not known where some
// readings lead to the same place and others elsewhere.
func (c *checker) unknownAsGood(s *engine.Step, g *branches, p *problem, whole box) {
	for _, a := range s.Program().Atoms {
		if a.Kind != eval.KnownIs {
			continue
		}
		at, named := p.at[a.Var.Slot]
		if !named || whole[at].modes&unknown == 0 {
			continue
		}
		for i, b := range s.Branches {
			if b.Guard == nil || !unlessKnown(b.Guard.Root, s.Program(), a, false) || !g.takesUnknown(p, whole, i, at) {
				continue
			}
			switch {
			case i == g.otherwise && len(b.Clears) > 0:
				c.add("clears-unknown", b.Place, 1, "`otherwise` of step %q is also taken when %q is not known, and clears %q; give that a row of its own: - {if: 'not known(%s)', to: STEP}", base(s), a.Var.ID, b.Clears[0].ID, a.Var.ID)
			case i == g.otherwise:
				c.add("otherwise-unknown", b.Place, 1, "`otherwise` of step %q is also taken when %q is not known, though the step would look at it; give that a row of its own: - {if: 'not known(%s)', to: STEP}", base(s), a.Var.ID, a.Var.ID)
			case isGood(b.To.Finding):
				c.add("unknown-good", b.Place, 1, "step %q leads to finding %q when %q is not known, as when it is good; let it lead to a test of its own, or to a finding that says what is open", base(s), b.To.Finding.ID, a.Var.ID)
			}
		}
	}
}

// unlessKnown reports whether a guard holds the more for an atom that does not.
func unlessKnown(n *eval.Node, p *eval.Program, a *eval.Atom, under bool) bool {
	if n.Kind == eval.Leaf {
		return under && p.Atoms[n.Atom] == a
	}
	return slices.ContainsFunc(n.Kids, func(k *eval.Node) bool { return unlessKnown(k, p, a, under != (n.Kind == eval.Not)) })
}

// takesUnknown reports whether branch i takes the reading of a dimension when it is not
// known, and leads where the same answers lead with some of what it can be, but not all.
func (g *branches) takesUnknown(p *problem, whole box, i, at int) bool {
	cells := g.yes[i]
	if i == g.otherwise {
		cells = g.rest(p, whole, mostGaps)
	}
	for _, x := range cells {
		y, ok := p.inside(whole, x)
		if !ok || y[at].modes&unknown == 0 {
			continue
		}
		for _, a := range g.step.Program().Atoms { // what else is not known leads its own way
			if a.Kind != eval.KnownIs {
				continue
			}
			if k, named := p.at[a.Var.Slot]; named {
				y[k] = p.m.axes[a.Var.Slot].full
			}
		}
		same, other := false, false
		for j, b := range g.step.Branches {
			list := g.yes[j]
			if j == g.otherwise {
				list = g.rest(p, y, mostGaps)
			}
			if len(p.within(y, list)) > 0 {
				same = same || b.To == g.step.Branches[i].To
				other = other || b.To != g.step.Branches[i].To
			}
		}
		if same && other {
			return true
		}
	}
	return false
}
