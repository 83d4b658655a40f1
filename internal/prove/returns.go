package prove

import (
	"slices"

	"deadflat/internal/engine"
)

// returns looks at the sub-trees that a tree runs. A finding of a sub-tree at which
// nothing more may be done must not lead back to a step.
func (c *checker) returns(t *engine.Tree) {
	f := c.where.files[c.where.trees[t.Name]]
	if f == nil {
		return
	}
	steps := valueOf(f.Root, "steps")
	for _, s := range entries(steps) {
		run := valueOf(s, "run")
		if run == nil || c.lib.Tree(run.Value) == nil {
			continue
		}
		sub := c.lib.Tree(run.Value)
		for end, to := range entries(valueOf(s, "cases")) {
			x := findingOf(sub, end.Value)
			if x == nil || !x.Stop || valueOf(steps, to.Value) == nil {
				continue
			}
			y := c.add("handover", f.At(to), f.Width(to), "finding %q of tree %q stops all work, and here it leads on to step %q; let it end in a finding", x.ID, sub.Name, to.Value)
			note(y, x.Place, "the finding is declared here")
		}
	}
}

func findingOf(t *engine.Tree, id string) *engine.Finding {
	i := slices.IndexFunc(t.Findings, func(x *engine.Finding) bool { return x.ID == id })
	if i < 0 {
		return nil
	}
	return t.Findings[i]
}
