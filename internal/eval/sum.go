package eval

import (
	"math"
	"slices"
)

// sum decides a comparison quickly when it is clear. The doubt of its parts is added
// up as if they had none in common, which is quick and never too little: what lies
// farther from zero than that is decided, what lies closer is worked out whole.
type sum struct {
	*Atom
	slopes []float64 // by term: of its table, where that is steepest
	whole  bool      // always worked out whole
}

func newSum(a *Atom) *sum {
	s := &sum{Atom: a, whole: a.Op == Equal || slices.ContainsFunc(a.Diff.Terms, func(t Term) bool { return t.First != nil })}
	for _, t := range a.Diff.Terms {
		slope := 0.0
		if t.Table != nil {
			slope = t.Table.Steepest()
		}
		s.slopes = append(s.slopes, slope)
	}
	return s
}

// closeToZero is the share of a sum's parts that is no distance from zero. It is
// far above the rounding of binary numbers.
const closeToZero = 1e-9

// ask decides the comparison. It is not ok when that is open or not known.
func (s *sum) ask(env *Env) (yes, ok bool) {
	if !s.whole {
		if yes, ok = s.clear(env); ok {
			return yes, ok
		}
	}
	v := s.Eval(env).Verdict
	return v == True, v == True || v == False
}

// clear reports whether the sum is below zero. It is not ok when that is not clear.
func (s *sum) clear(env *Env) (yes, ok bool) {
	best, wide, size := s.Diff.K, 0.0, math.Abs(s.Diff.K)
	for i := range s.Diff.Terms {
		t := &s.Diff.Terms[i]
		v := &env.Values[t.Var.Slot]
		if !v.Known() {
			return false, false
		}
		x, out := v.Best, max(v.Below, v.Above)+v.Gain*math.Abs(v.Best)
		switch {
		case t.Table != nil:
			x, out = t.Table.At(x), s.slopes[i]*out
		case t.Cases != nil:
			one, certain := v.Certain()
			if !certain {
				return false, false
			}
			x, out = t.Cases.Y[one], 0
		}
		x *= t.Coef
		best += x
		size += math.Abs(x)
		wide += math.Abs(t.Coef) * out
	}
	clear := wide + closeToZero*size
	return best < 0, best > clear || best < -clear
}
