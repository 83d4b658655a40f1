package prove

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// model is one tree cut into pieces: the axes of its readings, and the numbers
// of its dimensions. Dimensions are, in this order, the slots of the tree's
// values, done(step) for each step that a guard asks after, and one for each
// comparison of several readings.
type model struct {
	tree     *engine.Tree
	evidence *evidence
	axes     []*axis // by slot
	done     map[int]int
	doneN    []int // the step's DoneIndex, by dimension less the slots
	rows     []*row
	byKey    map[string]int
	extremes []extreme     // the highest and the lowest of several readings, by slot from firstExtreme down
	rowsOn   map[int][]int // the dimensions of the comparisons that look at a slot
	atoms    map[*eval.Atom]*pieces
	expanded map[*eval.Atom]*expanded // comparisons before the axes were cut
	work     int                      // spent on all problems of the tree
	cases    int                      // into which its comparisons fall
	careful  bool                     // more is told apart on the ways of the tree, at greater cost
}

// axis is one reading's line of values: for a number, cut at every limit it is
// held against and at the ends of its span. Piece 2i is the i-th cut itself,
// piece 2i+1 what lies between it and the next.
type axis struct {
	v     *eval.Var
	r     *engine.Reading
	cuts  []*big.Rat
	names []string // what stands at each cut: "limits.charged", or "" for an end of the span
	full  domain

	values []float64 // one readable value of each piece, once asked for
}

// row is a comparison of several readings: the sum of coef times slot, plus k,
// is below zero, or at most zero when orEqual is set.
type row struct {
	slots   []int // of readings and extremes
	reads   []int // of the readings behind them
	coef    []*big.Rat
	k       *big.Rat
	orEqual bool
	text    string // as the author wrote it
	same    bool   // text says what the row says; else the opposite
}

func emptyModel(t *engine.Tree) *model {
	return &model{tree: t, evidence: newEvidence(t), done: map[int]int{}, byKey: map[string]int{}, rowsOn: map[int][]int{},
		atoms: map[*eval.Atom]*pieces{}, expanded: map[*eval.Atom]*expanded{}}
}

// newModel gathers every comparison of the tree, and some more of what its readings are.
func newModel(t *engine.Tree, more ...*eval.Atom) (*model, error) {
	m := emptyModel(t)
	m.axes = make([]*axis, t.Slots())
	for _, r := range t.Readings {
		m.axes[r.Index] = newAxis(r.Var(), r)
	}
	var atoms []*eval.Atom
	for _, p := range t.Programs() {
		atoms = append(atoms, p.Atoms...)
	}
	atoms = append(atoms, more...)
	for _, a := range atoms {
		m.addAxes(a)
		if _, ok := m.done[a.Step]; a.Kind == eval.DoneIs && !ok {
			m.done[a.Step] = len(m.axes) + len(m.doneN)
			m.doneN = append(m.doneN, a.Step)
		}
	}
	for i, a := range m.axes {
		if a == nil {
			m.axes[i] = &axis{full: truth(no)} // a take that only a text names
		}
	}
	return m, m.build(atoms, func(a *eval.Atom) *eval.Atom { return a })
}

// build cuts the axes at every limit of some atoms and turns the atoms into cells; over
// gives an atom over the model's own variables. When one of them is too complex the axes
// are cut all the same, for what is tried then.
func (m *model) build(atoms []*eval.Atom, over func(*eval.Atom) *eval.Atom) error {
	atoms = proved(atoms)
	own := make([]*eval.Atom, len(atoms))
	var failed error
	for i, a := range atoms {
		if own[i] = over(a); a.Kind != eval.Compare {
			continue
		}
		var err error
		if m.expanded[a], err = m.expand(own[i]); err != nil {
			failed = err
		}
	}
	for _, x := range m.axes {
		x.sort()
	}
	if failed != nil {
		return failed
	}
	for i, a := range atoms {
		m.atoms[a] = m.buildCells(own[i], m.expanded[a])
	}
	return nil
}

func newAxis(v *eval.Var, r *engine.Reading) *axis {
	a := &axis{v: v, r: r}
	if !v.Number() {
		a.full = domain{modes: known, set: v.All()}
		return a
	}
	a.cuts = []*big.Rat{written(v.Span[0], v.Unit), written(v.Span[1], v.Unit)}
	a.names = []string{"", ""}
	return a
}

