package prove

import (
	"errors"
	"iter"
	"math/big"

	"deadflat/internal/eval"
)

// linearForm is a sum over plain readings: what is left of a comparison once the
// case of each limit and the stretch of each table are chosen.
type linearForm struct {
	coef map[int]*big.Rat // by slot
	k    *big.Rat
}

// situation is one choice of case, stretch and alternative for all of a comparison:
// the conditions for it, and the sum it leaves.
type situation struct {
	cond uncutCell
	sum  *linearForm
}

// uncutCell is a cell before the axes are cut: words, stretches of numbers and
// which readings are known.
type uncutCell []uncut

type uncut struct {
	slot int
	not  bool   // the reading is not known; nothing else is set
	set  uint64 // of a choice
	// of a number: from <= x < to, either end may be nil
	from, to *big.Rat
}

// expanded is a comparison in all its situations.
type expanded struct {
	cases   []situation
	unknown []uncutCell // when it cannot be worked out
}

// What one comparison may fall into, and all of a tree together.
const (
	mostCases     = 4096
	mostTreeCases = 8000
)

var errTooComplex = errors.New("too complex to prove")

// expand splits a comparison on the choices of its limits, the stretches of its
// tables and which alternatives of its values are known.
func (m *model) expand(a *eval.Atom) (*expanded, error) {
	x := &expanded{}
	if err := m.split(a.Diff, nil, &linearForm{coef: map[int]*big.Rat{}, k: a.Diff.Exact}, 0, big.NewRat(1, 1), &x.cases); err != nil {
		return nil, err
	}
	var err error
	if x.unknown, err = m.unknowns(a.Diff); err != nil {
		return nil, err
	}
	for _, s := range x.cases {
		if slot, at, _ := s.sum.single(); slot >= 0 {
			m.axes[slot].cut(at, limitName(a, m.axes[slot].v.ID))
		}
	}
	return x, nil
}

// limitName is what a threshold on one reading is called: the side of the
// comparison on which the reading does not stand.
func limitName(a *eval.Atom, reading string) string {
	switch {
	case a.Left == nil || a.Right == nil:
		return ""
	case a.Left.Text == reading:
		return a.Right.Text
	case a.Right.Text == reading:
		return a.Left.Text
	}
	return ""
}

// split chooses for the terms of l from term i on, times scale; cond and sum are
// what the choices before have come to.
func (m *model) split(l *eval.Linear, cond uncutCell, sum *linearForm, i int, scale *big.Rat, out *[]situation) error {
	if len(*out) > mostCases {
		return errTooComplex
	}
	if i == len(l.Terms) {
		if m.cases++; m.cases > mostTreeCases {
			return errTooComplex
		}
		*out = append(*out, situation{cond, sum})
		return nil
	}
	t := &l.Terms[i]
	c := new(big.Rat).Mul(t.Exact, scale)
	switch {
	case t.Table != nil:
		return m.splitTable(l, t, c, cond, sum, i, scale, out)
	case t.Cases != nil:
		for y, set := range byNumber(t.Cases) {
			next := sum.add(-1, nil, new(big.Rat).Mul(c, y))
			if err := m.split(l, with(cond, uncut{slot: t.Cases.Var.Slot, set: set}), next, i+1, scale, out); err != nil {
				return err
			}
		}
		return nil
	case t.First != nil:
		return m.splitFirst(l, t, c, cond, sum, i, scale, out)
	}
	return m.split(l, m.whenKnown(cond, t.Var), sum.add(m.slotOf(t.Var), c, nil), i+1, scale, out)
}

// byNumber gathers the choices that have the same number, in order of the choices.
func byNumber(c *eval.Cases) iter.Seq2[*big.Rat, uint64] {
	return func(yield func(*big.Rat, uint64) bool) {
		var seen uint64
		for i, y := range c.Exact {
			var set uint64
			for k, z := range c.Exact {
				if z.Cmp(y) == 0 {
					set |= 1 << uint(k)
				}
			}
			if seen&(1<<uint(i)) == 0 && !yield(y, set) {
				return
			}
			seen |= set
		}
	}
}

