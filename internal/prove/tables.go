package prove

import (
	"math/big"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// tables holds the points of each table against the span of the reading it runs over, and
// tells where its numbers change their direction.
func (c *checker) tables(f *flow) {
	for _, l := range f.t.Limits {
		at, ok := c.where.limit(f.t, l.ID)
		if l.Table == nil || !ok {
			continue
		}
		u := l.Table.Var.Unit
		for i, x := range l.Table.ExactX {
			ax := f.m.axes[l.Table.Var.Slot]
			if lo, hi := span(ax); x.Cmp(lo) < 0 || x.Cmp(hi) > 0 {
				c.add("point-outside-span", at, len(l.ID), "limits.%s has a point at %s, and %s runs from %s to %s only; widen its span or take the point out", l.ID, quantity(x, u), ax.v.ID, quantity(lo, u), quantity(hi, u))
			}
			if y := l.Table.ExactY; i > 1 && turns(y[i-2], y[i-1], y[i]) {
				c.add("table-turns", at, len(l.ID), "limits.%s changes its direction at %s: %s, %s, %s", l.ID, quantity(l.Table.ExactX[i-1], u), quantity(y[i-2], l.Unit), quantity(y[i-1], l.Unit), quantity(y[i], l.Unit))
			}
		}
	}
}

// turns reports whether the middle one of three numbers is a peak or a trough.
func turns(a, b, c *big.Rat) bool { return a.Cmp(b)*b.Cmp(c) < 0 }

func span(ax *axis) (lo, hi *big.Rat) { return ax.cuts[0], ax.cuts[len(ax.cuts)-1] }

// tableHeld holds the numbers of a table against the span of the one reading that stands
// against it.
func (c *checker) tableHeld(f *flow, s *engine.Step, a *eval.Atom) {
	var table *eval.Table
	var ax *axis
	for _, t := range a.Diff.Terms {
		switch {
		case t.Table != nil && table == nil:
			table = t.Table
		case t.Table == nil && t.Cases == nil && t.First == nil && ax == nil:
			ax = f.m.axes[t.Var.Slot]
		default:
			return
		}
	}
	if table == nil || ax == nil || a.Diff.Exact.Sign() != 0 || len(a.Diff.Limits) != 1 {
		return
	}
	l := a.Diff.Limits[0]
	lo, hi := span(ax)
	for i, y := range table.ExactY {
		if y.Cmp(lo) < 0 || y.Cmp(hi) > 0 {
			c.add("point-outside-span", s.Place, len(s.ID), "%q holds %s against limits.%s, which is %s at %s, and the reading runs from %s to %s only; widen its span or change the limit", a.Text, ax.v.ID, l.ID,
				quantity(y, l.Unit), quantity(table.ExactX[i], table.Var.Unit), quantity(lo, ax.v.Unit), quantity(hi, ax.v.Unit))
			return
		}
	}
}

// exact tells of measured readings that are decided on and count as exact, since nothing
// says what takes them.
func (c *checker) exact(t *engine.Tree) {
	for _, s := range t.Steps {
		for _, a := range s.Program().Atoms {
			for _, v := range a.Vars() {
				if r := t.ReadingOf(v); r != nil && r.Exact && a.Kind == eval.Compare {
					c.add("exact-reading", r.Place, len(r.ID), "reading %q counts as exact: nothing says what takes it; give it a probe, a clamp or a `meter`, or say `meter: none`", r.ID)
				}
			}
		}
	}
}
