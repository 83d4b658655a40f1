package prove

import "math/big"

// Whether numbers exist that satisfy a list of linear comparisons, strict ones
// included, is decided by the general simplex method over exact fractions. Each
// comparison's sum becomes a variable of its own with a bound; a strict bound is
// a bound moved by an infinitely small amount, carried as a second part of every
// value. Choosing always the lowest-numbered variable makes it end.

// deltaRational is r plus d times an infinitely small positive amount.
type deltaRational struct{ r, d *big.Rat }

func exactly(r *big.Rat) deltaRational { return deltaRational{r, new(big.Rat)} }

func (a deltaRational) cmp(b deltaRational) int {
	if c := a.r.Cmp(b.r); c != 0 {
		return c
	}
	return a.d.Cmp(b.d)
}

func (a deltaRational) plus(k *big.Rat, b deltaRational) deltaRational {
	r := new(big.Rat).Mul(k, b.r)
	d := new(big.Rat).Mul(k, b.d)
	return deltaRational{r.Add(r, a.r), d.Add(d, a.d)}
}

func (a deltaRational) minus(b deltaRational) deltaRational {
	return deltaRational{new(big.Rat).Sub(a.r, b.r), new(big.Rat).Sub(a.d, b.d)}
}

func (a deltaRational) times(k *big.Rat) deltaRational {
	return deltaRational{new(big.Rat).Mul(k, a.r), new(big.Rat).Mul(k, a.d)}
}

// tableau holds variables 0..n-1, which are given, and n..n+m-1, which are sums of them.
type tableau struct {
	n      int
	lo, hi []*deltaRational
	value  []deltaRational
	coef   [][]*big.Rat // row of each basic variable over all variables
	basic  []int        // the variable of each row
	rowOf  []int        // row of a variable, -1 when it is not basic
	pivots int
}

const mostPivots = 5000

func newTableau(n int) *tableau {
	s := &tableau{n: n}
	for i := 0; i < n; i++ {
		s.grow()
	}
	return s
}

func (s *tableau) grow() {
	s.lo, s.hi = append(s.lo, nil), append(s.hi, nil)
	s.value = append(s.value, exactly(new(big.Rat)))
	s.rowOf = append(s.rowOf, -1)
	for i := range s.coef {
		s.coef[i] = append(s.coef[i], new(big.Rat))
	}
}

// sum adds a variable that is a sum of given ones. All sums are added before
// the first check.
func (s *tableau) sum(coef []*big.Rat) int {
	s.grow()
	v := len(s.value) - 1
	row := make([]*big.Rat, v+1)
	for i := range row {
		row[i] = new(big.Rat)
		if i < len(coef) && coef[i] != nil {
			row[i].Set(coef[i])
		}
	}
	s.rowOf[v] = len(s.basic)
	s.basic = append(s.basic, v)
	s.coef = append(s.coef, row)
	return v
}

// bound limits a variable on one side; strict bounds leave out the end.
func (s *tableau) bound(v int, lower bool, at *big.Rat, strict bool) {
	b := exactly(at)
	if strict {
		b.d.SetInt64(-1)
		if lower {
			b.d.SetInt64(1)
		}
	}
	if lower {
		if s.lo[v] == nil || b.cmp(*s.lo[v]) > 0 {
			s.lo[v] = &b
		}
		return
	}
	if s.hi[v] == nil || b.cmp(*s.hi[v]) < 0 {
		s.hi[v] = &b
	}
}

// solve reports whether the bounds can be met together. The second result is
// false when the work was given up.
func (s *tableau) solve() (feasible, decided bool) {
	for v := range s.value {
		if s.lo[v] != nil && s.hi[v] != nil && s.lo[v].cmp(*s.hi[v]) > 0 {
			return false, true
		}
	}
	for v := range s.value {
		if s.rowOf[v] >= 0 {
			continue
		}
		switch {
		case s.lo[v] != nil && s.value[v].cmp(*s.lo[v]) < 0:
			s.value[v] = *s.lo[v]
		case s.hi[v] != nil && s.value[v].cmp(*s.hi[v]) > 0:
			s.value[v] = *s.hi[v]
		}
	}
	for r := range s.basic {
		s.value[s.basic[r]] = s.work(r)
	}
	for ; s.pivots < mostPivots; s.pivots++ {
		b, target, up := s.violated()
		if b < 0 {
			return true, true
		}
		e := s.entering(s.rowOf[b], up)
		if e < 0 {
			return false, true
		}
		s.pivot(b, e, target)
	}
	return false, false
}

