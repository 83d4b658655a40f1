package prove

import (
	"maps"
	"math/big"
	"math/bits"
	"slices"

	"deadflat/internal/eval"
)

// shown puts a box into answers, those that may be anything included.
func (j *product) shown(p *problem, b, whole box) []Shown {
	var out []Shown
	numbers := p.readable(b)
	for slot, v := range j.vars {
		ax, d := j.m.axes[slot], b[slot]
		tied := p.tied(b, slot)
		s := Shown{Title: v.v.Title, Of: v.of, Words: v.v.Choices, Any: !tied && within(whole[slot], d), Value: eval.Value{State: eval.Skipped}}
		x := numbers[slot]
		if d.modes&known != 0 && ax.number() {
			if m := ax.middle(d); m != nil && !tied {
				x = m
			}
			s.Value = eval.Exact(nearestFloat(x))
		} else if d.modes&known != 0 {
			s.Value = eval.One(bits.TrailingZeros64(d.set))
		}
		s.Answer = j.m.answer(slot, d, x, !tied && !s.Any && d.lo == d.hi && d.lo%2 == 0)
		out = append(out, s)
	}
	for i, step := range j.done {
		d := b[len(j.vars)+i]
		is := "not done"
		if d.set&yes != 0 {
			is = "done"
		}
		out = append(out, Shown{Answer: Answer{Step: step, Is: is}, Any: d.set == whole[len(j.vars)+i].set})
	}
	return out
}

// middle is a readable number well inside a range between two limits; nil when the
// range ends with the span, or nothing readable lies inside.
func (a *axis) middle(d domain) *big.Rat {
	if d.lo == 0 || d.hi == a.full.hi {
		return nil
	}
	from, _, to, _ := a.ends(d.lo, d.hi)
	return a.between(from, to)
}

// between is the readable number nearest to the middle of what lies between two
// others; nil when there is none.
func (a *axis) between(from, to *big.Rat) *big.Rat {
	m := new(big.Rat).Add(from, to)
	m.Quo(m, big.NewRat(2, 1))
	for _, x := range []*big.Rat{m, a.snap(m, Grid(a.v.Unit), true), a.snap(m, Grid(a.v.Unit), false)} {
		if a.onGrid(x) && x.Cmp(from) > 0 && x.Cmp(to) < 0 {
			return x
		}
	}
	return nil
}

// readable is numbersIn, with readings that are held against one another on their
// grids as well where that can be had: all but one are tried at a few readable
// numbers, and the last gets one of those that are left to it.
func (p *problem) readable(b box) map[int]*big.Rat {
	out := p.numbersIn(b)
	rows := p.fixed(b)
	if slices.ContainsFunc(rows, func(i int) bool { return p.m.row(p.dims[i]).slots[0] < 0 }) {
		return out // what is left to the last reading is no one range
	}
	var tied []int
	for slot := range p.m.axes {
		if p.tied(b, slot) {
			tied = append(tied, slot)
		}
	}
	tries := mostReadable
	for k := range tied {
		set := map[int]*big.Rat{}
		order := append(slices.Clone(tied[k+1:]), tied[:k]...)
		if p.assignReadable(b, rows, order, tied[k], set, &tries) {
			maps.Copy(out, set)
			break
		}
	}
	return out
}

// mostReadable bounds the readable numbers that are tried for one witness.
const mostReadable = 200

// assignReadable puts readings of order, and then the last, on readable numbers, which
// it leaves in set.
func (p *problem) assignReadable(b box, rows, order []int, last int, set map[int]*big.Rat, tries *int) bool {
	if len(order) == 0 {
		x := p.lastReadable(b, rows, last, set)
		set[last] = x
		return x != nil
	}
	ax, d := p.m.axes[order[0]], p.rangeOf(b, order[0])
	from, _, to, _ := ax.ends(d.lo, d.hi)
	try := ax.candidates(d)
	if m := ax.between(from, to); m != nil {
		try = append([]*big.Rat{m}, try...)
	}
	for _, x := range try {
		if *tries--; *tries < 0 || !ax.onGrid(x) {
			continue
		}
		set[order[0]] = x
		if _, _, ok, err := p.settle(b, rows, set); ok && err == nil && p.assignReadable(b, rows, order[1:], last, set, tries) {
			return true
		}
		delete(set, order[0])
	}
	return false
}

func (a *axis) onGrid(x *big.Rat) bool {
	return new(big.Rat).Quo(inUnit(x, a.v.Unit), Grid(a.v.Unit)).IsInt()
}

// lastReadable is a readable number for the one reading that is not set, as the
// comparisons leave it room; nil when none fits.
func (p *problem) lastReadable(b box, rows []int, slot int, set map[int]*big.Rat) *big.Rat {
	ax, d := p.m.axes[slot], p.rangeOf(b, slot)
	from, openFrom, to, openTo := ax.ends(d.lo, d.hi)
	for _, i := range rows {
		r := p.m.row(p.dims[i])
		at, c := new(big.Rat).Neg(r.k), (*big.Rat)(nil)
		for k, s := range r.slots {
			if s == slot {
				c = r.coef[k]
				continue
			}
			at.Sub(at, new(big.Rat).Mul(r.coef[k], set[s]))
		}
		if c == nil {
			continue
		}
		at.Quo(at, c)
		below := b[i].set == yes
		open := r.orEqual != below
		switch upper := below == (c.Sign() > 0); {
		case upper && (at.Cmp(to) < 0 || at.Cmp(to) == 0 && open):
			to, openTo = at, open
		case !upper && (at.Cmp(from) > 0 || at.Cmp(from) == 0 && open):
			from, openFrom = at, open
		}
	}
	if x := ax.between(from, to); x != nil {
		return x
	}
	switch {
	case from.Cmp(to) <= 0 && !openFrom && ax.onGrid(from) && (from.Cmp(to) < 0 || !openTo):
		return from
	case from.Cmp(to) < 0 && !openTo && ax.onGrid(to):
		return to
	}
	return nil
}
