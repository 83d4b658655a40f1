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

// ending are the trees of which some job comes to an end: at a finding without another
// round, or in a tree that ends. Of a tree that was not walked every finding is reached.
func (c *checker) ending() map[string]bool {
	ends := map[string]bool{}
	for more := true; more; {
		more = false
		for _, t := range c.lib.Trees() {
			if !ends[t.Name] && slices.ContainsFunc(t.Findings, func(x *engine.Finding) bool {
				found, walked := c.found[x]
				return (found || !walked) && (x.Then == nil || ends[x.Then.Tree])
			}) {
				ends[t.Name], more = true, true
			}
		}
	}
	return ends
}

// endless reports a tree all of whose findings lead on to another round for ever.
func (c *checker) endless(t *engine.Tree, ends map[string]bool) {
	i := slices.IndexFunc(t.Findings, func(x *engine.Finding) bool { return c.found[x] })
	if i < 0 || ends[t.Name] {
		return
	}
	x := t.Findings[i]
	y := c.add("endless", t.Begin.Place, len(t.Begin.ID), "every finding of tree %q hands over to another round, and so does every finding after it; let one end the job", t.Name)
	note(y, x.Place, "finding %q hands over to tree %q", x.ID, x.Then.Tree)
}

func findingOf(t *engine.Tree, id string) *engine.Finding {
	i := slices.IndexFunc(t.Findings, func(x *engine.Finding) bool { return x.ID == id })
	if i < 0 {
		return nil
	}
	return t.Findings[i]
}