// work is the value of a row's variable.
func (s *tableau) work(r int) deltaRational {
	v := exactly(new(big.Rat))
	for j, c := range s.coef[r] {
		if c.Sign() != 0 && s.rowOf[j] < 0 {
			v = v.plus(c, s.value[j])
		}
	}
	return v
}

// violated finds the first basic variable outside its bounds.
func (s *tableau) violated() (v int, target deltaRational, up bool) {
	best := -1
	for _, b := range s.basic {
		if best >= 0 && b > best {
			continue
		}
		switch {
		case s.lo[b] != nil && s.value[b].cmp(*s.lo[b]) < 0:
			best, target, up = b, *s.lo[b], true
		case s.hi[b] != nil && s.value[b].cmp(*s.hi[b]) > 0:
			best, target, up = b, *s.hi[b], false
		}
	}
	return best, target, up
}

// entering finds the first variable that can move the row the right way.
func (s *tableau) entering(r int, up bool) int {
	for j, c := range s.coef[r] {
		if c.Sign() == 0 || s.rowOf[j] >= 0 {
			continue
		}
		grows := (c.Sign() > 0) == up
		if grows && (s.hi[j] == nil || s.value[j].cmp(*s.hi[j]) < 0) || !grows && (s.lo[j] == nil || s.value[j].cmp(*s.lo[j]) > 0) {
			return j
		}
	}
	return -1
}

// pivot makes e basic in place of b, and b equal to target.
func (s *tableau) pivot(b, e int, target deltaRational) {
	r := s.rowOf[b]
	row := s.coef[r]
	inv := new(big.Rat).Inv(row[e])
	step := target.minus(s.value[b]).times(inv)
	s.value[b] = target
	s.value[e] = s.value[e].plus(big.NewRat(1, 1), step)
	for j := range row {
		row[j] = new(big.Rat).Neg(new(big.Rat).Mul(row[j], inv))
	}
	row[e], row[b] = new(big.Rat), inv
	s.basic[r], s.rowOf[e], s.rowOf[b] = e, r, -1
	for i, other := range s.coef {
		k := other[e]
		if i == r || k.Sign() == 0 {
			continue
		}
		other[e] = new(big.Rat)
		for j := range other {
			if row[j].Sign() != 0 {
				other[j] = new(big.Rat).Add(other[j], new(big.Rat).Mul(k, row[j]))
			}
		}
		s.value[s.basic[i]] = s.work(i)
	}
}

// numbers are values that meet all bounds, the infinitely small amount made a
// small one.
func (s *tableau) numbers() []*big.Rat {
	eps := big.NewRat(1, 1)
	fit := func(lo, hi deltaRational) {
		// lo.r + lo.d*eps <= hi.r + hi.d*eps
		gap := new(big.Rat).Sub(hi.r, lo.r)
		slope := new(big.Rat).Sub(lo.d, hi.d)
		if gap.Sign() > 0 && slope.Sign() > 0 {
			if most := gap.Quo(gap, slope); most.Cmp(eps) < 0 {
				eps.Set(most)
			}
		}
	}
	for v := range s.value {
		if s.lo[v] != nil {
			fit(*s.lo[v], s.value[v])
		}
		if s.hi[v] != nil {
			fit(s.value[v], *s.hi[v])
		}
	}
	out := make([]*big.Rat, s.n)
	for i := range out {
		out[i] = new(big.Rat).Mul(eps, s.value[i].d)
		out[i].Add(out[i], s.value[i].r)
	}
	return out
}
