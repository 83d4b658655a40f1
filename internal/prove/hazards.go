package prove

import (
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// hazardAnswers holds the hazard rules to answers that are of now, and to an end that stops.
func (c *checker) hazardAnswers(t *engine.Tree) {
	for _, r := range t.Before {
		for _, q := range r.Needs {
			if q.Fact && q.Hazard {
				y := c.add("hazard-fact", q.Place, len(q.ID), "hazard rule %q rests on %q, a fact: it is asked once and never again before the next act of danger; take `fact` out", r.ID, q.ID)
				note(y, r.Place, "the rule stands here")
			}
		}
		if !r.Else.Stop {
			y := c.add("hazard-goes-on", r.Place, 1, "hazard rule %q leads to finding %q when it does not hold, and that does not stop; give the finding `stop: true`", r.ID, r.Else.ID)
			note(y, r.Else.Place, "the finding is declared here")
		}
	}
}

// unprovedRepair looks for ways from a repair to a finding that calls all well on which
// nothing is taken after it.
func (c *checker) unprovedRepair(s *engine.Step) {
	if s.Kind != engine.Repair || len(s.Take) > 0 {
		return
	}
	seen := map[*engine.Step]bool{}
	var look func(*engine.Step)
	look = func(at *engine.Step) {
		if seen[at] || at != s && len(at.Take) > 0 {
			return
		}
		seen[at] = true
		for _, to := range targets(at) {
			if to.Step != nil {
				look(to.Step)
			} else if isGood(to.Finding) && to.Finding.Then == nil {
				y := c.add("repair-unproved", s.Place, len(s.ID), "after the repair of step %q nothing is taken before finding %q; take again what showed the fault, in a retest", base(s), to.Finding.ID)
				note(y, to.Finding.Place, "the finding is declared here")
			}
		}
	}
	look(s)
}

// isGood reports whether a finding leaves nothing to be done: it names no fault, stops
// nothing and says how nothing is proved.
func isGood(x *engine.Finding) bool {
	return x != nil && len(x.Faults) == 0 && !x.Stop && x.ProveBy == ""
}

// noSaferSide looks for a limit between a repair and none that names no side for a close call.
func (c *checker) noSaferSide(s *engine.Step) {
	p := s.Program()
	for i, a := range p.Atoms {
		text, ok := p.Wording(i)
		if !ok || a.Kind != eval.Compare || len(a.Diff.Limits) == 0 || slices.ContainsFunc(a.Diff.Limits, func(l eval.Mention) bool { return l.Safer != eval.NoSide }) {
			continue
		}
		var mends, other *engine.Branch
		for _, b := range s.Branches {
			switch {
			case b.Guard == nil || !looksAt(b.Guard.Root, i):
			case repairs(b.To.Finding):
				mends = b
			default:
				other = b
			}
		}
		if mends != nil && other != nil {
			c.add("no-safer-side", s.Place, len(s.ID), "step %q holds %q between a repair (%s) and none (%s), and limits.%s names no side for a close call: the best value decides; say `safer: below` or `safer: above`",
				base(s), text, mends.Leads, other.Leads, a.Diff.Limits[0].ID)
		}
	}
}

// looksAt reports whether an atom stands under a node.
func looksAt(n *eval.Node, atom int) bool {
	return n.Kind == eval.Leaf && n.Atom == atom || slices.ContainsFunc(n.Kids, func(k *eval.Node) bool { return looksAt(k, atom) })
}
