package prove

import (
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// unknownAsGood looks for branches that take a reading which is not known where some
// readings lead to the same place and others elsewhere.
func (c *checker) unknownAsGood(s *engine.Step, g *branches, p *problem, whole box) {
	spent := p.work
	defer func() { p.work = spent }() // the proof of the step has a bound of its own
	for _, a := range s.Program().Atoms {
		if a.Kind != eval.KnownIs {
			continue
		}
		at, named := p.at[a.Var.Slot]
		if !named || whole[at].modes&unknown == 0 {
			continue
		}
		for i, b := range s.Branches {
			if p.work > mostWork {
				return
			}
			if b.Guard == nil || !unlessKnown(b.Guard.Root, s.Program(), a, false) || !g.takesUnknown(p, whole, i, at) {
				continue
			}
			switch {
			case i == g.otherwise && len(b.Clears) > 0:
				c.add("clears-unknown", b.Place, 1, "`otherwise` of step %q is also taken when %q is not known, and clears %q; give that a row of its own: - {if: 'not known(%s)', to: STEP}", base(s), a.Var.ID, b.Clears[0].ID, a.Var.ID)
			case i == g.otherwise:
				c.add("otherwise-unknown", b.Place, 1, "`otherwise` of step %q is also taken when %q is not known, though the step would look at it; give that a row of its own: - {if: 'not known(%s)', to: STEP}", base(s), a.Var.ID, a.Var.ID)
			case !b.Likely && leadsToGood(ends(p.m.tree, b.To)):
				c.add("unknown-good", b.Place, 1, "step %q leads to %q when %q is not known, as when it is good; let it lead to a test of its own, or to a finding that says what is open", base(s), b.Leads, a.Var.ID)
			}
		}
	}
}

// unableAsGood looks for a way on without a reading that ends as it does when all is good,
// where others end elsewhere.
func (c *checker) unableAsGood(t *engine.Tree, s *engine.Step) {
	if s.Unable == nil || s.Unable.Likely || !leadsToGood(ends(t, s.Unable.To)) {
		return
	}
	same := func(b *engine.Branch) bool { return sameWay(t, b.To, s.Unable.To) }
	if i := slices.IndexFunc(s.Branches, same); i >= 0 && slices.ContainsFunc(s.Branches, func(b *engine.Branch) bool { return !same(b) }) {
		c.add("unknown-good", s.Unable.Place, 1, "step %q leads to %q when it could not be done, as when what it reads is good; let it lead to a test of its own, or to a finding that says what is open", base(s), s.Unable.Leads)
	}
}

// ends are the findings that a target comes to without another test, but for stops: there a
// hazard was found. Nil when something more is tested.
func ends(t *engine.Tree, to engine.Target) []*engine.Finding {
	if to.Finding != nil {
		return []*engine.Finding{to.Finding}
	}
	if takesMore(to.Step, map[*engine.Step]bool{}) {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(t.Findings), func(x *engine.Finding) bool { return x.Stop || !to.Step.LeadsTo(x) })
}

// takesMore reports whether a step, or one that it leads to, takes a reading.
func takesMore(s *engine.Step, seen map[*engine.Step]bool) bool {
	if seen[s] {
		return false
	}
	seen[s] = true
	return len(s.Take) > 0 || slices.ContainsFunc(targets(s), func(to engine.Target) bool { return to.Step != nil && takesMore(to.Step, seen) })
}

// leadsToGood reports whether wherever a way ends nothing is left to be done or to be known.
func leadsToGood(ends []*engine.Finding) bool {
	return len(ends) > 0 && !slices.ContainsFunc(ends, func(x *engine.Finding) bool { return !isGood(x) || !x.Open.Empty() })
}

// sameWay reports whether two ways lead to one place, or both to the same good ends.
func sameWay(t *engine.Tree, a, b engine.Target) bool {
	return a == b || leadsToGood(ends(t, a)) && slices.Equal(ends(t, a), ends(t, b))
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
			if p.spend(1+len(list)) != nil {
				return false
			}
			if j == g.otherwise {
				list = g.rest(p, y, mostGaps)
			}
			if len(p.within(y, list)) > 0 {
				to := sameWay(p.m.tree, b.To, g.step.Branches[i].To)
				same, other = same || to, other || !to
			}
		}
		if same && other {
			return true
		}
	}
	return false
}
