package prove

import (
	"fmt"
	"maps"
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
	found    map[*engine.Finding]bool
	asks     map[source.Place]bool  // steps that can ask something
	danger   map[string]engine.Kind // acts of danger
	open     map[string]*refutation
	meter    *engine.Meter
	ideal    *engine.Meter // reads without doubt
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
			c.refute(f, "gap", s, st, p, v.gap, whole, func() *source.Fault { return c.gap(s, p, whole, v) })
		}
		if v.overlap != nil {
			c.refute(f, "overlap", s, st, p, v.overlap, whole, func() *source.Fault { return c.overlap(s, p, whole, v) })
		}
		if v.missing != nil {
			c.refute(f, "missing", s, st, p, v.missing, whole, func() *source.Fault { return c.missing(f, s, st, p, whole, v) })
		}
	}
}

// mostRefutations bounds the states of a step with which one sort of fault is tried.
const mostRefutations = 4

// refute tells a fault if the engine walks to it, and keeps it as undecided else.
func (c *checker) refute(f *flow, sort string, s *engine.Step, st *state, p *problem, b, whole box, tell func() *source.Fault) {
	key := "walked " + sort + " " + s.Place.String()
	o := c.open[key]
	if o == nil {
		o = &refutation{walked: c.said[key]}
		c.open[key] = o
	}
	if o.walked || o.tried == mostRefutations {
		return
	}
	o.tried++
	told := f.replay(c.ideal, c.lib.Trees(), s, st, p, b, sort)
	if told == nil {
		o.undecided = func() {
			c.undecide++
			why := "no walk to it was found; decide on fewer readings at once"
			if thin := p.thin(b); thin != "" {
				why = thin + ", and no reading can be typed as finely"
			} else if st.ways > 0 {
				why = fmt.Sprintf("no walk to it was found; %s to it were not told apart: decide earlier, or give each its own step", text.Count(st.ways+1, "way"))
			}
			c.way(c.add("undecided", s.Place, len(s.ID), "step %q may be wrong for %s, but %s", base(s), p.witness(b, whole), why), s, st)
		}
		return
	}
	o.walked, c.said[key] = true, true
	x := tell()
	c.way(x, s, st)
	note(x, s.Place, "answers that walk there: %s", strings.Join(told[:len(told)-1], ", "))
}

// thin names a reading of b whose range is thinner than the program's numbers; "" if none is.
func (p *problem) thin(b box) string {
	for i, d := range p.dims {
		ax := p.m.axisOf(d)
		if ax == nil || !ax.number() || b[i].modes&known == 0 || b[i].lo == b[i].hi && b[i].lo%2 == 0 {
			continue
		}
		if from, _, to, _ := ax.ends(b[i].lo, b[i].hi); nearestFloat(from) == nearestFloat(to) {
			return fmt.Sprintf("%s lies between %s and %s", ax.v.ID, quantity(from, ax.v.Unit), quantity(to, ax.v.Unit))
		}
	}
	return ""
}

// refutation is one sort of fault of one step, as far as it was walked to.
type refutation struct {
	tried     int
	walked    bool
	undecided func()
}

// unsettled reports whether something in a tree may be wrong and nobody walked to any fault.
func (c *checker) unsettled() bool {
	open := slices.Collect(maps.Values(c.open))
	return len(open) > 0 && !slices.ContainsFunc(open, func(o *refutation) bool { return o.walked })
}

// undecidedFaults tells what in a tree nobody walked to. Where something was walked to it
// is left out: it may stand behind that.
func (c *checker) undecidedFaults() {
	if c.unsettled() {
		for _, key := range slices.Sorted(maps.Keys(c.open)) {
			c.open[key].undecided()
		}
	}
	clear(c.open)
}

func (c *checker) gap(s *engine.Step, p *problem, whole box, v *verdict) *source.Fault {
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
	note(x, s.Branches[len(s.Branches)-1].Place, "a branch for them, to paste and to point somewhere: - {if: '%s', to: STEP}%s", s.Written(p.condition(v.gap, whole)), beside)
	return x
}

func (c *checker) overlap(s *engine.Step, p *problem, whole box, v *verdict) *source.Fault {
	w := p.witness(v.overlap, whole)
	a, b := s.Branches[v.first], s.Branches[v.second]
	more := ""
	if v.overlaps > 1 {
		more = fmt.Sprintf(" (%d pairs of branches overlap in this step)", v.overlaps)
	}
	x := c.add("overlap", b.Place, 1, "two branches of step %q take these answers: %s%s", base(s), w, more)
	note(x, a.Place, "this branch takes them too: %s", s.Written(a.Text))
	note(x, b.Place, "to leave them to the other branch, paste: - {if: '(%s) and not (%s)', to: %s}", s.Written(b.Text), s.Written(a.Text), b.Leads)
	return x
}

func (c *checker) missing(f *flow, s *engine.Step, st *state, p *problem, whole box, v *verdict) *source.Fault {
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
	return x
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
	if with, at := s.With(); with != "" {
		note(x, at, "the tree is run here with %s", with)
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