// splitTable takes the stretches of a table one by one: level before its first
// point and after its last, a straight line between two.
func (m *model) splitTable(l *eval.Linear, t *eval.Term, c *big.Rat, cond uncutCell, sum *linearForm, i int, scale *big.Rat, out *[]situation) error {
	xs, ys := t.Table.ExactX, t.Table.ExactY
	slot, n := t.Table.Var.Slot, len(xs)
	for j := 0; j <= n; j++ {
		s := uncut{slot: slot, set: ^uint64(0)}
		next := sum
		switch {
		case j == 0:
			s.to = xs[0]
			next = sum.add(-1, nil, new(big.Rat).Mul(c, ys[0]))
		case j == n:
			s.from = xs[n-1]
			next = sum.add(-1, nil, new(big.Rat).Mul(c, ys[n-1]))
		default:
			s.from, s.to = xs[j-1], xs[j]
			slope, at0 := line(s.from, ys[j-1], s.to, ys[j])
			next = sum.add(slot, slope.Mul(slope, c), at0.Mul(at0, c))
		}
		for _, end := range []*big.Rat{s.from, s.to} {
			if end != nil {
				m.axes[slot].cut(end, "")
			}
		}
		if err := m.split(l, with(cond, s), next, i+1, scale, out); err != nil {
			return err
		}
	}
	return nil
}

// line is the slope of the straight line through two points and its height at 0.
func line(x0, y0, x1, y1 *big.Rat) (slope, at0 *big.Rat) {
	slope = new(big.Rat).Sub(y1, y0)
	slope.Quo(slope, new(big.Rat).Sub(x1, x0))
	at0 = new(big.Rat).Sub(y0, new(big.Rat).Mul(slope, x0))
	return slope, at0
}

// splitFirst takes the alternatives of a value: each counts when none before it
// is known.
func (m *model) splitFirst(l *eval.Linear, t *eval.Term, c *big.Rat, cond uncutCell, sum *linearForm, i int, scale *big.Rat, out *[]situation) error {
	if t.First.Call != nil {
		return errTooComplex // what a function of the trade gives is not a straight line
	}
	before := []uncutCell{nil}
	for _, alt := range t.First.Alternatives {
		var inner []situation
		start := sum.add(-1, nil, new(big.Rat).Mul(c, alt.Exact))
		if err := m.split(alt, cond, start, 0, c, &inner); err != nil {
			return err
		}
		for _, not := range before {
			for _, s := range inner {
				if err := m.split(l, with(s.cond, not...), s.sum, i+1, scale, out); err != nil {
					return err
				}
			}
		}
		missing, err := m.unknowns(alt)
		if err != nil {
			return err
		}
		if before = crossed(before, missing); len(before) > mostCases {
			return errTooComplex
		}
	}
	return nil
}

// unknowns are the ways in which a sum cannot be worked out.
func (m *model) unknowns(l *eval.Linear) ([]uncutCell, error) {
	var out []uncutCell
	for i := range l.Terms {
		t := &l.Terms[i]
		if t.First == nil {
			for _, v := range read(t.Var) {
				out = append(out, uncutCell{{slot: v.Slot, not: true}})
			}
			continue
		}
		if t.First.Call != nil {
			return nil, errTooComplex
		}
		none := []uncutCell{nil}
		for _, alt := range t.First.Alternatives {
			missing, err := m.unknowns(alt)
			if err != nil {
				return nil, err
			}
			if none = crossed(none, missing); len(none) > mostCases {
				return nil, errTooComplex
			}
		}
		out = append(out, none...)
	}
	return out, nil
}

// crossed is each of as together with each of bs, cut off above mostCases.
func crossed(as, bs []uncutCell) []uncutCell {
	var out []uncutCell
	for _, a := range as {
		for _, b := range bs {
			if out = append(out, with(a, b...)); len(out) > mostCases {
				return out
			}
		}
	}
	return out
}

func with(c uncutCell, more ...uncut) uncutCell {
	return append(append(make(uncutCell, 0, len(c)+len(more)), c...), more...)
}

// add is the sum with c times a slot, or a constant, added.
func (s *linearForm) add(slot int, c, k *big.Rat) *linearForm {
	r := &linearForm{coef: make(map[int]*big.Rat, len(s.coef)+1), k: s.k}
	for i, v := range s.coef {
		r.coef[i] = v
	}
	if k != nil {
		r.k = new(big.Rat).Add(s.k, k)
	}
	if c != nil {
		v := new(big.Rat).Set(c)
		if old := r.coef[slot]; old != nil {
			v.Add(v, old)
		}
		r.coef[slot] = v
		if v.Sign() == 0 {
			delete(r.coef, slot)
		}
	}
	return r
}

// single gives the reading and the threshold of a sum over one reading; slot is
// -1 for any other sum.
func (s *linearForm) single() (slot int, at *big.Rat, rising bool) {
	if len(s.coef) != 1 {
		return -1, nil, false
	}
	for i, c := range s.coef {
		slot, rising = i, c.Sign() > 0
		at = new(big.Rat).Neg(s.k)
		at.Quo(at, c)
	}
	return slot, at, rising
}
