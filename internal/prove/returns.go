package prove

import "deadflat/internal/engine"

// returns looks at the sub-trees that a tree runs. A finding of a sub-tree at which
// nothing more may be done must not lead back to a step.
func (c *checker) returns(t *engine.Tree) {
	f := c.where.files[c.where.trees[t.Name]]
	if f == nil {
		return
	}
	steps := valueOf(f.Root, "steps")
	if steps == nil {
		return
	}
	keys, _ := entriesOf(steps)
	for i := 0; i+1 < len(steps.Content); i += 2 {
		run, cases := valueOf(steps.Content[i+1], "run"), valueOf(steps.Content[i+1], "cases")
		if run == nil || cases == nil {
			continue
		}
		sub := c.lib.Tree(run.Value)
		for k := 0; sub != nil && k+1 < len(cases.Content); k += 2 {
			x, to := findingOf(sub, cases.Content[k].Value), cases.Content[k+1]
			if x == nil || !x.Stop || keys[to.Value] == nil {
				continue
			}
			y := c.add("handover", f.At(to), f.Width(to), "finding %q of tree %q stops all work, and here it leads on to step %q; let it end in a finding", x.ID, sub.Name, to.Value)
			note(y, x.Place, "the finding is declared here")
		}
	}
}

func findingOf(t *engine.Tree, id string) *engine.Finding {
	for _, x := range t.Findings {
		if x.ID == id {
			return x
		}
	}
	return nil
}
