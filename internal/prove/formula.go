package prove

import (
	"cmp"
	"encoding/binary"
	"math/big"
	"slices"

	"deadflat/internal/eval"
)

// cell is a set of answers: one constraint for each dimension it names, in order. A
// dimension that it does not name may be anything.
type cell []constraint

type constraint struct {
	dim    int
	domain domain
}

// key is the same for equal cells.
func (c cell) key() string {
	b := make([]byte, 0, 16*len(c))
	for _, n := range c {
		b = append(binary.AppendUvarint(b, uint64(n.dim)), byte(n.domain.modes))
		b = binary.AppendUvarint(binary.AppendVarint(binary.AppendVarint(b, int64(n.domain.lo)), int64(n.domain.hi)), n.domain.set)
	}
	return string(b)
}

// pieces is an atom as lists of cells: where it is true, false, and where it
// cannot be worked out.
type pieces struct{ yes, no, unknown []cell }

// buildCells turns an atom into cells, now that the axes are cut.
func (m *model) buildCells(a *eval.Atom, x *expanded) *pieces {
	p := &pieces{}
	switch a.Kind {
	case eval.OneOf:
		all := m.axes[a.Var.Slot].full
		p.yes = words(a.Var.Slot, all, a.Set&all.set)
		p.no = words(a.Var.Slot, all, all.set&^a.Set)
		p.unknown = []cell{{{a.Var.Slot, domain{modes: unknown}}}}
	case eval.KnownIs:
		p.yes = []cell{{{a.Var.Slot, m.axes[a.Var.Slot].full}}}
		p.no = []cell{{{a.Var.Slot, domain{modes: unknown}}}}
	case eval.DoneIs:
		p.yes = []cell{{{m.done[a.Step], truth(yes)}}}
		p.no = []cell{{{m.done[a.Step], truth(no)}}}
	default:
		for _, s := range x.cases {
			m.buildSituation(a, s, p)
		}
		for _, u := range x.unknown {
			if c, ok := m.cellOf(u); ok {
				p.unknown = append(p.unknown, c)
			}
		}
	}
	return p
}

func words(slot int, all domain, set uint64) []cell {
	if set == 0 {
		return nil
	}
	all.set = set
	return []cell{{{slot, all}}}
}

// buildSituation adds the cells of one situation of a comparison.
func (m *model) buildSituation(a *eval.Atom, s situation, p *pieces) {
	base, ok := m.cellOf(s.cond)
	if !ok {
		return
	}
	add := func(to *[]cell, n constraint) {
		if c, ok := meetCells(base, cell{n}); ok {
			*to = append(*to, c)
		}
	}
	slot, at, rising := s.sum.single()
	switch {
	case len(s.sum.coef) == 0:
		if holds(s.sum.k, a.Op) {
			p.yes = append(p.yes, base)
		} else {
			p.no = append(p.no, base)
		}
	case slot >= 0 && a.Op == eval.Equal:
		lo, okLo := m.axes[slot].below(at, false)
		hi, okHi := m.axes[slot].above(at, false)
		if okLo {
			add(&p.no, constraint{slot, lo})
		}
		if okHi {
			add(&p.no, constraint{slot, hi})
		}
		low, ok1 := m.axes[slot].below(at, true)
		high, ok2 := m.axes[slot].above(at, true)
		if both := meet(low, high); ok1 && ok2 && !both.empty() {
			add(&p.yes, constraint{slot, both})
		}
	case slot >= 0:
		ax := m.axes[slot]
		lo, hi := ax.below, ax.above
		if !rising {
			lo, hi = ax.above, ax.below
		}
		if d, ok := lo(at, a.Op == eval.LessEqual); ok {
			add(&p.yes, constraint{slot, d})
		}
		if d, ok := hi(at, a.Op == eval.Less); ok {
			add(&p.no, constraint{slot, d})
		}
	case a.Op == eval.Equal:
		under, s1 := m.rowOf(s.sum, false, a.Text)
		upTo, s2 := m.rowOf(s.sum, true, a.Text)
		add(&p.no, constraint{under, truth(side(s1))})
		add(&p.no, constraint{upTo, truth(side(!s2))})
		if c, ok := meetCells(base, cell{{under, truth(side(!s1))}}); ok {
			if c, ok = meetCells(c, cell{{upTo, truth(side(s2))}}); ok {
				p.yes = append(p.yes, c)
			}
		}
	default:
		dim, same := m.rowOf(s.sum, a.Op == eval.LessEqual, a.Text)
		add(&p.yes, constraint{dim, truth(side(same))})
		add(&p.no, constraint{dim, truth(side(!same))})
	}
}

