package prove

import (
	"math/big"
	"slices"
)

// problem is a question about some of a model's dimensions: the ones that one
// step's guards look at, and the comparisons already decided on the way.
type problem struct {
	m       *model
	dims    []int
	at      map[int]int
	rows    []int    // places in dims that are comparisons of several readings
	work    int      // spent on this problem
	domains []domain // room for the boxes that subtract is at work on
	cells   []cell   // and for the cells that meet them
}

// What a proof may cost: one problem, and all those of a tree together, counted in
// boxes of up to 64 dimensions looked at. A tableau to be solved costs as much as some
// hundred boxes, and more with the square of its comparisons.
const (
	mostWork     = 4_000_000
	mostTreeWork = 60_000_000
	tableauWork  = 200
)

// spend books work and reports whether there is none left.
func (p *problem) spend(n int) error {
	n *= 1 + len(p.dims)/64
	p.work += n
	p.m.work += n
	if p.work > mostWork || p.m.work > mostTreeWork {
		return errTooComplex
	}
	return nil
}

// box is a set of answers: one domain for each of the problem's dimensions.
type box []domain

// newProblem is over every dimension that some cell or fact names, and every
// reading that a comparison among them looks at.
func (m *model) newProblem(lists ...[]cell) *problem {
	p := &problem{m: m, at: map[int]int{}}
	need := map[int]bool{}
	for _, list := range lists {
		for _, c := range list {
			for _, n := range c {
				need[n.dim] = true
			}
		}
	}
	for d := range need {
		p.dims = append(p.dims, d)
	}
	slices.Sort(p.dims)
	for i, d := range p.dims {
		p.at[d] = i
		if m.row(d) != nil {
			p.rows = append(p.rows, i)
		}
	}
	return p
}

// cover takes the cells out of b and hands on what is left, box by box, until keep
// says that it is enough. The cell that takes most goes first.
func (p *problem) cover(b box, cells []cell, keep func(box) bool) error {
	if err := p.spend(1 + len(cells)); err != nil {
		return err
	}
	room := len(p.cells)
	_, err := p.subtract(b, p.meeting(b, p.placed(cells)), keep)
	p.cells = p.cells[:room]
	return err
}

// placed are cells whose dimensions are places in the problem's boxes.
func (p *problem) placed(cells []cell) []cell {
	n := 0
	for _, c := range cells {
		n += len(c)
	}
	all := make(cell, 0, n)
	out := make([]cell, len(cells))
	for i, c := range cells {
		from := len(all)
		for _, x := range c {
			all = append(all, constraint{p.at[x.dim], x.domain})
		}
		out[i] = all[from:len(all):len(all)]
	}
	return out
}

// meeting are the placed cells that meet b. They stand in the problem's own room,
// which subtract gives back.
func (p *problem) meeting(b box, cells []cell) []cell {
	from := len(p.cells)
next:
	for _, c := range cells {
		for i := range c {
			if !meets(&b[c[i].dim], &c[i].domain) {
				continue next
			}
		}
		p.cells = append(p.cells, c)
	}
	return p.cells[from:len(p.cells):len(p.cells)]
}

func (p *problem) subtract(b box, cells []cell, keep func(box) bool) (goOn bool, err error) {
	if err := p.spend(1); err != nil {
		return false, err
	}
	if len(cells) == 0 {
		ok, err := p.feasible(b)
		if err != nil || !ok {
			return err == nil, err
		}
		return keep(slices.Clone(b)), nil
	}
	doms, room := len(p.domains), len(p.cells)
	defer func() { p.domains, p.cells = p.domains[:doms], p.cells[:room] }()
	p.domains = append(p.domains, b...)
	rest := box(p.domains[doms:len(p.domains):len(p.domains)])
	var buf [4]domain
	for _, n := range widest(b, cells) {
		i := n.dim
		whole := rest[i]
		for _, part := range outside(whole, n.domain, buf[:0]) {
			rest[i] = part
			if p.m.row(p.dims[i]) != nil {
				ok, err := p.feasible(rest)
				if err != nil {
					return false, err
				}
				if !ok {
					continue
				}
			}
			if goOn, err := p.subtract(rest, p.meeting(rest, cells), keep); err != nil || !goOn {
				return goOn, err
			}
			p.cells = p.cells[:room]
		}
		rest[i] = meet(whole, n.domain)
	}
	return true, nil
}

// widest is the cell that covers the largest share of b.
func widest(b box, cells []cell) cell {
	best, most := cells[0], -1.0
	for _, c := range cells {
		share := 1.0
		for i := range c {
			d := b[c[i].dim]
			both := meet(d, c[i].domain)
			if share *= both.size() / d.size(); share <= most {
				break
			}
		}
		if share > most {
			best, most = c, share
		}
	}
	return best
}

