package prove

import (
	"fmt"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/source"
	"deadflat/internal/text"
)

// checker turns what the proofs find into faults, each said once however often
// the tree that has it is laid into others.
type checker struct {
	lib      *engine.Library
	faults   *source.Faults
	remarks  *source.Faults
	where    *places
	said     map[string]bool
	reached  map[source.Place]bool // steps that some way reaches, by place
	can      map[source.Place]bool // branches that some answers take
	asks     map[source.Place]bool // steps that can ask something
	meter    *engine.Meter
	undecide int
}

// add reports a fault once for each place and rule.
func (c *checker) add(rule string, p source.Place, width int, format string, args ...any) *source.Fault {
	key := rule + " " + p.String()
	if c.said[key] {
		return nil
	}
	c.said[key] = true
	if r := RuleNamed(rule); r != nil && r.Remark {
		return c.remarks.Add(rule, p, width, format, args...)
	}
	return c.faults.Add(rule, p, width, format, args...)
}

func note(f *source.Fault, p source.Place, format string, args ...any) {
	if f != nil {
		f.Notes = append(f.Notes, source.Note{Place: p, Message: fmt.Sprintf(format, args...)})
	}
}

// visit proves one step for one state. States that look alike to the step's guards
// are proved once.
func (c *checker) visit(f *flow) func(*engine.Step, *branches, *state) {
	proved := map[string]bool{}
	return func(s *engine.Step, g *branches, st *state) {
		if len(s.Branches) == 1 && s.Branches[0].Guard == nil {
			return
		}
		p, whole := f.m.problemFor(st, g.refs)
		key := fmt.Sprint(s.Index, st.doubt, p.dims, whole)
		if proved[key] || c.said["undecided "+s.Place.String()] {
			return
		}
		proved[key] = true
		c.unknownAsGood(s, g, p, whole)
		v := &verdict{}
		if !st.doubt {
			v = g.prove(p, whole)
		}
		if v.err == nil && v.missing == nil {
			doubt := g.proveInDoubt(p, whole)
			if v.err, v.missing, v.missingDim = doubt.err, doubt.missing, doubt.missingDim; v.missing != nil && !st.doubt {
				st = st.clone()
				st.doubt = true
			}
		}
		if v.err != nil {
			c.undecided(f, s, st)
		}
		if v.gap != nil {
			c.gap(s, st, p, whole, v)
		}
		if v.overlap != nil {
			c.overlap(s, st, p, whole, v)
		}
		if v.missing != nil {
			c.missing(f, s, st, p, whole, v)
		}
	}
}

func (c *checker) gap(s *engine.Step, st *state, p *problem, whole box, v *verdict) {
	w := p.witness(v.gap, whole)
	more := ""
	if v.gaps > 1 {
		more = fmt.Sprintf(" (and %s more like it)", count(v.gaps-1, v.gaps >= mostGaps))
	}
	x := c.add("gap", s.Place, len(s.ID), "no branch of step %q takes these answers: %s%s", base(s), w, more)
	beside := ""
	if slices.ContainsFunc(w, func(a Answer) bool { return a.Exactly }) {
		beside = "; or let a branch beside it take the limit itself, with <= for < or >= for >"
	}
	note(x, s.Branches[len(s.Branches)-1].Place, "a branch for them, to paste and to point somewhere: - {if: '%s', to: STEP}%s", p.condition(v.gap, whole), beside)
	c.way(x, s, st)
}

func (c *checker) overlap(s *engine.Step, st *state, p *problem, whole box, v *verdict) {
	w := p.witness(v.overlap, whole)
	a, b := s.Branches[v.first], s.Branches[v.second]
	more := ""
	if v.overlaps > 1 {
		more = fmt.Sprintf(" (%d pairs of branches overlap in this step)", v.overlaps)
	}
	x := c.add("overlap", b.Place, 1, "two branches of step %q take these answers: %s%s", base(s), w, more)
	note(x, a.Place, "this branch takes them too: %s", a.Text)
	note(x, b.Place, "to leave them to the other branch, paste: - {if: '(%s) and not (%s)', to: %s}", b.Text, a.Text, targetName(b.To))
	c.way(x, s, st)
}