func side(b bool) uint64 {
	if b {
		return yes
	}
	return no
}

func holds(k *big.Rat, op eval.Op) bool {
	switch op {
	case eval.Less:
		return k.Sign() < 0
	case eval.LessEqual:
		return k.Sign() <= 0
	}
	return k.Sign() == 0
}

// cellOf turns a sketch into a cell; ok is false when nothing lies in it.
func (m *model) cellOf(sketches uncutCell) (c cell, ok bool) {
	for _, s := range sketches {
		ax := m.axes[s.slot]
		d := ax.full
		switch {
		case s.not:
			d = domain{modes: unknown}
		case ax.number():
			if s.from != nil {
				d, ok = ax.above(s.from, true)
				if !ok {
					return nil, false
				}
			}
			if s.to != nil {
				b, ok := ax.below(s.to, false)
				if d = meet(d, b); !ok || d.empty() {
					return nil, false
				}
			}
		default:
			if d.set &= s.set; d.set == 0 {
				return nil, false
			}
		}
		if c, ok = meetCells(c, cell{{s.slot, d}}); !ok {
			return nil, false
		}
	}
	return c, true
}

// meetCells is what lies in both.
func meetCells(a, b cell) (cell, bool) {
	out := make(cell, 0, len(a)+len(b))
	i, j := 0, 0
	for i < len(a) || j < len(b) {
		switch {
		case j == len(b) || i < len(a) && a[i].dim < b[j].dim:
			out = append(out, a[i])
			i++
		case i == len(a) || b[j].dim < a[i].dim:
			out = append(out, b[j])
			j++
		default:
			d := meet(a[i].domain, b[j].domain)
			if d.empty() {
				return nil, false
			}
			out = append(out, constraint{a[i].dim, d})
			i, j = i+1, j+1
		}
	}
	return out, true
}

// aspect is what is asked of a guard.
type aspect uint8

const (
	isTrue aspect = iota
	isFalse
	notFalse // true or not known
	notTrue
)

func (a aspect) opposite() aspect { return [...]aspect{isFalse, isTrue, notTrue, notFalse}[a] }

// forAll reports whether an "and" meets it only when all its parts do.
func (a aspect) forAll() bool { return a == isTrue || a == notFalse }

// mostCells bounds the cells of one guard.
const mostCells = 20000

// cells lists where a guard is what is asked. The cells may overlap.
func (m *model) cells(p *eval.Program, n *eval.Node, want aspect) ([]cell, error) {
	switch {
	case n.Kind == eval.Always:
		if want.forAll() {
			return []cell{nil}, nil
		}
		return nil, nil
	case n.Kind == eval.Leaf || n.Of != nil:
		x := m.atoms[atomOf(p, n)]
		switch want {
		case isTrue:
			return x.yes, nil
		case isFalse:
			return x.no, nil
		case notFalse:
			return append(slices.Clone(x.yes), x.unknown...), nil
		}
		return append(slices.Clone(x.no), x.unknown...), nil
	case n.Kind == eval.Not:
		return m.cells(p, n.Kids[0], want.opposite())
	}
	if (n.Kind == eval.And) != want.forAll() {
		return m.anyOf(p, n.Kids, want)
	}
	return m.allOf(p, n.Kids, want)
}

// atomOf is the comparison that a node is, of readings or of an extreme of them.
func atomOf(p *eval.Program, n *eval.Node) *eval.Atom {
	if n.Of != nil {
		return n.Of.Whole
	}
	return p.Atoms[n.Atom]
}

func (m *model) anyOf(p *eval.Program, kids []*eval.Node, want aspect) ([]cell, error) {
	var out []cell
	for _, k := range kids {
		cs, err := m.cells(p, k, want)
		if err != nil {
			return nil, err
		}
		if out = append(out, cs...); len(out) > mostCells {
			return nil, errTooComplex
		}
	}
	return out, nil
}

func (m *model) allOf(p *eval.Program, kids []*eval.Node, want aspect) ([]cell, error) {
	lists := make([][]cell, 0, len(kids))
	for _, k := range kids {
		cs, err := m.cells(p, k, want)
		if err != nil {
			return nil, err
		}
		lists = append(lists, cs)
	}
	// The short lists first: they rule out most and multiply least.
	slices.SortStableFunc(lists, func(a, b []cell) int { return cmp.Compare(len(a), len(b)) })
	out := []cell{nil}
	for _, list := range lists {
		var next []cell
		for _, a := range out {
			for _, b := range list {
				if c, ok := meetCells(a, b); ok {
					next = append(next, c)
				}
			}
			if len(next) > mostCells {
				return nil, errTooComplex
			}
		}
		out = next
	}
	return out, nil
}
