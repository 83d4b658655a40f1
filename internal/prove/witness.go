package prove

import (
	"fmt"
	"maps"
	"math/big"
	"math/bits"
	"slices"
	"strings"

	"deadflat/internal/unit"
)

// Answer is one part of a witness: what a reading shows, or how it stands, or
// whether a step was done.
type Answer struct {
	Reading string `json:"reading,omitempty"` // "rest_voltage" or "recheck.rest_voltage"
	Step    string `json:"step,omitempty"`    // of done(step)
	Is      string `json:"is"`                // "12.40 V", "corroded", "not taken", "done"
	Exactly bool   `json:"exactly,omitempty"` // no other number will do
}

func (a Answer) String() string {
	name := a.Reading
	if a.Step != "" {
		return fmt.Sprintf("step %s %s", a.Step, a.Is)
	}
	if a.Exactly {
		return name + " exactly " + a.Is
	}
	return name + " " + a.Is
}

// Witness is answers for which something goes wrong, in the order of the tree.
type Witness []Answer

func (w Witness) String() string {
	if len(w) == 0 {
		return "any answers"
	}
	parts := make([]string, len(w))
	for i, a := range w {
		parts[i] = a.String()
	}
	return strings.Join(parts, ", ")
}

// finer is the step in which a reading is usually read off, in its unit, where that is
// not 1. Source: common practice, no source.
var finer = map[string]*big.Rat{"V": big.NewRat(1, 100), "mV": big.NewRat(1, 10), "A": big.NewRat(1, 10), "V/A": big.NewRat(1, 10000)}

// Grid is the step in which a reading is usually read off, in its unit: 0.01 for volts.
func Grid(u *unit.Unit) *big.Rat {
	if g := finer[u.Name]; g != nil {
		return g
	}
	return big.NewRat(1, 1)
}

// scale is the zero of a unit and the size of one, in base units.
func scale(u *unit.Unit) (zero, size *big.Rat) {
	zero, size = u.Exact("0"), u.Exact("1")
	return zero, size.Sub(size, zero)
}

// inUnit is a number of base units in a unit.
func inUnit(x *big.Rat, u *unit.Unit) *big.Rat {
	zero, size := scale(u)
	return new(big.Rat).Quo(new(big.Rat).Sub(x, zero), size)
}

// candidates are values of the range d, the most readable first: a limit itself,
// the grid's value beside a limit, the middle. They are readable in the reading's unit.
func (a *axis) candidates(d domain) []*big.Rat {
	from, openFrom, to, openTo := a.ends(d.lo, d.hi)
	var out []*big.Rat
	low, high := []*big.Rat{}, []*big.Rat{}
	if !openFrom {
		low = append(low, from)
	}
	if !openTo {
		high = append(high, to)
	}
	g := Grid(a.v.Unit)
	for i := 0; i < 4 || i < 24 && len(low)+len(high) == 0; i++ { // as finely as it must be typed
		if v := a.snap(from, g, true); v.Cmp(to) < 0 {
			low = append(low, v)
		}
		if v := a.snap(to, g, false); v.Cmp(from) > 0 {
			high = append(high, v)
		}
		g = new(big.Rat).Quo(g, big.NewRat(10, 1))
	}
	if d.lo == 0 && d.hi < a.full.hi { // the low end is only the end of the span
		out = append(append(out, high...), low...)
	} else {
		out = append(append(out, low...), high...)
	}
	middle := new(big.Rat).Add(from, to)
	middle.Quo(middle, big.NewRat(2, 1))
	if m := a.snap(middle, Grid(a.v.Unit), true); m.Cmp(from) > 0 && m.Cmp(to) < 0 {
		out = append(out, m)
	}
	return append(out, middle)
}

// snap is the nearest multiple of g, which is in the reading's unit, above or below x, x
// itself left out.
func (a *axis) snap(x, g *big.Rat, up bool) *big.Rat {
	zero, size := scale(a.v.Unit)
	q := new(big.Rat).Quo(inUnit(x, a.v.Unit), g)
	n, mod := new(big.Int), new(big.Int)
	n.DivMod(q.Num(), q.Denom(), mod)
	if up {
		n.Add(n, big.NewInt(1))
	} else if mod.Sign() == 0 {
		n.Sub(n, big.NewInt(1))
	}
	v := new(big.Rat).Mul(new(big.Rat).SetInt(n), g)
	return v.Add(v.Mul(v, size), zero)
}

