package prove

import (
	"math/big"
	"slices"

	"deadflat/internal/eval"
)

// How the highest and the lowest of several readings are proved.
//
// A guard holds such a comparison as an and, or an or, over one for each reading or pair
// of readings; of six readings that is more cells than can be held against one another.
// Here it is one comparison, over numbers of its own: the highest and the lowest. Of
// those a tableau knows that no reading lies beyond them, and that each of them is one of the
// readings; which one is tried in turn.

// extreme is the highest of the readings of some slots, or with least the lowest.
type extreme struct {
	slots []int
	least bool
}

// firstExtreme is the slot of the model's first extreme; that of the next is one lower.
const firstExtreme = -2

// slotOf is the slot of a variable, which is below zero for an extreme.
func (m *model) slotOf(v *eval.Var) int {
	if v.Of == nil {
		return v.Slot
	}
	x := extreme{least: v.Least}
	for _, r := range v.Of {
		x.slots = append(x.slots, r.Slot)
	}
	slices.Sort(x.slots)
	at := slices.IndexFunc(m.extremes, func(o extreme) bool { return o.least == x.least && slices.Equal(o.slots, x.slots) })
	if at < 0 {
		at = len(m.extremes)
		m.extremes = append(m.extremes, x)
	}
	return firstExtreme - at
}

// readingsOf are the slots of the readings behind some slots.
func (m *model) readingsOf(of []int) []int {
	var out []int
	for _, s := range of {
		if s >= 0 {
			out = append(out, s)
		} else {
			out = append(out, m.extremes[firstExtreme-s].slots...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// read lists the readings that a variable stands for.
func read(v *eval.Var) []*eval.Var {
	if v.Of == nil {
		return []*eval.Var{v}
	}
	return v.Of
}

// tie says that an extreme is one of its readings.
type tie struct{ extreme, reading int }

// settle solves the decided comparisons of rows, with readings set to some values. Where
// they look at extremes, each is tied to one of its readings in the solution: those of ties,
// and one after the other for the rest.
func (p *problem) settle(b box, rows []int, fixedAt map[int]*big.Rat, ties ...tie) (*tableau, []int, bool, error) {
	if err := p.spend(tableauWork * (1 + len(rows)*len(rows)/64)); err != nil {
		return nil, nil, false, err
	}
	s, slots := p.tableau(b, rows, fixedAt, ties)
	ok, decided := s.solve()
	if !decided {
		return nil, nil, false, errTooComplex
	}
	if !ok || len(ties) == len(slots) || slots[len(ties)] >= 0 {
		return s, slots, ok, nil
	}
	of := slots[len(ties)] // extremes stand first
	x := p.m.extremes[firstExtreme-of]
	for i := range x.slots {
		if x.least {
			i = len(x.slots) - 1 - i
		}
		with := append(slices.Clone(ties), tie{of, x.slots[i]})
		if s, slots, ok, err := p.settle(b, rows, fixedAt, with...); ok || err != nil {
			return s, slots, ok, err
		}
	}
	return s, slots, false, nil
}

// beyond holds the readings of the extremes among slots to lie inside them, and to be the
// one they are tied to.
func (p *problem) beyond(s *tableau, b box, slots []int, ties []tie) {
	one, nought := big.NewRat(1, 1), new(big.Rat)
	for v, slot := range slots {
		if slot >= 0 {
			return
		}
		x := p.m.extremes[firstExtreme-slot]
		for _, r := range x.slots {
			coef := make([]*big.Rat, len(slots))
			coef[v], coef[slices.Index(slots, r)] = one, big.NewRat(-1, 1)
			d := s.sum(coef) // the extreme less the reading
			s.bound(d, !x.least, nought, false)
			if slices.Contains(ties, tie{slot, r}) {
				s.bound(d, x.least, nought, false)
			}
		}
		s.bound(v, x.least, p.farthest(b, x), false)
	}
}

// farthest is the number that an extreme cannot lie beyond.
func (p *problem) farthest(b box, x extreme) *big.Rat {
	var far *big.Rat
	for _, r := range x.slots {
		d := p.rangeOf(b, r)
		at, _, to, _ := p.m.axes[r].ends(d.lo, d.hi)
		if !x.least {
			at = to
		}
		if far == nil || (at.Cmp(far) > 0) != x.least {
			far = at
		}
	}
	return far
}

// whenKnown is the condition that all the readings of a variable are known.
func (m *model) whenKnown(cond uncutCell, v *eval.Var) uncutCell {
	for _, r := range read(v) {
		cond = with(cond, uncut{slot: r.Slot, set: ^uint64(0)})
	}
	return cond
}

// proved are the comparisons that a guard's atoms are proved as: those of an extreme as one.
func proved(atoms []*eval.Atom) []*eval.Atom {
	var out []*eval.Atom
	for i, a := range atoms {
		switch {
		case a.Of == nil:
			out = append(out, a)
		case i == 0 || atoms[i-1].Of != a.Of:
			out = append(out, a.Of.Whole)
			fallthrough
		default:
			if a.Of.Extreme.Func != "spread" && onlySlot(a) >= 0 {
				out = append(out, a) // its limit cuts the axis
			}
		}
	}
	return out
}
