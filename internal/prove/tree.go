package prove

import (
	"cmp"
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// guarded lists the kinds of step that must not be entered unless a hazard rule
// has been held against the vehicle. The engine holds them at run time; what is
// proved here is that there is one, and that it can be asked, hold and fail.
var guarded = []engine.Kind{engine.Charge, engine.LoadTest, engine.Crank, engine.Jump}

// tree holds the rules against one tree that has been walked whole.
func (c *checker) tree(f *flow) {
	t := f.t
	for _, s := range t.Steps {
		if f.reached[s.Index] {
			c.reached[s.Place] = true
		}
		if f.asking[s.Index] {
			c.asks[s.Place] = true
		}
		for _, b := range s.Branches {
			if f.taken[b] {
				c.can[b.Place] = true
			}
		}
		c.unguarded(s)
		c.limitsOf(f, s)
		c.clears(s)
		c.sharedAction(s)
		c.unprovedRepair(s)
		c.unableAsGood(t, s)
		c.noSaferSide(s)
	}
	c.hazardRules(f)
	c.unheld(f)
	hidden := c.hidden(t)
	for _, x := range t.Findings {
		c.found[x] = f.found[x]
		c.finding(f, x, hidden)
	}
	c.unproved(f)
	c.leftOpen(f)
	c.actions(t)
	c.hazardAnswers(t)
	c.tables(f)
	c.exact(t)
	for _, l := range t.Limits {
		if at, ok := c.where.limit(t, l.ID); ok && !c.where.named[l.ID] {
			c.add("unused-limit", at, len(l.ID), "nothing uses limits.%s; use it or take it out", l.ID)
		}
	}
}

// dead reports, when every tree has been walked, what nothing can reach in any
// of them.
func (c *checker) dead(t *engine.Tree) {
	hidden := c.hidden(t)
	for _, s := range t.Steps {
		if s.DeclaredIn() != t.Name {
			continue // judged where it is declared
		}
		if !c.reached[s.Place] {
			if hidden {
				continue
			}
			c.add("dead-step", s.Place, len(s.ID), "no answers can come to step %q, though branches lead to it", base(s))
			continue
		}
		if len(s.Take) > 0 && s.Kind != engine.Decide && !c.asks[s.Place] {
			c.add("asks-again", s.Place, len(s.ID), "step %q never asks anything: on every way here its readings are fresh already; make it kind retest to take them again, or kind decide", base(s))
		}
		if c.missingAt(s) {
			continue // what is not known there hides what can be taken
		}
		for _, b := range s.Branches {
			switch {
			case b.Guard == nil || c.can[b.Place]:
			case ownGuard(s, b):
				c.add("dead-branch", b.Place, 1, "no answers that come to step %q can take this branch: %s", base(s), b.Text)
			default:
				c.add("dead-row", b.Place, 1, "no answers that come to step %q can take this row: %s", base(s), b.Text)
			}
		}
	}
}

// hidden reports whether some step that is reached decides on what is never known
// there: nobody gets past it, and what lies behind it is not to blame.
func (c *checker) hidden(t *engine.Tree) bool {
	return slices.ContainsFunc(t.Steps, func(s *engine.Step) bool {
		return c.reached[s.Place] && c.missingAt(s) && !slices.ContainsFunc(s.Branches, func(b *engine.Branch) bool { return c.can[b.Place] })
	})
}

// missingAt reports whether a step was found to decide on what is not known.
func (c *checker) missingAt(s *engine.Step) bool {
	return slices.ContainsFunc([]string{"not-taken", "stale", "stale-after-pause", "unknown-reading"},
		func(rule string) bool { return c.said[rule+" "+s.Place.String()] })
}

// ownGuard reports whether the author chose to write the branch: bands and cases
// must name every band and every choice.
func ownGuard(s *engine.Step, b *engine.Branch) bool {
	if b.Text == otherwiseText {
		return true
	}
	return b.Guard != nil && b.Guard.Text == b.Text && b.Guard.Root != nil && b.Text != "the rest" &&
		!strings.HasPrefix(b.Text, "below ") && !isWord(s, b)
}

// isWord reports whether a branch is a row of `cases`.
func isWord(s *engine.Step, b *engine.Branch) bool {
	r := b.Guard.Root
	return r.Kind == eval.Leaf && strings.HasSuffix(s.Program().Atoms[r.Atom].Text, " is "+b.Text)
}

func (c *checker) unguarded(s *engine.Step) {
	switch kind := c.danger[s.Act]; {
	case len(s.Rules()) > 0:
	case slices.Contains(guarded, s.Kind):
		c.add("unguarded", s.Place, len(s.ID), "step %q is of kind %s and no hazard rule names that kind; write one under `before`", base(s), s.Kind)
	case kind != "":
		c.add("unguarded", s.Place, len(s.ID), "step %q does %q, an act of danger, under kind %s, before which no hazard rule is held; give it kind %s", base(s), s.Act, s.Kind, kind)
	}
}

// dangerous gives, for each act of danger, the guarded kind it belongs to: the one whose
// name it bears, or the one under which more steps of the trees do it than under kinds
// that are not guarded.
func dangerous(trees []*engine.Tree) map[string]engine.Kind {
	under := map[string]map[engine.Kind]int{}
	for _, t := range trees {
		for _, s := range t.Steps {
			if under[s.Act] == nil {
				under[s.Act] = map[engine.Kind]int{}
			}
			under[s.Act][s.Kind]++
		}
	}
	out := map[string]engine.Kind{}
	for act, kinds := range under {
		harmless, most := 0, 0
		for k, n := range kinds {
			if !slices.Contains(guarded, k) {
				harmless += n
			}
		}
		for _, k := range guarded {
			if n := kinds[k]; act == string(k) || n > max(harmless, most) {
				out[act], most = k, n
			}
			if act == string(k) {
				break
			}
		}
	}
	delete(out, "")
	return out
}

// unheld reports hazards on which only branches decide, where none of them leads to a
// stop: then nothing keeps anybody from going on. A fact does not change with the vehicle.
func (c *checker) unheld(f *flow) {
	for _, s := range f.t.Steps {
		for _, fd := range s.Fields() {
			r := fd.Reading
			if !r.Hazard || r.Fact || slices.ContainsFunc(f.t.Before, func(b *engine.Rule) bool { return slices.Contains(b.Needs, r) }) {
				continue
			}
			decide := slices.DeleteFunc(slices.Clone(f.t.Steps), func(s *engine.Step) bool { return !decidesOn(f.t, s.Program(), r) })
			if len(decide) > 0 && !slices.ContainsFunc(decide, canStop) {
				c.add("unheld-hazard", s.Place, len(s.ID), "step %q takes the hazard %q, and neither a rule under `before` nor a branch to a finding that stops all work heeds it", base(s), r.ID)
			}
		}
	}
}

func canStop(s *engine.Step) bool {
	return slices.ContainsFunc(s.Branches, func(b *engine.Branch) bool { return b.To.Finding != nil && b.To.Finding.Stop })
}

func decidesOn(t *engine.Tree, p *eval.Program, r *engine.Reading) bool {
	return slices.ContainsFunc(p.Atoms, func(a *eval.Atom) bool {
		return slices.ContainsFunc(a.Vars(), func(v *eval.Var) bool { return t.ReadingOf(v) == r })
	})
}

// hazardRules holds the demands on `before` rules.
func (c *checker) hazardRules(f *flow) {
	if r := f.complex; r != nil {
		c.undecide++
		c.add("undecided", r.Place, 1, "hazard rule %q is too complex to prove", r.ID)
		return
	}
	for _, r := range f.t.Before {
		for _, v := range r.Holds.Vars {
			if v.Slot >= len(f.t.Readings) {
				c.add("hazard-rule", r.Place, 1, "hazard rule %q looks at %q, the take of one step, which cannot be asked before another; name the reading alone", r.ID, v.ID)
			}
		}
		whole := &state{}
		for _, q := range r.Needs {
			whole.set(f.m, q.Index, f.m.axes[q.Index].full)
		}
		for dim := range f.m.doneN {
			whole.set(f.m, len(f.m.axes)+dim, truth(no|yes))
		}
		if !f.some(whole, f.ruleYes[r]) {
			c.add("hazard-rule", r.Place, 1, "hazard rule %q can never hold, so no step of its kinds is ever entered", r.ID)
		}
		if !f.some(whole, f.ruleNo[r]) {
			c.add("hazard-rule", r.Place, 1, "hazard rule %q can never fail, so it guards nothing", r.ID)
		}
	}
}

func (f *flow) some(st *state, cells []cell) bool {
	return slices.ContainsFunc(cells, func(x cell) bool { return f.restrict(st, x) != nil })
}

// finding holds the demands on one finding. With hidden, nobody may come so far.
func (c *checker) finding(f *flow, x *engine.Finding, hidden bool) {
	own := x.Place.File == c.where.trees[f.t.Name]
	if own && !f.found[x] && !hidden {
		c.add("dead-finding", x.Place, len(x.ID), "no answers can come to finding %q", x.ID)
	}
	if len(x.Faults) > 0 {
		var lacks []string
		if x.Remedy.Empty() {
			lacks = append(lacks, "`remedy`")
		}
		if x.ProveBy == "" && !x.Stop {
			lacks = append(lacks, "`prove_by`")
		}
		if x.Action == "" {
			lacks = append(lacks, "`action`")
		}
		if len(lacks) > 0 && f.found[x] {
			c.add("bare-finding", x.Place, len(x.ID), "finding %q names faults but has no %s", x.ID, strings.Join(lacks, " and no "))
		}
	}
	c.handover(f, x)
}

// leftOpen reports each temporary change with which some finding can be reached and
// of which nothing says how it is put back then. What is handed to the next tree
// with it open needs no look: it was refused here, or its sentence goes along.
func (c *checker) leftOpen(f *flow) {
	for _, w := range f.t.Words.Undone {
		list := f.left[w]
		if len(list) == 0 || f.t.Words.Back[w] != "" {
			continue
		}
		var names []string
		for _, x := range list {
			names = append(names, x.ID)
		}
		more := ""
		if len(names) > 3 {
			more = fmt.Sprintf(" and %d more findings", len(names)-3)
			names = names[:3]
		}
		for _, s := range f.t.Steps {
			if slices.Contains(s.Leaves, w) {
				y := c.add("left-open", s.Place, len(s.ID), "step %q leaves %q, a walk can end with it still to be put back (at %s%s), and nothing says how that is done", base(s), w, strings.Join(names, ", "), more)
				note(y, s.Place, "say under undone how it is put back, as in undone: {%s: HOW IT IS PUT BACK}; or let a step put it back with `restores` on every way", w)
				if left := f.leftAt[w]; slices.Contains(wayOf(left.way), s.ID) {
					c.way(y, left.way.step, left)
				} else {
					note(y, s.Place, "a suspicion, or the proof of a repair, leads to it out of order")
				}
				break
			}
		}
	}
}

// handover compares the facts of this tree with those of the next round's.
func (c *checker) handover(f *flow, x *engine.Finding) {
	if x.Then == nil {
		return
	}
	next := c.lib.Tree(x.Then.Tree)
	if next == nil || next == f.t {
		return
	}
	for _, r := range f.t.Readings {
		i := slices.IndexFunc(next.Readings, func(q *engine.Reading) bool { return q.ID == r.ID })
		if i < 0 || !r.Fact {
			continue
		}
		q := next.Readings[i]
		switch {
		case !r.Same(&q.Domain):
			y := c.add("handover", x.Place, len(x.ID), "finding %q hands the fact %q to tree %q, where it is measured or worded in another way", x.ID, r.ID, next.Name)
			note(y, q.Place, "it is declared here for the next tree")
		case !q.Fact:
			y := c.add("handover", x.Place, len(x.ID), "finding %q hands the fact %q to tree %q, where it is not a fact", x.ID, r.ID, next.Name)
			note(y, q.Place, "it is declared here for the next tree")
		}
	}
}

// threshold is a constant limit that a step holds one reading against.
type threshold struct {
	at   *big.Rat
	name string
}

// limitsOf looks at the limits that a step holds single readings against.
func (c *checker) limitsOf(f *flow, s *engine.Step) {
	by := map[int][]threshold{}
	for i, a := range s.Program().Atoms {
		if _, first := s.Program().Wording(i); !first || a.Kind != eval.Compare || a.Of != nil && a.Of.Extreme.Func == "spread" {
			continue
		}
		c.tableHeld(f, s, a)
		slot := onlySlot(a)
		if slot < 0 {
			continue
		}
		ax := f.m.axes[slot]
		if x := f.m.atoms[a]; len(x.yes) == 0 || len(x.no) == 0 {
			always := "always"
			if len(x.yes) == 0 {
				always = "never"
			}
			c.add("limit-outside-span", s.Place, len(s.ID), "%q is %s so, since %s runs from %s to %s only; widen its span or change the limit", a.Text, always, ax.v.ID,
				quantity(ax.cuts[0], ax.v.Unit), quantity(ax.cuts[len(ax.cuts)-1], ax.v.Unit))
		}
		if len(a.Diff.Terms) == 1 && a.Diff.Terms[0].Exact.Sign() != 0 {
			sum := &linearForm{coef: map[int]*big.Rat{slot: a.Diff.Terms[0].Exact}, k: a.Diff.Exact}
			_, at, _ := sum.single()
			by[slot] = append(by[slot], threshold{at, limitName(a, ax.v.ID)})
		}
	}
	for slot, list := range by {
		c.tooClose(f.m.axes[slot], s, list)
	}
}

// onlySlot is the one reading that a comparison looks at, or -1.
func onlySlot(a *eval.Atom) int {
	slot := -1
	for _, t := range a.Diff.Terms {
		switch {
		case t.Cases != nil:
		case t.Table != nil || t.First != nil || slot >= 0:
			return -1
		default:
			slot = t.Var.Slot
		}
	}
	return slot
}

func (c *checker) tooClose(ax *axis, s *engine.Step, list []threshold) {
	slices.SortFunc(list, func(a, b threshold) int { return cmp.Or(a.at.Cmp(b.at), cmp.Compare(a.name, b.name)) })
	for i := 1; i < len(list); i++ {
		a, b := list[i-1], list[i]
		if a.at.Cmp(b.at) == 0 || a.name == "" || b.name == "" {
			continue
		}
		apart, need := nearestFloat(new(big.Rat).Sub(b.at, a.at)), c.doubt(ax, a.at)+c.doubt(ax, b.at)
		if apart > need {
			continue
		}
		c.add("limits-too-close", s.Place, len(s.ID), "%s and %s stand %s apart in step %q, and a %s meter needs %s to tell a reading between them; no reading there is ever certain",
			a.name, b.name, width(apart, ax), base(s), c.meter.Name, width(need, ax))
	}
}

// doubt is how far a reading of that value can be out with the checker's meter, in base units.
func (c *checker) doubt(ax *axis, at *big.Rat) float64 { return Doubt(c.meter, ax.r, nearestFloat(at)) }

// Doubt is how far a reading of that value can be out with a meter, both in base units.
func Doubt(m *engine.Meter, r *engine.Reading, at float64) float64 {
	v := math.Abs(at)
	ranges := m.Ranges(r.Meter)
	for i, m := range ranges {
		if v <= m.UpTo || i == len(ranges)-1 {
			return r.AlsoOutBy + m.Percent/100*v + m.Digits*m.Resolution
		}
	}
	return r.AlsoOutBy
}

// width prints a difference in the reading's unit.
func width(base float64, ax *axis) string {
	u := ax.v.Unit
	return fmt.Sprintf("%.3g %s", u.From(u.Base(0)+base)-u.From(u.Base(0)), u.Name)
}

// longest is the longest way from the beginning, in steps that ask and in cranks.
// The two may belong to different ways.
func (f *flow) longest() Length {
	most := make([]Length, len(f.t.Steps))
	for i := len(f.t.Steps) - 1; i >= 0; i-- {
		s := f.t.Steps[i]
		l := &most[i]
		for _, to := range targets(s) {
			if to.Step != nil && f.reached[to.Step.Index] {
				next := most[to.Step.Index]
				*l = Length{max(l.Questions, next.Questions), max(l.Cranks, next.Cranks)}
			}
		}
		if !f.asking[i] {
			continue
		}
		l.Questions++
		if s.Kind == engine.Crank {
			l.Cranks++
		}
	}
	return most[f.t.Begin.Index]
}