func (c *checker) missing(f *flow, s *engine.Step, st *state, p *problem, whole box, v *verdict) {
	ax := f.m.axes[v.missingDim]
	d := v.missing[p.at[v.missingDim]]
	others := p.witness(v.missing, whole)
	others = slices.DeleteFunc(others, func(a Answer) bool { return a.Reading == ax.v.ID })
	when := ""
	if len(others) > 0 {
		when = ", with " + others.String()
	}
	var x *source.Fault
	switch {
	case d.modes&stale != 0 && st.paused:
		x = c.add("stale-after-pause", s.Place, len(s.ID), "step %q decides on %q, which is no longer fresh when the walk was left for a while on the way here%s; let the step take it", base(s), ax.v.ID, when)
	case d.modes&stale != 0:
		x = c.add("stale", s.Place, len(s.ID), "step %q decides on %q, which was read before the vehicle changed%s; take it again in a retest", base(s), ax.v.ID, when)
	case d.modes&absent != 0:
		x = c.add("not-taken", s.Place, len(s.ID), "step %q decides on %q, which was not taken on some way here%s", base(s), ax.v.ID, when)
	default:
		x = c.add("unknown-reading", s.Place, len(s.ID), "step %q decides on %q, which may have been skipped or not to be taken%s; say known(%s) first, and what then", base(s), ax.v.ID, when, ax.v.ID)
	}
	if by := goesBy(s, ax.v); by != "" {
		note(x, s.Place, "%s goes by %s, so the step must know it too", by, ax.v.ID)
	}
	c.way(x, s, st)
}

// goesBy is the limit of a step that depends on a reading which no guard of the step
// names itself; "" when there is none.
func goesBy(s *engine.Step, v *eval.Var) string {
	by := ""
	for _, a := range s.Program().Atoms {
		if a.Kind != eval.Compare || strings.Contains(a.Text, v.ID) {
			continue
		}
		for _, l := range a.Diff.Limits {
			if l.Table != nil && l.Table.Var.Slot == v.Slot || l.Cases != nil && l.Cases.Var.Slot == v.Slot {
				by = "limits." + l.ID
			}
		}
	}
	return by
}

// way notes one way that leads to the step.
func (c *checker) way(x *source.Fault, s *engine.Step, st *state) {
	if x == nil {
		return
	}
	if steps := wayOf(st.way); len(steps) > 0 {
		more := ""
		if st.paused {
			more = "; on it the walk is left for a while, so that what was read before it is no longer fresh"
		}
		if st.doubt {
			more += "; on it an answer is too close to a limit to call, or \"not sure\""
		}
		note(x, s.Place, "one way here: %s%s", strings.Join(steps, ", "), more)
	}
}

// mostWay is how many steps of a way are named.
const mostWay = 12

// wayOf names the steps of a way.
func wayOf(t *trail) []string {
	var out []string
	for ; t != nil; t = t.from {
		out = append(out, t.step.ID)
	}
	slices.Reverse(out)
	if n := len(out); n > mostWay {
		out = append([]string{fmt.Sprintf("%s, then %s", text.Count(n-mostWay, "step"), out[n-mostWay])}, out[n-mostWay+1:]...)
	}
	return out
}

// undecided says that a step was too much work, after trying it at the limits
// and their neighbours.
func (c *checker) undecided(f *flow, s *engine.Step, st *state) {
	before := len(c.said)
	x := c.add("undecided", s.Place, len(s.ID), "step %q is too complex to prove; split it in two, or use fewer comparisons of several readings", base(s))
	if len(c.said) == before {
		return
	}
	c.undecide++
	hit, tries := f.m.sample(s, st)
	if hit == nil {
		note(x, s.Place, "%d answers at its limits and beside them were tried, and each has just one branch; that is no proof", tries)
		return
	}
	switch hit.holds {
	case 0:
		c.add("gap", s.Place, len(s.ID), "no branch of step %q takes these answers: %s", base(s), hit.answers)
	default:
		c.add("overlap", s.Place, len(s.ID), "%d branches of step %q take these answers: %s", hit.holds, base(s), hit.answers)
	}
}

// base is a step's own name, without the path of sub-trees.
func base(s *engine.Step) string { return strings.TrimPrefix(s.ID, s.Prefix()) }

func targetName(to engine.Target) string {
	if to.Finding != nil {
		return to.Finding.ID
	}
	return base(to.Step)
}

func count(n int, more bool) string {
	if more {
		return fmt.Sprintf("at least %d", n)
	}
	return fmt.Sprint(n)
}
