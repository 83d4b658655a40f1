package eval

import (
	"math"
	"math/big"
	"slices"

	"deadflat/internal/unit"
)

// Linear is a sum of readings times limits, plus limits: the only arithmetic a
// guard may hold, so that every branch list can be proved.
type Linear struct {
	Dim    unit.Dim
	K      float64  // the constant part, base units
	Exact  *big.Rat // K over the decimals that were written; K is the float64 nearest to it
	Terms  []Term
	Limits []Mention // the limits named in it
	Text   string    // as the author wrote it
}

// Mention is a limit named in a sum.
type Mention struct {
	*Limit
	Minus bool // the sum falls when the limit rises
}

// Term is a number times a reading, times a limit that depends on a reading, or
// times a value with alternatives. Exactly one of the pointers is set, or none:
// then it is the reading Var itself.
type Term struct {
	Coef  float64
	Exact *big.Rat // Coef over the decimals that were written
	Var   *Var     // the reading, or the one the table or cases depend on
	Table *Table   // a limit by ranges of Var
	Cases *Cases   // a limit by the choice of Var
	First *Derived
}

// Interval is what a sum comes to: the best value and the ends it can reach,
// whether it is known at all, and whether it rests on something assumed.
type Interval struct {
	unit.Range
	Known   bool
	Assumed bool
	scale   float64 // sum of the sizes of the parts: the rounding error is far below 1e-12 of it
}

// groups collects the parts that share a proportional error.
type groups struct {
	id  [4]uint8
	sum [4]float64
	max [4]float64
	n   int
}

// add books part p with proportional error gain. More groups than there is room
// for are booked as if they shared nothing, which can only widen the doubt.
func (g *groups) add(id uint8, gain, p float64) (alone float64) {
	if gain == 0 {
		return 0
	}
	if id == 0 {
		return gain * math.Abs(p)
	}
	for i := 0; i < g.n; i++ {
		if g.id[i] == id {
			g.sum[i] += p
			g.max[i] = math.Max(g.max[i], gain)
			return 0
		}
	}
	if g.n == len(g.id) {
		return gain * math.Abs(p)
	}
	g.id[g.n], g.sum[g.n], g.max[g.n] = id, p, gain
	g.n++
	return 0
}

func (g *groups) width() float64 {
	w := 0.0
	for i := 0; i < g.n; i++ {
		w += g.max[i] * math.Abs(g.sum[i])
	}
	return w
}

// Over works the sum out over the given values. It is the worst case: no
// combination of what the values allow lies outside [Lo, Hi].
func (l *Linear) Over(values []Value) Interval {
	r := Interval{Range: unit.Range{Best: l.K}, Known: true, scale: math.Abs(l.K)}
	var below, above float64
	var g groups
	for i := range l.Terms {
		t := &l.Terms[i]
		p := t.over(values)
		if !p.known {
			r.Known = false
			return r
		}
		r.Assumed = r.Assumed || p.assumed
		best := t.Coef * p.best
		r.Best += best
		r.scale += math.Abs(best)
		alone := g.add(p.group, p.gain, best)
		if t.Coef >= 0 {
			below += t.Coef*p.below + alone
			above += t.Coef*p.above + alone
		} else {
			below += -t.Coef*p.above + alone
			above += -t.Coef*p.below + alone
		}
	}
	w := g.width()
	r.Lo, r.Hi = r.Best-below-w, r.Best+above+w
	return r
}

// part is what a term's number or limit can be, its doubt as in a Value.
type part struct {
	best, below, above float64
	gain               float64
	group              uint8
	known, assumed     bool
}

func (t *Term) over(values []Value) part {
	if t.First != nil {
		return t.First.Over(values).part()
	}
	v := &values[t.Var.Slot]
	switch {
	case !v.Known():
		return part{}
	case t.Cases != nil:
		return t.Cases.over(v.Set).part()
	case t.Table != nil:
		lo, hi := v.Range()
		in := t.Table.Over(unit.Range{Lo: lo, Best: v.Best, Hi: hi})
		return Interval{Range: in, Known: true, Assumed: v.State == Assumed}.part()
	}
	return part{v.Best, v.Below, v.Above, v.Gain, v.Group, true, v.State == Assumed}
}

