package prove

import (
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// actions refuses an action that findings share of which one stops all work and another
// goes on: a close call between them would be called firm.
func (c *checker) actions(t *engine.Tree) {
	first := map[string]*engine.Finding{}
	for _, x := range t.Findings {
		y := first[x.Action]
		if y == nil || x.Action == "" {
			first[x.Action] = x
			continue
		}
		stop, on := x, y
		if y.Stop {
			stop, on = y, x
		}
		if stop.Stop && !on.Stop {
			y := c.add("action-stops", stop.Place, len(stop.ID), "finding %q stops all work and shares the action %q with %q, which goes on: too close to call between them, it would be called firm; give it an action of its own", stop.ID, stop.Action, on.ID)
			note(y, on.Place, "the other is declared here")
		}
	}
}

// sharedAction tells of findings that a number decides between, that share an action and
// differ in faults or remedy.
func (c *checker) sharedAction(s *engine.Step) {
	for i, b := range s.Branches {
		for _, o := range s.Branches[:i] {
			x, y := o.To.Finding, b.To.Finding
			if x == nil || y == nil || x == y || x.Action == "" || x.Action != y.Action || slices.Equal(x.Faults, y.Faults) && x.Remedy.Raw() == y.Remedy.Raw() {
				continue
			}
			for k, a := range s.Program().Atoms {
				if a.Kind == eval.Compare && b.Guard != nil && o.Guard != nil && looksAt(b.Guard.Root, k) && looksAt(o.Guard.Root, k) {
					c.add("action-differs", b.Place, 1, "where step %q is too close to call between findings %q and %q no more is asked, since both have the action %q; but their faults or remedies differ", base(s), x.ID, y.ID, x.Action)
				}
			}
		}
	}
}

// clears refuses a row that rules out the finding it leads to.
func (c *checker) clears(s *engine.Step) {
	for _, b := range s.Branches {
		if x := b.To.Finding; x != nil && slices.Contains(b.Clears, x) {
			c.add("clears-itself", b.Place, 1, "this row of step %q leads to finding %q and clears it; take it out of `clears`", base(s), x.ID)
		}
	}
}

// repairs reports whether a finding ends in a repair of the faults that it names.
func repairs(x *engine.Finding) bool {
	return x != nil && len(x.Faults) > 0 && (x.Then == nil || x.Then.First == engine.FirstRepair)
}