// inside is what of b lies in the cells; ok is false when nothing is left, by the
// pieces alone.
func (p *problem) inside(b box, cells ...cell) (box, bool) {
	out := slices.Clone(b)
	for _, c := range cells {
		for _, n := range c {
			i := p.at[n.dim]
			if out[i] = meet(out[i], n.domain); out[i].empty() {
				return nil, false
			}
		}
	}
	return out, true
}

// reachable reports whether any answers lie in b and the cells.
func (p *problem) reachable(b box, cells ...cell) (box, bool, error) {
	out, ok := p.inside(b, cells...)
	if !ok {
		return nil, false, nil
	}
	ok, err := p.feasible(out)
	return out, ok, err
}

// fixed lists the comparisons of several readings that b decides.
func (p *problem) fixed(b box) []int {
	var out []int
	for _, i := range p.rows {
		if s := b[i].set; (s == no || s == yes) && p.allKnown(b, p.m.row(p.dims[i])) {
			out = append(out, i)
		}
	}
	return out
}

func (p *problem) allKnown(b box, r *row) bool {
	for _, s := range r.reads {
		if i, ok := p.at[s]; ok && b[i].modes&known == 0 {
			return false
		}
	}
	return true
}

// rangeOf is the range of a slot in b.
func (p *problem) rangeOf(b box, slot int) domain {
	if i, ok := p.at[slot]; ok {
		return b[i]
	}
	return p.m.axes[slot].full
}

// feasible reports whether numbers exist that lie in b and satisfy the
// comparisons it decides.
func (p *problem) feasible(b box) (bool, error) {
	rows := p.fixed(b)
	switch {
	case len(rows) == 0:
		return true, nil
	case len(rows) == 1 && p.m.row(p.dims[rows[0]]).slots[0] >= 0:
		return p.feasibleRow(b, rows[0]), nil
	}
	_, _, ok, err := p.settle(b, rows, nil)
	return ok, err
}

// feasibleRow decides one comparison by the ends of its readings' ranges.
func (p *problem) feasibleRow(b box, i int) bool {
	r := p.m.row(p.dims[i])
	wantBelow := b[i].set == yes
	end := new(big.Rat).Set(r.k)
	open := false
	for j, slot := range r.slots {
		d := p.rangeOf(b, slot)
		from, openFrom, to, openTo := p.m.axes[slot].ends(d.lo, d.hi)
		if (r.coef[j].Sign() > 0) == wantBelow {
			end.Add(end, new(big.Rat).Mul(r.coef[j], from))
			open = open || openFrom
		} else {
			end.Add(end, new(big.Rat).Mul(r.coef[j], to))
			open = open || openTo
		}
	}
	// end is the lowest the sum can come to, or the highest; reached unless open.
	strict := r.orEqual != wantBelow
	sign := end.Sign()
	if !wantBelow {
		sign = -sign
	}
	return sign < 0 || sign == 0 && !strict && !open
}

// tableau sets up the decided comparisons; fixedAt gives readings set to one value, ties
// the readings that extremes are.
func (p *problem) tableau(b box, rows []int, fixedAt map[int]*big.Rat, ties []tie) (*tableau, []int) {
	var slots []int
	for _, i := range rows {
		r := p.m.row(p.dims[i])
		slots = append(append(slots, r.slots...), r.reads...)
	}
	slices.Sort(slots)
	slots = slices.Compact(slots)
	s := newTableau(len(slots))
	for v, slot := range slots {
		if at := fixedAt[slot]; at != nil {
			s.bound(v, true, at, false)
			s.bound(v, false, at, false)
			continue
		}
		if slot < 0 {
			continue
		}
		d := p.rangeOf(b, slot)
		from, openFrom, to, openTo := p.m.axes[slot].ends(d.lo, d.hi)
		s.bound(v, true, from, openFrom)
		s.bound(v, false, to, openTo)
	}
	p.beyond(s, b, slots, ties)
	for _, i := range rows {
		r := p.m.row(p.dims[i])
		coef := make([]*big.Rat, len(slots))
		for j, slot := range r.slots {
			coef[slices.Index(slots, slot)] = r.coef[j]
		}
		v := s.sum(coef)
		at := new(big.Rat).Neg(r.k)
		if b[i].set == yes {
			s.bound(v, false, at, !r.orEqual)
		} else {
			s.bound(v, true, at, r.orEqual)
		}
	}
	return s, slots
}