func (in Interval) part() part {
	return part{best: in.Best, below: in.Best - in.Lo, above: in.Hi - in.Best, known: in.Known, assumed: in.Assumed}
}

// Why says why the sum cannot be worked out, when that is for impossible answers
// and not for missing ones.
func (l *Linear) Why(values []Value) string {
	for i := range l.Terms {
		if f := l.Terms[i].First; f != nil && f.Call != nil {
			if why := f.Call.Why(values); why != "" {
				return why
			}
		}
	}
	return ""
}

// snap takes for zero what is zero but for the rounding of binary numbers, so that
// 12.4 - 12.1 is not more than 0.3.
func snap(x, scale float64) float64 {
	if math.Abs(x) <= 1e-12*scale {
		return 0
	}
	return x
}

// vars lists the variables a sum looks at, those inside tables, cases and
// alternatives included, in the order written.
func (l *Linear) vars(out []*Var) []*Var {
	for i := range l.Terms {
		if t := &l.Terms[i]; t.First != nil {
			out = append(out, t.First.Vars()...)
		} else {
			out = append(out, t.Var)
		}
	}
	return out
}

var one, minusOne = big.NewRat(1, 1), big.NewRat(-1, 1)

// Negated is the sum with every sign changed.
func (l *Linear) Negated() *Linear { return l.scaled(minusOne, l.Dim) }

// scaled is the sum times a constant.
func (l *Linear) scaled(k *big.Rat, dim unit.Dim) *Linear {
	r := &Linear{Dim: dim, Exact: new(big.Rat).Mul(l.Exact, k), Limits: turned(l.Limits, k.Sign() < 0), Text: l.Text}
	r.K = nearest(r.Exact)
	for _, t := range l.Terms {
		r.Terms = append(r.Terms, t.times(new(big.Rat).Mul(t.Exact, k)))
	}
	return r
}

// turned gives the limits as they stand in the sum with its sign changed, or in the sum itself.
func turned(limits []Mention, minus bool) []Mention {
	out := slices.Clone(limits)
	for i := range out {
		out[i].Minus = out[i].Minus != minus
	}
	return out
}

// falls reports whether the sum falls when what it is multiplied by rises, its readings
// being above zero.
func (l *Linear) falls() bool {
	if len(l.Terms) == 0 {
		return l.Exact.Sign() < 0
	}
	return !slices.ContainsFunc(l.Terms, func(t Term) bool { return t.Coef > 0 })
}

// times is the term with another number before it.
func (t Term) times(exact *big.Rat) Term {
	t.Coef, t.Exact = nearest(exact), exact
	return t
}

// plus adds k times another sum, joining terms over the same thing.
func (l *Linear) plus(o *Linear, k *big.Rat, dim unit.Dim) *Linear {
	r := &Linear{Dim: dim, Exact: new(big.Rat).Mul(o.Exact, k)}
	r.Exact.Add(r.Exact, l.Exact)
	r.K = nearest(r.Exact)
	r.Terms = append(r.Terms, l.Terms...)
	r.Limits = slices.Concat(l.Limits, turned(o.Limits, k.Sign() < 0))
	for _, t := range o.Terms {
		more := new(big.Rat).Mul(t.Exact, k)
		if i := r.same(t); i >= 0 {
			r.Terms[i] = t.times(more.Add(more, r.Terms[i].Exact))
			continue
		}
		r.Terms = append(r.Terms, t.times(more))
	}
	return r
}

func (l *Linear) same(t Term) int {
	for i, u := range l.Terms {
		if u.Var == t.Var && u.Table == t.Table && u.Cases == t.Cases && u.First == t.First {
			return i
		}
	}
	return -1
}
