package prove

import (
	"fmt"
	"slices"

	"deadflat/internal/engine"
)

// mutateRules takes one kind of step out of each hazard rule, where a step of that kind can
// be reached. A rule that several trees share is tried once, with the first of them.
func (c *checker) mutateRules(b *bench, r *TreeReport) {
	for _, rule := range r.Tree.Before {
		for _, kind := range rule.Kinds {
			key := fmt.Sprint("rule ", rule.Place, kind)
			if c.said[key] {
				continue
			}
			c.said[key] = true
			var guarded []*engine.Step
			for t, f := range b.flows {
				for _, s := range t.Steps {
					if s.Kind == kind && f.reached[s.Index] && slices.ContainsFunc(s.Rules(), func(x *engine.Rule) bool { return x.Place == rule.Place }) {
						guarded = append(guarded, s)
					}
				}
			}
			if len(guarded) == 0 {
				continue
			}
			r.Cases.Mutants++
			var undo []func()
			for _, s := range guarded {
				undo = append(undo, s.Unguard(rule.Place))
			}
			noticed := slices.ContainsFunc(guarded, func(s *engine.Step) bool { return b.noticed(s.Place) })
			for _, f := range undo {
				f()
			}
			if !noticed {
				r.Cases.Survivors = append(r.Cases.Survivors, fmt.Sprintf("%s: hazard rule %q without kind %s; a case that the rule ends at a step of that kind would notice", rule.Place, rule.ID, kind))
			}
		}
	}
}
