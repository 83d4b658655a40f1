package engine

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"deadflat/internal/eval"
	"deadflat/internal/text"
)

// How the nearest other branch is found: every number that the step compares is
// moved to each of its limits and one step of its display beyond, every choice to
// each other word, one at a time, and the step is decided anew on the best
// values. The smallest move that changes the branch, in multiples of the doubt,
// is the flip, and the branch it leads to is the foil. So both are true by trial.
// A branch that leads to the same place is no foil.

// choiceFar stands for the distance to another word: farther than any number.
const choiceFar = 1e6

// flips searches for the flip of one decision.
type flips struct {
	w      *Walk
	d      *decision
	env    eval.Env
	trace  []eval.Trace
	best   *Flip
	atom   *eval.Atom // the comparison that the best one turns; nil for a choice
	now    eval.Trace // how that comparison came out
	far    float64
	change float64
}

// foil fills in the slots for the other branch and the change that leads there.
func (w *Walk) foil(d *decision, x *Explanation) {
	if d.trace == nil || d.branch.Index < 0 {
		return
	}
	f := &flips{w: w, d: d, far: math.Inf(1)}
	f.env = eval.Env{Values: slices.Clone(w.s.env.Values), Done: w.s.env.Done}
	f.trace = make([]eval.Trace, len(d.trace))
	tried := map[*eval.Var]bool{}
	for i, a := range d.step.prog.Atoms {
		switch a.Kind {
		case eval.OneOf:
			if !tried[a.Var] {
				tried[a.Var] = true
				f.words(a.Var)
			}
		case eval.Compare:
			f.numbers(a, d.trace[i])
		}
	}
	if x.FlipTo = f.best; f.best == nil {
		return
	}
	x.Foil, x.Flip = f.sentences()
}

// words tries every other word of a choice.
func (f *flips) words(v *eval.Var) {
	old := f.env.Values[v.Slot]
	if old.State != eval.Taken || old.Stale {
		return
	}
	for i, word := range v.Choices {
		if old.Set&(1<<uint(i)) == 0 {
			f.try(v, eval.One(i), choiceFar, &Flip{Choice: word})
		}
	}
}

// numbers moves each reading of a comparison to where it would turn, and just
// beyond.
func (f *flips) numbers(a *eval.Atom, was eval.Trace) {
	now := a.Diff.Over(f.env.Values)
	if !now.Known {
		return
	}
	for i := range a.Diff.Terms {
		t := &a.Diff.Terms[i]
		if t.Table != nil || t.Cases != nil || t.First != nil || t.Coef == 0 {
			continue
		}
		v := &f.env.Values[t.Var.Slot]
		if v.State != eval.Taken {
			continue
		}
		lo, hi := v.Range()
		doubt := math.Max(hi-v.Best, v.Best-lo)
		turn := roundTo(v.Best-now.Best/t.Coef, 1e-9)
		for _, x := range []float64{turn, turn + grid(t.Var), turn - grid(t.Var)} {
			if x < t.Var.Span[0] || x > t.Var.Span[1] {
				continue
			}
			if f.try(t.Var, eval.Exact(x), math.Abs(x-v.Best)/math.Max(doubt, 1e-6), &Flip{Value: x}) {
				f.atom, f.now = a, was
			}
		}
	}
}

// grid is one step of a display.
func grid(v *eval.Var) float64 {
	switch {
	case v.Unit.Name == "V":
		return 0.01
	case v.Unit.Name == "V/A":
		return 0.0001
	case v.Unit.Name == "1" && v.Span[1]-v.Span[0] <= 5:
		return 0.001
	case v.Unit.Name == "1":
		return 1
	}
	return math.Abs(v.Unit.Base(0.1) - v.Unit.Base(0))
}

func roundTo(x, step float64) float64 { return math.Round(x/step) * step }

// try decides the step with one answer changed, and reports whether that is the best
// flip so far.
func (f *flips) try(v *eval.Var, to eval.Value, far float64, flip *Flip) bool {
	if far >= f.far {
		return false
	}
	r := f.w.s.t.scope.byVar[v]
	old := slices.Clone(f.env.Values)
	f.env.Values[v.Slot] = to
	if v.Slot != r.Index && f.env.Values[r.Index] == old[v.Slot] {
		f.env.Values[r.Index] = to
	}
	for i := range f.d.step.fields {
		if fd := &f.d.step.fields[i]; fd.Reading == r && fd.Slot >= 0 && v.Slot == r.Index {
			f.env.Values[fd.Slot] = to
		}
	}
	f.d.step.prog.Run(&f.env, f.trace)
	copy(f.env.Values, old)
	for _, b := range f.d.step.Branches {
		if b.Guard == nil || !b.Guard.Nominal(f.trace) || b.Guard.Verdict(f.trace) == eval.Unknown {
			continue
		}
		if b.To != f.d.branch.To {
			flip.Reading, flip.Branch = r, b
			f.best, f.far, f.change = flip, far, math.Abs(to.Best-old[v.Slot].Best)
			return true
		}
		return false
	}
	return false
}

// sentences words the foil and the flip.
func (f *flips) sentences() (foil, flip string) {
	b, r := f.best, f.best.Reading
	v := f.w.s.t.scope.vars[r.ID]
	foil = "Not " + quoted(targetTitle(b.Branch.To))
	if !r.Number() {
		return text.Stop(foil), text.Stop(fmt.Sprintf("%s %s would have led there instead", text.Capital(nameOf(v)), quoted(b.Choice)))
	}
	now := f.env.Values[r.Index].Best
	change := showWidth2(f.change, r.Unit)
	if change == showWidth2(0, r.Unit) {
		return text.Stop(foil), text.Stop(f.atLimit())
	}
	side := "or less"
	if b.Value > now {
		side = "or more"
	}
	at := showPlain(b.Value, r.Unit)
	return text.Stop(foil), text.Stop(fmt.Sprintf("%s of %s %s, %s from what was read, would have led there instead", text.Capital(nameOf(v)), at, side, change))
}

// atLimit says on which side of a limit a reading counts that stands at it.
func (f *flips) atLimit() string {
	left, _, written := sides(f.atom)
	counts := f.now
	if holds, by := f.atom.Safer(); by != nil && f.now.Verdict == eval.Open {
		counts.Nominal = holds
	}
	how := "exactly at"
	if f.change >= 1e-9 {
		how = "at" // nearer than a display shows
	}
	at := showPlain(left.Over(f.w.s.env.Values).Best, f.w.unitFor(f.atom))
	side := strings.TrimPrefix(isWords(written, counts), "is ")
	return fmt.Sprintf("%s of %s stands %s the limit and counts as %s it", text.Capital(f.w.sideName(f.atom, left)), at, how, side)
}
