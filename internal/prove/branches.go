package prove

import (
	"errors"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// branches is one step's guards as cells.
type branches struct {
	step      *engine.Step
	yes       [][]cell // where each branch holds; nil for `otherwise`
	maybe     [][]cell // where each branch holds or cannot be known
	unknown   []cell   // where some branch cannot be known
	otherwise int      // index of the `otherwise` branch, or -1
	err       error
	size      int    // of all cells, in constraints
	refs      []cell // every dimension the guards name
}

// otherwiseText is how the loader names the branch that takes the rest.
const otherwiseText = "otherwise"

func newBranches(s *engine.Step) *branches {
	return &branches{step: s, otherwise: -1, yes: make([][]cell, len(s.Branches)), maybe: make([][]cell, len(s.Branches))}
}

// branchesOf compiles the guards of a step.
func (m *model) branchesOf(s *engine.Step) *branches {
	b := newBranches(s)
	p := s.Program()
	for i, br := range s.Branches {
		root := &eval.Node{Kind: eval.Always}
		if br.Guard != nil {
			root = br.Guard.Root
		}
		if br.Text == otherwiseText && br.Guard != nil {
			b.otherwise = i
			continue
		}
		if b.yes[i], b.err = m.cells(p, root, isTrue); b.err != nil {
			return b
		}
		if b.maybe[i], b.err = m.cells(p, root, notFalse); b.err != nil {
			return b
		}
		if b.size += size(b.yes[i]) + size(b.maybe[i]); b.size > mostStepSize {
			b.err = errTooComplex
			return b
		}
		b.refs = append(append(b.refs, b.yes[i]...), b.maybe[i]...)
		b.unknown = append(b.unknown, without(b.maybe[i], b.yes[i])...)
	}
	return b
}

// What the cells of one step, and of all steps of a tree, may come to in constraints.
const (
	mostStepSize = 2_000_000
	mostTreeSize = 8_000_000
)

func size(cells []cell) (n int) {
	for _, c := range cells {
		n += len(c)
	}
	return n
}

// all gathers lists of cells into one.
func all(lists [][]cell) []cell {
	var out []cell
	for _, l := range lists {
		out = append(out, l...)
	}
	return out
}

// verdict is what a proof of one step under one set of situations came to.
type verdict struct {
	gap        box // answers for which no branch holds
	gaps       int // boxes of such answers, counted up to mostGaps
	overlap    box // answers for which two branches hold
	first      int // those two branches
	second     int
	overlaps   int // pairs of branches that overlap
	missing    box // answers for which a branch asks after what is not known
	missingDim int // the dimension of that reading
	err        error
}

const mostGaps = 64

// prove holds the branches against every exact answer in whole.
func (b *branches) prove(p *problem, whole box) *verdict {
	v := &verdict{}
	if b.err != nil {
		v.err = b.err
		return v
	}
	v.err = b.findGap(p, whole, v)
	if v.err == nil && canBeUnknown(whole) {
		v.err = b.findMissing(p, whole, all(b.yes), v)
	}
	if v.err == nil {
		v.err = b.findOverlaps(p, whole, v)
	}
	return v
}

// findGap looks for answers for which every branch is false. With `otherwise`
// they are its own.
func (b *branches) findGap(p *problem, whole box, v *verdict) error {
	if b.otherwise >= 0 {
		return nil
	}
	return p.cover(whole, all(b.maybe), func(y box) bool {
		if v.gap == nil {
			v.gap = y
		}
		v.gaps++
		return v.gaps < mostGaps
	})
}

// canBeUnknown reports whether any reading in whole may be missing.
func canBeUnknown(whole box) bool {
	return slices.ContainsFunc(whole, func(d domain) bool { return d.modes&unknown != 0 })
}

// without are the cells of a list that do not stand in another.
func without(cells, others []cell) []cell {
	seen := map[string]bool{}
	for _, c := range others {
		seen[c.key()] = true
	}
	return slices.DeleteFunc(slices.Clone(cells), func(c cell) bool { return seen[c.key()] })
}

// proveInDoubt looks for what is missing when an answer is too close to a limit, or "not
// sure": then it holds neither side. Gaps and overlaps need no look, since of all that
// such an answer can be some part is exact.
func (b *branches) proveInDoubt(p *problem, whole box) *verdict {
	v := &verdict{}
	if b.err == nil && canBeUnknown(whole) {
		sure := slices.DeleteFunc(all(b.yes), func(c cell) bool { return p.canBeDoubted(whole, c) })
		v.err = b.findMissing(p, whole, sure, v)
	}
	return v
}

// findMissing looks for answers for which no branch surely holds and some branch asks
// after what is not known.
func (b *branches) findMissing(p *problem, whole box, sure []cell, v *verdict) error {
	unknown := p.within(whole, b.unknown)
	if len(unknown) == 0 {
		return nil
	}
	var inner error
	err := p.cover(whole, sure, func(x box) bool {
		for _, c := range unknown {
			if inner = p.spend(1); inner != nil {
				return false
			}
			y, ok, err := p.reachable(x, c)
			if inner = err; err != nil {
				return false
			}
			if y, ok = b.fieldsTaken(p, y, ok); ok {
				v.missing, v.missingDim = y, unknownIn(p, y, c)
				return false
			}
		}
		return true
	})
	return errors.Join(inner, err)
}

// canBeDoubted reports whether a cell leaves something of b out by what an answer can be
// in doubt of.
func (p *problem) canBeDoubted(b box, c cell) bool {
	return slices.ContainsFunc(c, func(n constraint) bool { return p.m.doubted(n) && !within(b[p.at[n.dim]], n.domain) })
}

// fieldsTaken leaves out answers in which a field of the step itself is not
// known, where the step has a way on for that.
func (b *branches) fieldsTaken(p *problem, y box, ok bool) (box, bool) {
	if !ok || b.step.Unable == nil {
		return y, ok
	}
	for _, f := range b.step.Fields() {
		if i, named := p.at[f.Reading.Index]; named {
			if y[i].modes &= known; y[i].modes == 0 {
				return nil, false
			}
		}
	}
	return y, true
}

// unknownIn is the reading that makes a guard's cell unknown in y.
func unknownIn(p *problem, y box, c cell) int {
	for _, n := range c {
		if d := y[p.at[n.dim]]; n.dim < len(p.m.axes) && d.modes&known == 0 {
			return n.dim
		}
	}
	return -1
}

// findOverlaps looks for two branches that hold at once.
func (b *branches) findOverlaps(p *problem, whole box, v *verdict) error {
	inside := make([][]cell, len(b.yes))
	for i, list := range b.yes {
		inside[i] = p.within(whole, list)
	}
	for i := range inside {
		for j := i + 1; j < len(inside); j++ {
			y, err := p.bothHold(whole, inside[i], inside[j])
			if err != nil {
				return err
			}
			if y == nil {
				continue
			}
			if v.overlaps++; v.overlap == nil {
				v.overlap, v.first, v.second = y, i, j
			}
		}
	}
	return nil
}

// within are the cells that meet b.
func (p *problem) within(b box, cells []cell) []cell {
	return slices.DeleteFunc(slices.Clone(cells), func(c cell) bool {
		return slices.ContainsFunc(c, func(n constraint) bool { return !meets(&b[p.at[n.dim]], &n.domain) })
	})
}

func (p *problem) bothHold(whole box, as, bs []cell) (box, error) {
	for _, a := range as {
		for _, c := range bs {
			if err := p.spend(1); err != nil {
				return nil, err
			}
			if apart(a, c) {
				continue
			}
			y, ok, err := p.reachable(whole, a, c)
			if err != nil || ok {
				return y, err
			}
		}
	}
	return nil, nil
}

// apart reports whether two cells have nothing in common by one dimension.
func apart(a, b cell) bool {
	i, j := 0, 0
	for i < len(a) && j < len(b) {
		switch {
		case a[i].dim < b[j].dim:
			i++
		case b[j].dim < a[i].dim:
			j++
		default:
			if !meets(&a[i].domain, &b[j].domain) {
				return true
			}
			i, j = i+1, j+1
		}
	}
	return false
}