// numbersIn picks a readable number for each known reading of b, so that the
// decided comparisons hold.
func (p *problem) numbersIn(b box) map[int]*big.Rat {
	out := map[int]*big.Rat{}
	rows := p.fixed(b)
	var tied []int
	for _, i := range rows {
		for _, s := range p.m.row(p.dims[i]).reads {
			if !slices.Contains(tied, s) {
				tied = append(tied, s)
			}
		}
	}
	slices.Sort(tied)
	for i, d := range p.dims {
		if d < len(p.m.axes) && p.m.axes[d].number() && b[i].modes&known != 0 && !slices.Contains(tied, d) {
			out[d] = p.m.axes[d].candidates(b[i])[0]
		}
	}
	set := map[int]*big.Rat{}
	for _, slot := range tied {
		for _, try := range p.m.axes[slot].candidates(p.rangeOf(b, slot)) {
			set[slot] = try
			if _, _, ok, err := p.settle(b, rows, set); ok && err == nil {
				break
			}
			delete(set, slot)
		}
	}
	if len(set) < len(tied) {
		if s, slots, ok, _ := p.settle(b, rows, set); ok {
			for v, x := range s.numbers() {
				if slots[v] >= 0 {
					set[slots[v]] = x
				}
			}
		}
	}
	maps.Copy(out, set)
	return out
}

// witness puts a box into the words of the readings. Readings that may be
// anything at all in the box are left out.
func (p *problem) witness(b, whole box) Witness { return p.worded(b, whole, p.numbersIn(b)) }

// worded is the witness with some numbers.
func (p *problem) worded(b, whole box, numbers map[int]*big.Rat) Witness {
	var out Witness
	seen := map[int]bool{}
	for i, d := range p.dims {
		ax := p.m.axisOf(d)
		switch {
		case ax != nil && (numbers[d] != nil || b[i].modes&known == 0 || !ax.number()):
			tied := p.tied(b, d)
			if !tied && within(whole[i], b[i]) && within(ax.full, b[i]) {
				continue
			}
			seen[d] = true
			out = append(out, p.m.answer(d, b[i], numbers[d], !tied && b[i].lo == b[i].hi && b[i].lo%2 == 0))
		case ax == nil && p.m.row(d) == nil:
			if b[i].set == whole[i].set && b[i].set == no|yes {
				continue
			}
			is := "not done"
			if b[i].set&yes != 0 {
				is = "done"
			}
			out = append(out, Answer{Step: p.m.doneName(d), Is: is})
		}
	}
	for slot, x := range numbers {
		if !seen[slot] && p.at[slot] == 0 && (len(p.dims) == 0 || p.dims[0] != slot) {
			out = append(out, p.m.answer(slot, p.m.axes[slot].full, x, false))
		}
	}
	return out
}

func (p *problem) tied(b box, slot int) bool {
	return slices.ContainsFunc(p.fixed(b), func(i int) bool { return slices.Contains(p.m.row(p.dims[i]).reads, slot) })
}

// axisOf is the reading behind a dimension, nil for another kind.
func (m *model) axisOf(d int) *axis {
	if d < len(m.axes) {
		return m.axes[d]
	}
	return nil
}

func (m *model) doneName(d int) string {
	for _, s := range m.tree.Steps {
		if s.DoneIndex() == m.doneN[d-len(m.axes)] {
			return s.ID
		}
	}
	return "?"
}

// answer words how one reading stands in a box.
func (m *model) answer(slot int, d domain, x *big.Rat, exactly bool) Answer {
	ax := m.axes[slot]
	a := Answer{Reading: ax.v.ID}
	switch {
	case d.modes&known == 0:
		a.Is = standing(d.modes)
	case ax.number():
		a.Is, a.Exactly = quantity(x, ax.v.Unit), exactly
	default:
		a.Is = fmt.Sprintf("%q", ax.v.Choices[bits.TrailingZeros64(d.set)])
	}
	return a
}

// standing says how a reading stands that is not known.
func standing(m mode) string {
	switch {
	case m&stale != 0:
		return "not taken again since the vehicle changed"
	case m&absent != 0:
		return "not taken on this way"
	}
	return "skipped or not to be taken"
}

// quantity prints an exact number in a unit, whole where its decimals end; volts as a meter
// shows them.
func quantity(x *big.Rat, u *unit.Unit) string {
	y := inUnit(x, u)
	if u.Name == "V" && new(big.Rat).Quo(y, Grid(u)).IsInt() {
		return unit.Format(nearestFloat(x), u, 2)
	}
	if n, exact := y.FloatPrec(); exact && n <= 24 {
		_, name, _ := strings.Cut(unit.Format(0, u, 0), " ")
		return strings.TrimSuffix(y.FloatString(n)+" "+name, " ")
	}
	return unit.Format(nearestFloat(x), u, -1)
}
