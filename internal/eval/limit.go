package eval

import (
	"math"
	"math/big"

	"deadflat/internal/unit"
)

// Side is the side of a limit that is taken when a reading is too close to it
// and no better test is to be had.
type Side uint8

// The sides. NoSide means the author named none.
const (
	NoSide Side = iota
	SaferBelow
	SaferAbove
)

// Limit is a number with an origin. It is a constant (Is), a table over one
// reading, or one number for each choice.
type Limit struct {
	ID     string
	Title  string
	Source string
	Unit   *unit.Unit
	Is     float64  // base units, when Table and Cases are nil
	Exact  *big.Rat // Is as it was written, before it was rounded to a float64
	Table  *Table
	Cases  *Cases
	Safer  Side   // of what is held against the limit
	Better string // the step to take first when a reading is too close
}

// Set makes the limit a constant, in base units.
func (l *Limit) Set(exact *big.Rat) { l.Is, l.Exact = nearest(exact), exact }

// nearest is the float64 nearest to r, never negative zero.
func nearest(r *big.Rat) float64 {
	f, _ := r.Float64()
	return f + 0
}

// Over works the limit out over the given values.
func (l *Limit) Over(values []Value) Interval { return l.linear().Over(values) }

func (l *Limit) linear() *Linear {
	f := &Linear{Dim: l.Unit.Dim, Exact: new(big.Rat), Limits: []Mention{{Limit: l}}, Text: "limits." + l.ID}
	switch {
	case l.Table != nil:
		f.Terms = []Term{{Coef: 1, Exact: one, Var: l.Table.Var, Table: l.Table}}
	case l.Cases != nil:
		f.Terms = []Term{{Coef: 1, Exact: one, Var: l.Cases.Var, Cases: l.Cases}}
	default:
		f.K, f.Exact = l.Is, l.Exact
	}
	return f
}

// Table is a limit that is looked up by one reading. Base units both ways.
type Table struct {
	Var *Var
	unit.Table
	ExactX, ExactY []*big.Rat // X and Y as they were written
}

// Add appends a point.
func (t *Table) Add(x, y *big.Rat) {
	t.X, t.ExactX = append(t.X, nearest(x)), append(t.ExactX, x)
	t.Y, t.ExactY = append(t.Y, nearest(y)), append(t.ExactY, y)
}

// Cases is a limit with one number for each choice of one reading, in the order
// of the reading's choices. Base units.
type Cases struct {
	Var   *Var
	Y     []float64
	Exact []*big.Rat // Y as it was written
}

// over gives the span of the numbers that the choices left allow. With several
// left the middle of the span stands for the best value.
func (c *Cases) over(set uint64) Interval {
	r := Interval{Range: unit.Range{Lo: math.Inf(1), Hi: math.Inf(-1)}}
	for i, y := range c.Y {
		if set&(1<<uint(i)) != 0 {
			r.Lo, r.Hi, r.Known = math.Min(r.Lo, y), math.Max(r.Hi, y), true
		}
	}
	r.Best = (r.Lo + r.Hi) / 2
	return r
}

// Derived is a named value: one sum, or the first of several sums whose
// readings are known.
type Derived struct {
	ID           string
	Title        string
	Unit         *unit.Unit
	Text         string
	Alternatives []*Linear // one, unless the author wrote first_known
	Call         *Call     // instead of them: a function of the trade
	Extreme      *Extreme  // or the highest, the lowest or the spread of readings
}

// Over works the value out: the first alternative that is known.
func (d *Derived) Over(values []Value) Interval {
	switch {
	case d.Call != nil:
		return d.Call.Over(values)
	case d.Extreme != nil:
		return d.Extreme.Over(values)
	}
	for _, a := range d.Alternatives {
		if r := a.Over(values); r.Known {
			return r
		}
	}
	return Interval{}
}

// linear is the value as a part of a larger sum.
func (d *Derived) linear() *Linear {
	if len(d.Alternatives) == 1 {
		l := *d.Alternatives[0]
		l.Text = d.ID
		return &l
	}
	l := &Linear{Dim: d.Unit.Dim, Exact: new(big.Rat), Terms: []Term{{Coef: 1, Exact: one, First: d}}, Text: d.ID}
	for _, a := range d.Alternatives {
		l.Limits = append(l.Limits, a.Limits...)
	}
	return l
}

// Vars lists the variables the value looks at.
func (d *Derived) Vars() []*Var {
	var out []*Var
	switch {
	case d.Call != nil:
		return d.Call.vars(out)
	case d.Extreme != nil:
		return d.Extreme.Vars
	}
	for _, a := range d.Alternatives {
		out = a.vars(out)
	}
	return out
}