// addAxes makes the axes of takes that only guards know.
func (m *model) addAxes(a *eval.Atom) {
	for _, v := range a.Vars() {
		if m.axes[v.Slot] == nil {
			m.axes[v.Slot] = newAxis(v, m.tree.ReadingOf(v))
		}
	}
}

// cut notes a limit on the axis; limits outside the span cut nothing.
func (a *axis) cut(at *big.Rat, name string) {
	if at.Cmp(a.cuts[0]) < 0 || at.Cmp(a.cuts[1]) > 0 {
		return
	}
	a.cuts, a.names = append(a.cuts, at), append(a.names, name)
}

// sort puts the cuts in order and joins equal ones, named ones first.
func (a *axis) sort() {
	if a.cuts == nil {
		return
	}
	type pair struct {
		at   *big.Rat
		name string
	}
	ps := make([]pair, len(a.cuts))
	for i := range ps {
		ps[i] = pair{a.cuts[i], a.names[i]}
	}
	slices.SortStableFunc(ps, func(x, y pair) int {
		return cmp.Or(x.at.Cmp(y.at), -cmp.Compare(min(len(x.name), 1), min(len(y.name), 1)))
	})
	a.cuts, a.names = a.cuts[:0:0], a.names[:0:0]
	for i, p := range ps {
		if i == 0 || p.at.Cmp(ps[i-1].at) != 0 {
			a.cuts, a.names = append(a.cuts, p.at), append(a.names, p.name)
		}
	}
	a.full = domain{modes: known, hi: int32(2 * (len(a.cuts) - 1)), set: 1}
}

// number reports whether the axis is one of numbers.
func (a *axis) number() bool { return a.cuts != nil }

// below gives the pieces x < at (x <= at with orEqual); ok is false when there
// are none.
func (a *axis) below(at *big.Rat, orEqual bool) (domain, bool) {
	i, exact := slices.BinarySearchFunc(a.cuts, at, (*big.Rat).Cmp)
	d := a.full
	switch {
	case !exact && i == 0:
		return d, false
	case !exact: // only beyond the span, since every limit inside it is a cut
		return d, true
	case orEqual:
		d.hi = int32(2 * i)
	default:
		d.hi = int32(2*i - 1)
	}
	return d, d.hi >= 0
}

// above gives the pieces x > at (x >= at with orEqual).
func (a *axis) above(at *big.Rat, orEqual bool) (domain, bool) {
	d := a.full
	b, some := a.below(at, !orEqual)
	if some {
		d.lo = b.hi + 1
	}
	return d, d.lo <= d.hi
}

// ends gives the bounds of a range of pieces, and whether they are left out.
func (a *axis) ends(lo, hi int32) (from *big.Rat, openFrom bool, to *big.Rat, openTo bool) {
	return a.cuts[lo/2], lo%2 == 1, a.cuts[(hi+1)/2], hi%2 == 1
}

// rowOf finds or makes the dimension of a comparison of several readings, and
// whether the given one is that comparison or its opposite.
func (m *model) rowOf(l *linearForm, orEqual bool, text string) (dim int, same bool) {
	slots := make([]int, 0, len(l.coef))
	for s := range l.coef {
		slots = append(slots, s)
	}
	slices.Sort(slots)
	scale := new(big.Rat).Inv(l.coef[slots[0]])
	same = scale.Sign() > 0
	r := &row{slots: slots, k: new(big.Rat).Mul(l.k, scale), orEqual: orEqual == same, text: text, same: same}
	var key strings.Builder
	for _, s := range slots {
		c := new(big.Rat).Mul(l.coef[s], scale)
		r.coef = append(r.coef, c)
		fmt.Fprintf(&key, "%d*%s ", s, c.RatString())
	}
	fmt.Fprintf(&key, "%s %v", r.k.RatString(), r.orEqual)
	at, ok := m.byKey[key.String()]
	if !ok {
		at = len(m.axes) + len(m.doneN) + len(m.rows)
		m.byKey[key.String()] = at
		m.rows = append(m.rows, r)
		r.reads = m.readingsOf(slots)
		for _, s := range r.reads {
			m.rowsOn[s] = append(m.rowsOn[s], at)
		}
	}
	return at, same
}

// row is the comparison behind a dimension; nil for other dimensions.
func (m *model) row(dim int) *row {
	if i := dim - len(m.axes) - len(m.doneN); i >= 0 {
		return m.rows[i]
	}
	return nil
}
