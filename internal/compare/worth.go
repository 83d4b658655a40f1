package compare

import (
	"math"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/prove"
)

// grid is the step in which a reading is read off, in base units.
func grid(r *engine.Reading) float64 {
	g, _ := prove.Grid(r.Unit).Float64()
	return r.Unit.Base(g) - r.Unit.Base(0)
}

// worthTrying are answers for every reading of two editions: each choice, and for
// numbers both sides of every limit of either edition, near it and well away.
func worthTrying(trees ...*engine.Tree) map[string][]answer {
	out := map[string][]answer{}
	for _, t := range trees {
		edges := edgesOf(t)
		for _, r := range t.Readings {
			list := out[r.ID]
			for _, c := range r.Choices {
				list = once(list, answer{choice: c})
			}
			if r.Unsure {
				list = once(list, answer{unsure: true})
			}
			if r.Optional {
				list = once(list, answer{skip: true})
			}
			if r.Number() {
				list = numbers(list, r, edges[r.ID], coarse)
			}
			out[r.ID] = list
		}
	}
	return out
}

// coarse and fine are how far from an edge numbers are tried, in steps of the
// grid. A meter's doubt reaches some steps to either side, and turns a decision
// there.
var (
	coarse = []float64{0, -1, 1, -10, 10}
	fine   = []float64{0, -1, 1, -2, 2, -3, 3, -4, 4, -5, 5, -6, 6, -7, 7, -8, 8, -9, 9, -10, 10, -12, 12, -15, 15}
)

// numbers are the numbers worth trying for a reading: round its edges, between
// them, and at the ends of its span.
func numbers(list []answer, r *engine.Reading, edges, offsets []float64) []answer {
	g := grid(r)
	slices.Sort(edges)
	edges = slices.Compact(edges)
	try := func(x float64) {
		if x = snap(x, g); x >= r.Span[0] && x <= r.Span[1] {
			list = once(list, answer{number: x})
		}
	}
	for i, e := range edges {
		for _, step := range offsets {
			try(e + step*g)
		}
		if i > 0 {
			try((e + edges[i-1]) / 2)
		}
	}
	try(r.Span[0])
	try(r.Span[1])
	try((r.Span[0] + r.Span[1]) / 2)
	return list
}

// movedLimits are the numbers worth trying round edges that only one of two
// editions has.
func movedLimits(old, now *engine.Tree) map[string][]answer {
	was, is := edgesOf(old), edgesOf(now)
	out := map[string][]answer{}
	for _, r := range now.Readings {
		moved := append(without(was[r.ID], is[r.ID]), without(is[r.ID], was[r.ID])...)
		if r.Number() && len(moved) > 0 {
			out[r.ID] = numbers(nil, r, moved, fine)
		}
	}
	return out
}

// without is what is in a and not in b.
func without(a, b []float64) []float64 {
	return slices.DeleteFunc(slices.Clone(a), func(x float64) bool { return slices.Contains(b, x) })
}

// snap puts a number on the grid, as a display would show it.
func snap(x, g float64) float64 {
	n := math.Round(x / g)
	if g < 1 {
		return n / math.Round(1/g)
	}
	return n * g
}

// mostEdges bounds how many limits of one reading are tried.
const mostEdges = 60

// edgesOf are the numbers at which a comparison with one reading turns, by reading.
func edgesOf(t *engine.Tree) map[string][]float64 {
	out := map[string][]float64{}
	note := func(v *eval.Var, all []float64) {
		r := t.ReadingOf(v)
		if r == nil {
			return
		}
		for _, x := range all {
			if list := out[r.ID]; len(list) < mostEdges && !slices.Contains(list, x) && !math.IsNaN(x) && !math.IsInf(x, 0) {
				out[r.ID] = append(list, x)
			}
		}
	}
	for _, p := range t.Programs() {
		for _, a := range p.Atoms {
			if a.Kind != eval.Compare {
				continue
			}
			for _, term := range a.Diff.Terms {
				switch {
				case term.First != nil || term.Coef == 0:
				case term.Table != nil:
					note(term.Table.Var, term.Table.X)
				case term.Cases == nil:
					note(term.Var, turns(a.Diff, term))
				}
			}
		}
	}
	return out
}

// turns are the values of one reading at which a sum is nought, for every number
// that the limits in it can be, its other readings at the ends and in the middle
// of their spans.
func turns(d *eval.Linear, of eval.Term) []float64 {
	rest := []float64{d.K}
	for _, t := range d.Terms {
		var ys []float64
		switch {
		case t.Table != nil:
			ys = t.Table.Y
		case t.Cases != nil:
			ys = t.Cases.Y
		case t.First != nil || t.Var == of.Var:
			continue
		default:
			lo, hi := t.Var.Span[0], t.Var.Span[1]
			ys = []float64{lo, (lo + hi) / 2, hi}
		}
		var next []float64
		for _, k := range rest {
			for _, y := range ys {
				if len(next) < mostEdges {
					next = append(next, k+t.Coef*y)
				}
			}
		}
		rest = next
	}
	for i := range rest {
		rest[i] = -rest[i] / of.Coef
	}
	return rest
}
