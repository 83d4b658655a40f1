package eval

import (
	"math"
	"math/bits"
)

// sum is the difference of a comparison, laid out for deciding it quickly when
// it is clear. The doubt of its parts is added up as if they had none in common,
// which is quick and never too little: what lies farther from zero than that is
// decided, what lies closer must be worked out whole.
type sum struct {
	atom  *Atom
	k     float64
	terms []sumTerm // nil of what is always worked out whole
}

type sumTerm struct {
	coef  float64
	slot  int
	table *Table
	slope float64   // of the table where it is steepest
	cases []float64 // by choice
}

func newSum(a *Atom) *sum {
	s := &sum{atom: a, k: a.Diff.K}
	if a.Op == Equal {
		return s
	}
	for _, t := range a.Diff.Terms {
		if t.First != nil {
			s.terms = nil
			return s
		}
		u := sumTerm{coef: t.Coef, slot: t.Var.Slot, table: t.Table}
		if t.Table != nil {
			u.slope = t.Table.Steepest()
		}
		if t.Cases != nil {
			u.cases = t.Cases.Y
		}
		s.terms = append(s.terms, u)
	}
	return s
}

// closeToZero is the share of a sum's parts that is no distance from zero. It is
// far above the rounding of binary numbers, which snap allows for.
const closeToZero = 1e-9

// ask decides the comparison. It is not ok when that is open or not known.
func (s *sum) ask(env *Env) (yes, ok bool) {
	if yes, ok = s.clear(env); ok {
		return yes, ok
	}
	v := s.atom.Eval(env).Verdict
	return v == True, v == True || v == False
}

// clear reports whether the sum is below zero. It is not ok when that is not clear.
func (s *sum) clear(env *Env) (yes, ok bool) {
	if len(s.terms) == 0 {
		return false, false
	}
	best, wide, size := s.k, 0.0, math.Abs(s.k)
	for i := range s.terms {
		t := &s.terms[i]
		v := &env.Values[t.slot]
		if !v.Known() {
			return false, false
		}
		x, out := v.Best, v.Above
		if v.Below > out {
			out = v.Below
		}
		out += v.Gain * math.Abs(x)
		switch {
		case t.table != nil:
			x, out = t.table.At(x), t.slope*out
		case t.cases != nil:
			if bits.OnesCount64(v.Set) != 1 {
				return false, false
			}
			x, out = t.cases[bits.TrailingZeros64(v.Set)], 0
		}
		x *= t.coef
		best += x
		size += math.Abs(x)
		wide += math.Abs(t.coef) * out
	}
	clear := wide + closeToZero*size
	return best < 0, best > clear || best < -clear
}
