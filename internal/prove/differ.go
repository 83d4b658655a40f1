package prove

import (
	"fmt"
	"math/big"
	"math/bits"
	"math/rand/v2"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// Compared is what one step, or one hazard rule, of two editions of a tree comes to
// when both are given the same answers: numbers inside both spans, words that both
// have, readings known or not as they can be on the ways to it in both. A pair of
// ways that nothing is said of is proved to be taken by no such answers, unless
// Undecided is set.
type Compared struct {
	Old, New         *engine.Step // nil for a hazard rule
	OldRule, NewRule *engine.Rule // nil for a step
	Partings         []Parting    // in the order of the old branches
	Undecided        string       // why it is not proved; Partings were then found by trial
	Tried            int          // answers tried for that
	Never            string       // why no answers come to it in both editions
	Notes            []string     // readings and words that only one edition has
}

// Parting is one way of the old edition and another of the new that the same
// answers take.
type Parting struct {
	Was, Is Way
	When    string  // for ways that no answers choose: "it cannot be done"
	Shown   []Shown // one set of such answers
}

// Way is where one edition sends the answers.
type Way struct {
	Branch *engine.Branch // nil: a hazard rule, or no branch takes them
	To     engine.Target  // empty: no branch takes them, or a rule lets them pass
	Passes bool           // a hazard rule lets them pass
}

// Shown is one answer of a witness.
type Shown struct {
	Answer
	Title string     // of the reading: "Battery voltage at rest"
	Of    string     // id of the reading, also where the take at one step is meant
	Value eval.Value // a number in base units; a choice, by its place in Words; or skipped
	Words []string   // the choices that both editions have
	Any   bool       // anything else would show it as well
}

// Differ holds every step that stands in both editions, and every hazard rule,
// against the other edition's. They are matched by id. Both editions are taken to
// be sound.
func Differ(old, now *engine.Tree) []*Compared {
	var out []*Compared
	was, is := arriving(old), arriving(now)
	byID := map[string]*engine.Step{}
	for _, n := range now.Steps {
		byID[n.ID] = n
	}
	for _, s := range old.Steps {
		n := byID[s.ID]
		if n == nil {
			continue
		}
		c := &Compared{Old: s, New: n}
		c.prove([2]*edition{{old, s, nil, was[s.Index], s.Program()}, {now, n, nil, is[n.Index], n.Program()}})
		c.aside("it cannot be done", s.Unable, n.Unable)
		c.aside("not sure", s.Unsure, n.Unsure)
		out = append(out, c)
	}
	for _, r := range old.Before {
		i := slices.IndexFunc(now.Before, func(n *engine.Rule) bool { return n.ID == r.ID })
		if i < 0 {
			continue
		}
		n := now.Before[i]
		c := &Compared{OldRule: r, NewRule: n}
		c.prove([2]*edition{{old, nil, r, arrival{}, r.Holds.Program()}, {now, nil, n, arrival{}, n.Holds.Program()}})
		out = append(out, c)
	}
	return out
}

// aside compares a way that is not chosen by answers.
func (c *Compared) aside(when string, was, is *engine.Branch) {
	if was == nil || is == nil || endOf(was.To) == endOf(is.To) {
		return
	}
	c.Partings = append(c.Partings, Parting{Was: Way{Branch: was, To: was.To}, Is: Way{Branch: is, To: is.To}, When: when})
}

// endOf is where a way leads, as one word.
func endOf(to engine.Target) string {
	switch {
	case to.Finding != nil:
		return "finding " + to.Finding.ID
	case to.Step != nil:
		return "step " + to.Step.ID
	}
	return ""
}

func (w Way) leadsTo(o Way) bool { return w.Passes == o.Passes && endOf(w.To) == endOf(o.To) }

// edition is one edition of what is compared.
type edition struct {
	tree *engine.Tree
	step *engine.Step // or
	rule *engine.Rule
	come arrival
	prog *eval.Program
}

// arrival is how readings and steps done can stand at one step, by name, for those
// that its guards look at. What it does not name can stand in any way.
type arrival struct {
	by    map[string]dom
	never bool // nothing comes to the step
}

// arriving looks at the ways of a tree. When they are too complex every step can be
// come to in any way.
func arriving(t *engine.Tree) []arrival {
	out := make([]arrival, len(t.Steps))
	m, err := newModel(t)
	if err != nil {
		return out
	}
	facts := &state{} // what another tree may hand over
	for _, r := range t.Readings {
		if d := m.axes[r.Index].full; r.Fact {
			d.modes |= absent | passed
			facts.set(m, r.Index, d)
		}
	}
	for i := range out {
		out[i] = arrival{map[string]dom{}, true}
	}
	f := newFlow(m)
	dims := map[*engine.Step][]int{}
	f.visit = func(s *engine.Step, g *branches, st *state) {
		if out[s.Index].never {
			out[s.Index].never = false
			dims[s] = m.lookedAt(g)
		}
		by := out[s.Index].by
		for _, d := range dims[s] {
			is, name := st.get(m, d), m.nameOf(d)
			if was, ok := by[name]; ok {
				is = join(was, is)
			}
			by[name] = is
		}
	}
	f.run(&state{}, facts)
	return out
}

// lookedAt lists the readings and steps done that some guards name.
func (m *model) lookedAt(g *branches) []int {
	var out []int
	for _, c := range g.refs {
		for _, n := range c {
			if m.row(n.dim) == nil && !slices.Contains(out, n.dim) {
				out = append(out, n.dim)
			}
		}
	}
	return out
}

// nameOf is a reading's or take's id, or "done STEP".
func (m *model) nameOf(dim int) string {
	if ax := m.axisOf(dim); ax != nil {
		return ax.v.ID
	}
	return "done " + m.doneName(dim)
}

// exits are one edition's ways as cells: a way takes what lies in its cells and in
// none of those it is outside of. Of a step that has a way on for what cannot be
// taken, that is the last one: it takes what no branch surely takes where a guard
// asks after what is not known, and a field of the step itself is missing.
type exits struct {
	ways    []Way
	in      [][]cell // of each way
	outside [][]cell
	missing []cell // of the last way, when not nil: fields of which one is not known
}

func (j *joint) exits(e *edition) (*exits, error) {
	if r := e.rule; r != nil {
		cells, err := j.m.cells(e.prog, r.Holds.Root, isTrue)
		return &exits{ways: []Way{{Passes: true}, {To: engine.Target{Finding: r.Else}}}, in: [][]cell{cells, {nil}}, outside: [][]cell{nil, cells}}, err
	}
	g := j.m.branchesOf(e.step)
	s := &exits{}
	maybe := all(g.maybe)
	for i, b := range e.step.Branches {
		if i == g.otherwise {
			s.add(Way{Branch: b, To: b.To}, []cell{nil}, maybe)
		} else {
			s.add(Way{Branch: b, To: b.To}, g.yes[i], nil)
		}
	}
	if g.otherwise < 0 {
		s.add(Way{}, []cell{nil}, maybe)
	}
	if u := e.step.Unable; u != nil {
		for _, f := range e.step.Fields() {
			if slot := slices.IndexFunc(j.vars, func(b *both) bool { return b.v.ID == f.Reading.ID }); slot >= 0 {
				s.missing = append(s.missing, cell{{slot, dom{modes: unknown}}})
			}
		}
		if s.missing != nil {
			s.add(Way{Branch: u, To: u.To}, maybe, all(g.yes))
		}
	}
	return s, g.err
}

func (s *exits) add(w Way, in, outside []cell) {
	s.ways, s.in, s.outside = append(s.ways, w), append(s.in, in), append(s.outside, outside)
}

// fields are the cells of which way i wants one as well.
func (s *exits) fields(i int) []cell {
	if s.missing != nil && i == len(s.ways)-1 {
		return s.missing
	}
	return []cell{nil}
}

// prove looks for answers that take two ways to different ends.
func (c *Compared) prove(eds [2]*edition) {
	j := &joint{eds: eds, by: map[*eval.Var]*both{}}
	if c.Never = j.gather(); c.Never != "" {
		return
	}
	c.Notes = j.notes
	err := j.settle()
	if err == nil {
		err = c.pairs(j)
	}
	if err != nil {
		c.Undecided, c.Partings = err.Error(), nil
		c.sample(j)
	}
}

func (c *Compared) pairs(j *joint) error {
	was, err := j.exits(j.eds[0])
	if err != nil {
		return err
	}
	is, err := j.exits(j.eds[1])
	if err != nil {
		return err
	}
	p, whole := j.problem()
	for a, from := range was.ways {
		for b, to := range is.ways {
			if from.leadsTo(to) {
				continue
			}
			y, err := p.bothTake(whole, was, a, is, b)
			if err != nil {
				return err
			}
			if y != nil {
				c.Partings = append(c.Partings, Parting{Was: from, Is: to, Shown: j.shown(p, y, whole)})
			}
		}
	}
	if len(c.Partings) == 0 {
		return nil
	}
	for i, s := range []*exits{was, is} {
		if err := p.single(whole, s, editionNames[i]); err != nil {
			return err
		}
	}
	return nil
}

var editionNames = []string{"old", "new"}

// single makes sure that no answers take two ways of one edition.
func (p *problem) single(whole box, s *exits, name string) error {
	for a := range s.ways {
		for b := a + 1; b < len(s.ways); b++ {
			if len(s.outside[a])+len(s.outside[b]) > 0 || s.ways[a].leadsTo(s.ways[b]) {
				continue
			}
			y, err := p.bothTake(whole, s, a, s, b)
			if err != nil {
				return err
			}
			if y != nil {
				return fmt.Errorf("two branches of the %s edition take the same answers", name)
			}
		}
	}
	return nil
}

// bothTake finds answers that take way a of one side and way b of the other; nil
// when there are none.
func (p *problem) bothTake(whole box, s *exits, a int, o *exits, b int) (found box, err error) {
	in := append([][]cell{p.within(whole, s.in[a]), p.within(whole, o.in[b])}, s.fields(a), o.fields(b))
	outside := append(slices.Clone(s.outside[a]), o.outside[b]...)
	var try func(cells []cell) error
	try = func(cells []cell) error {
		if n := len(cells); n < len(in) {
			for _, c := range in[n] {
				if err := p.spend(1); err != nil {
					return err
				}
				if slices.ContainsFunc(cells, func(x cell) bool { return apart(x, c) }) {
					continue
				}
				if err := try(append(cells, c)); err != nil || found != nil {
					return err
				}
			}
			return nil
		}
		y, ok, err := p.reachable(whole, cells...)
		if err != nil || !ok {
			return err
		}
		if len(outside) == 0 {
			found = y
			return nil
		}
		return p.cover(y, outside, func(y box) bool { found = y; return false })
	}
	err = try(make([]cell, 0, len(in)))
	return found, err
}

// both is one variable of two editions: what either calls it, and what answers
// both can be given.
type both struct {
	v     *eval.Var // with the span and the words that both have
	of    string    // id of the reading
	vars  [2][]*eval.Var
	words [2][]int // for each word of v, its place in the edition's own list
	modes mode
	set   uint64 // of words that can come to the step
}

// joint is a model of two programs over the variables that they have in common.
type joint struct {
	m     *model
	eds   [2]*edition
	vars  []*both // by slot
	by    map[*eval.Var]*both
	done  []string // steps asked after, by id
	notes []string
}

// gather matches the variables of both editions. It says why no answers can be
// given to both, if so.
func (j *joint) gather() string {
	for e, ed := range j.eds {
		if ed.come.never {
			return "nothing comes to it in the " + editionNames[e] + " edition"
		}
		for _, a := range ed.prog.Atoms {
			for _, v := range a.Vars() {
				j.add(e, v)
			}
			if id := j.doneID(e, a); id != "" && !slices.Contains(j.done, id) {
				j.done = append(j.done, id)
				if o := j.eds[1-e].tree; !slices.ContainsFunc(o.Steps, func(s *engine.Step) bool { return s.ID == id }) {
					j.note("step %q, which is asked after, stands only in the %s edition", id, editionNames[e])
				}
			}
		}
	}
	for _, b := range j.vars {
		if why := j.match(b); why != "" {
			return why
		}
	}
	return ""
}

// add notes one edition's variable under its id. What a step has just taken is the
// latest take as well.
func (j *joint) add(e int, v *eval.Var) {
	if b := j.by[v]; b != nil && slices.Contains(b.vars[e], v) {
		return
	}
	ed := j.eds[e]
	of, id := ed.tree.ReadingOf(v).ID, v.ID
	if ed.step != nil && id == base(ed.step)+"."+of {
		id = of
	}
	i := slices.IndexFunc(j.vars, func(b *both) bool { return b.v.ID == id })
	if i < 0 {
		i = len(j.vars)
		c := *v
		c.ID, c.Slot = id, i
		j.vars = append(j.vars, &both{v: &c, of: of})
	}
	j.by[v] = j.vars[i]
	j.vars[i].vars[e] = append(j.vars[i].vars[e], v)
}

// doneID is the step that an atom asks after, "" for other atoms.
func (j *joint) doneID(e int, a *eval.Atom) string {
	if a.Kind != eval.DoneIs {
		return ""
	}
	for _, s := range j.eds[e].tree.Steps {
		if s.DoneIndex() == a.Step {
			return s.ID
		}
	}
	return ""
}

// match narrows a variable to what both editions have.
func (j *joint) match(b *both) string {
	var rs [2]*engine.Reading
	for e, ed := range j.eds {
		i := slices.IndexFunc(ed.tree.Readings, func(r *engine.Reading) bool { return r.ID == b.of })
		if i < 0 {
			j.note("reading %q stands only in the %s edition", b.of, editionNames[1-e])
			continue
		}
		rs[e] = ed.tree.Readings[i]
	}
	for e := range rs {
		if rs[e] == nil {
			rs[e] = rs[1-e]
		}
	}
	if rs[0].Number() != rs[1].Number() || rs[0].Number() && rs[0].Unit.Dim != rs[1].Unit.Dim {
		return fmt.Sprintf("reading %q is another quantity in the new edition", b.of)
	}
	b.set = 1
	if rs[0].Number() {
		b.v.Span = [2]float64{max(rs[0].Span[0], rs[1].Span[0]), min(rs[0].Span[1], rs[1].Span[1])}
		if b.v.Span[0] > b.v.Span[1] {
			return fmt.Sprintf("the spans of reading %q have nothing in common", b.of)
		}
	} else if j.matchWords(b, rs); len(b.v.Choices) == 0 {
		return fmt.Sprintf("the choices of reading %q have no word in common", b.of)
	}
	return j.arrivals(b, rs[0].Optional || rs[1].Optional)
}

func (j *joint) matchWords(b *both, rs [2]*engine.Reading) {
	b.v.Choices, b.set = nil, 0
	for i, w := range rs[1].Choices {
		k := slices.Index(rs[0].Choices, w)
		if k < 0 {
			j.note("%q of reading %q stands only in the new edition", w, b.of)
			continue
		}
		b.set |= 1 << uint(len(b.v.Choices))
		b.v.Choices = append(b.v.Choices, w)
		b.words[0], b.words[1] = append(b.words[0], k), append(b.words[1], i)
	}
	for _, w := range rs[0].Choices {
		if !slices.Contains(rs[1].Choices, w) {
			j.note("%q of reading %q stands only in the old edition", w, b.of)
		}
	}
}

func (j *joint) note(format string, args ...any) {
	j.notes = append(j.notes, fmt.Sprintf(format, args...))
}

// arrivals narrows a variable to how it can stand on the ways of both editions. The
// readings of a hazard rule are asked for.
func (j *joint) arrivals(b *both, optional bool) string {
	b.modes = known | passed
	for e, ed := range j.eds {
		if ed.rule != nil && !optional {
			b.modes = known
		}
		for _, v := range b.vars[e] {
			d, ok := ed.come.by[v.ID]
			if !ok {
				continue
			}
			if d.modes&known == 0 {
				b.modes &^= known
			} else if v.Kind != eval.Number {
				b.set &= b.common(e, d.set)
			}
			if d.modes&unknown == 0 {
				b.modes &^= passed
			}
		}
	}
	if b.set == 0 {
		b.modes &^= known
	}
	if b.modes == 0 {
		return fmt.Sprintf("no answer to %q comes to it in both editions", b.of)
	}
	return ""
}

// common is an edition's own set of words as one of those that both have.
func (b *both) common(e int, own uint64) uint64 {
	var set uint64
	for i, k := range b.words[e] {
		if own&(1<<uint(k)) != 0 {
			set |= 1 << uint(i)
		}
	}
	return set
}

// settle cuts the axes and turns the atoms of both editions into cells.
func (j *joint) settle() error {
	j.m = &model{tree: j.eds[1].tree, done: map[int]int{}, byKey: map[string]int{}, touch: map[int][]int{},
		atoms: map[*eval.Atom]*pieces{}, loose: map[*eval.Atom]*expanded{}}
	for _, b := range j.vars {
		j.m.axes = append(j.m.axes, newAxis(b.v, nil))
	}
	for i := range j.done {
		j.m.done[i] = len(j.m.axes) + i
		j.m.doneN = append(j.m.doneN, i)
	}
	ours := map[*eval.Atom]*eval.Atom{}
	var failed error
	for e, ed := range j.eds {
		for _, a := range ed.prog.Atoms {
			ours[a] = j.atom(e, a)
			if a.Kind != eval.Compare {
				continue
			}
			x, err := j.m.expand(ours[a])
			if err != nil {
				failed = err // the axes are cut all the same, to be tried at
			}
			j.m.loose[a] = x
		}
	}
	for _, x := range j.m.axes {
		x.sort()
	}
	if failed != nil {
		return failed
	}
	for _, ed := range j.eds {
		for _, a := range ed.prog.Atoms {
			j.m.atoms[a] = j.m.settle(ours[a], j.m.loose[a])
		}
	}
	return nil
}

// atom is an edition's atom over the variables of both.
func (j *joint) atom(e int, a *eval.Atom) *eval.Atom {
	c := *a
	switch a.Kind {
	case eval.Compare:
		c.Diff = j.sum(e, a.Diff)
	case eval.DoneIs:
		c.Step = slices.Index(j.done, j.doneID(e, a))
	default:
		c.Var, c.Set = j.by[a.Var].v, j.by[a.Var].common(e, a.Set)
	}
	return &c
}

func (j *joint) sum(e int, l *eval.Linear) *eval.Linear {
	c := &eval.Linear{Dim: l.Dim, K: l.K, Text: l.Text}
	for _, t := range l.Terms {
		if t.Var != nil {
			t.Var = j.by[t.Var].v
		}
		switch {
		case t.Table != nil:
			t.Table = &eval.Table{Var: j.by[t.Table.Var].v, X: t.Table.X, Y: t.Table.Y}
		case t.Cases != nil:
			b := j.by[t.Cases.Var]
			own := t.Cases.Y
			t.Cases = &eval.Cases{Var: b.v}
			for _, k := range b.words[e] {
				t.Cases.Y = append(t.Cases.Y, own[k])
			}
		case t.First != nil && t.First.Call == nil:
			f := *t.First
			f.Alternatives = nil
			for _, alt := range t.First.Alternatives {
				f.Alternatives = append(f.Alternatives, j.sum(e, alt))
			}
			t.First = &f
		}
		c.Terms = append(c.Terms, t)
	}
	return c
}

// problem is over everything that either edition looks at.
func (j *joint) problem() (*problem, box) {
	m := j.m
	var names cell
	for d := range len(m.axes) + len(m.doneN) + len(m.rows) {
		names = append(names, narrow{d, dom{}})
	}
	p := m.newProblem([]cell{names})
	whole := make(box, len(names))
	for d := range whole {
		whole[d] = truth(no | yes)
		if d < len(j.vars) {
			whole[d] = j.stands(d)
		} else if d < len(m.axes)+len(m.doneN) {
			whole[d].set = j.wasDone(j.done[d-len(m.axes)])
		}
	}
	return p, whole
}

// stands is what a variable can be on the ways of both editions.
func (j *joint) stands(slot int) dom {
	d := j.m.axes[slot].full
	d.modes = j.vars[slot].modes
	if d.modes&known == 0 {
		return dom{modes: d.modes}
	}
	d.set &= j.vars[slot].set
	return d
}

// wasDone says whether a step can have been done on the ways of both editions.
func (j *joint) wasDone(step string) uint64 {
	set := no | yes
	for _, ed := range j.eds {
		if d, ok := ed.come.by["done "+step]; ok && set&d.set != 0 {
			set &= d.set
		}
	}
	return set
}

// shown puts a box into answers, those that may be anything included.
func (j *joint) shown(p *problem, b, whole box) []Shown {
	var out []Shown
	numbers := p.readable(b)
	for slot, v := range j.vars {
		ax, d := j.m.axes[slot], b[slot]
		tied := p.tied(b, slot)
		s := Shown{Title: v.v.Title, Of: v.of, Words: v.v.Choices, Any: !tied && within(whole[slot], d), Value: eval.Value{State: eval.Skipped}}
		x := numbers[slot]
		if d.modes&known != 0 && ax.number() {
			if m := ax.middle(d); m != nil && !tied {
				x = m
			}
			s.Value = eval.Exact(nearestFloat(x))
		} else if d.modes&known != 0 {
			s.Value = eval.One(bits.TrailingZeros64(d.set))
		}
		s.Answer = j.m.answer(slot, d, x, !tied && !s.Any && d.lo == d.hi && d.lo%2 == 0)
		out = append(out, s)
	}
	for i, step := range j.done {
		d := b[len(j.vars)+i]
		is := "not done"
		if d.set&yes != 0 {
			is = "done"
		}
		out = append(out, Shown{Answer: Answer{Step: step, Is: is}, Any: d.set == whole[len(j.vars)+i].set})
	}
	return out
}

// middle is a readable number well inside a range between two limits; nil when the
// range ends with the span, or nothing readable lies inside.
func (a *axis) middle(d dom) *big.Rat {
	if d.lo == 0 || d.hi == a.full.hi {
		return nil
	}
	from, _, to, _ := a.ends(d.lo, d.hi)
	return a.between(from, to)
}

// between is the readable number nearest to the middle of what lies between two
// others; nil when there is none.
func (a *axis) between(from, to *big.Rat) *big.Rat {
	m := new(big.Rat).Add(from, to)
	m.Quo(m, big.NewRat(2, 1))
	for _, x := range []*big.Rat{m, snap(m, a.grid(), true), snap(m, a.grid(), false)} {
		if a.onGrid(x) && x.Cmp(from) > 0 && x.Cmp(to) < 0 {
			return x
		}
	}
	return nil
}

// readable is numbersIn, with readings that are held against one another on their
// grids as well where that can be had: all but one are tried at a few readable
// numbers, and the last gets one of those that are left to it.
func (p *problem) readable(b box) map[int]*big.Rat {
	out := p.numbersIn(b)
	rows := p.fixed(b)
	var tied []int
	for slot := range p.m.axes {
		if p.tied(b, slot) {
			tied = append(tied, slot)
		}
	}
	tries := mostReadable
	for k := range tied {
		set := map[int]*big.Rat{}
		order := append(slices.Clone(tied[k+1:]), tied[:k]...)
		if p.settleAll(b, rows, order, tied[k], set, &tries) {
			for slot, x := range set {
				out[slot] = x
			}
			break
		}
	}
	return out
}

// mostReadable bounds the readable numbers that are tried for one witness.
const mostReadable = 200

// settleAll puts readings of order, and then the last, on readable numbers, which
// it leaves in set.
func (p *problem) settleAll(b box, rows, order []int, last int, set map[int]*big.Rat, tries *int) bool {
	if len(order) == 0 {
		x := p.left(b, rows, last, set)
		set[last] = x
		return x != nil
	}
	ax, d := p.m.axes[order[0]], p.rangeOf(b, order[0])
	from, _, to, _ := ax.ends(d.lo, d.hi)
	try := ax.candidates(d)
	if m := ax.between(from, to); m != nil {
		try = append([]*big.Rat{m}, try...)
	}
	for _, x := range try {
		if *tries--; *tries < 0 || !ax.onGrid(x) {
			continue
		}
		set[order[0]] = x
		s, _ := p.system(b, rows, set)
		if ok, decided := s.solve(); ok && decided && p.settleAll(b, rows, order[1:], last, set, tries) {
			return true
		}
		delete(set, order[0])
	}
	return false
}

func (a *axis) onGrid(x *big.Rat) bool { return new(big.Rat).Quo(x, a.grid()).IsInt() }

// left is a readable number for the one reading that is not set, as the comparisons
// leave it room; nil when none fits.
func (p *problem) left(b box, rows []int, slot int, set map[int]*big.Rat) *big.Rat {
	ax, d := p.m.axes[slot], p.rangeOf(b, slot)
	from, openFrom, to, openTo := ax.ends(d.lo, d.hi)
	for _, i := range rows {
		r := p.m.row(p.dims[i])
		at, c := new(big.Rat).Neg(r.k), (*big.Rat)(nil)
		for k, s := range r.slots {
			if s == slot {
				c = r.coef[k]
				continue
			}
			at.Sub(at, new(big.Rat).Mul(r.coef[k], set[s]))
		}
		if c == nil {
			continue
		}
		at.Quo(at, c)
		below := b[i].set == yes
		open := r.orEqual != below
		switch upper := below == (c.Sign() > 0); {
		case upper && (at.Cmp(to) < 0 || at.Cmp(to) == 0 && open):
			to, openTo = at, open
		case !upper && (at.Cmp(from) > 0 || at.Cmp(from) == 0 && open):
			from, openFrom = at, open
		}
	}
	if x := ax.between(from, to); x != nil {
		return x
	}
	switch {
	case from.Cmp(to) <= 0 && !openFrom && ax.onGrid(from) && (from.Cmp(to) < 0 || !openTo):
		return from
	case from.Cmp(to) < 0 && !openTo && ax.onGrid(to):
		return to
	}
	return nil
}

// sample tries both editions with the same answers, at limits and beside them.
func (c *Compared) sample(j *joint) {
	random := rand.New(rand.NewPCG(1, 2)) // the same answers on every run
	seen := map[[2]int]bool{}
	for c.Tried < mostSamples {
		c.Tried++
		at, doms := j.draw(random)
		was, a := j.takes(0, at)
		is, b := j.takes(1, at)
		if a < 0 || b < 0 || was.leadsTo(is) || seen[[2]int{a, b}] {
			continue
		}
		seen[[2]int{a, b}] = true
		for slot, d := range doms {
			at[slot].Answer = j.drawn(slot, d)
		}
		c.Partings = append(c.Partings, Parting{Was: was, Is: is, Shown: at})
	}
}

// draw makes up one answer for each variable; the doms are what it lies in, to be
// put into words.
func (j *joint) draw(random *rand.Rand) (at []Shown, doms []dom) {
	for slot, v := range j.vars {
		d := j.stands(slot)
		s := Shown{Title: v.v.Title, Of: v.of, Words: v.v.Choices, Value: eval.Value{State: eval.Skipped}}
		if d.modes&known != 0 && (d.modes&passed == 0 || random.IntN(6) > 0) {
			d.modes = known
			s.Value = j.m.draw(random, v.v, &d)
		} else {
			d = dom{modes: passed}
		}
		at, doms = append(at, s), append(doms, d)
	}
	for _, step := range j.done {
		set := j.wasDone(step)
		is := "not done"
		if set&yes != 0 && (set&no == 0 || random.IntN(2) == 0) {
			is = "done"
		}
		at = append(at, Shown{Answer: Answer{Step: step, Is: is}})
	}
	return at, doms
}

// drawn words an answer that was drawn.
func (j *joint) drawn(slot int, d dom) Answer {
	if d.modes&known == 0 {
		return j.m.answer(slot, d, nil, false)
	}
	return j.m.answerAt(j.vars[slot].v, d)
}

// takes works out the way that one edition takes with some answers; its place among
// the step's branches is -1 when they take none or several, or cannot be told.
func (j *joint) takes(e int, at []Shown) (Way, int) {
	ed := j.eds[e]
	env := &eval.Env{Values: make([]eval.Value, ed.tree.Slots()), Done: make([]bool, len(ed.tree.Steps))}
	for slot, b := range j.vars {
		v := at[slot].Value
		if v.Known() && b.v.Kind != eval.Number {
			i, _ := v.Certain()
			v = eval.One(b.words[e][i])
		}
		for _, own := range b.vars[e] {
			env.Values[own.Slot] = v
		}
	}
	for _, s := range ed.tree.Steps {
		if i := slices.Index(j.done, s.ID); i >= 0 {
			env.Done[s.DoneIndex()] = at[len(j.vars)+i].Is == "done"
		}
	}
	trace := make([]eval.Trace, len(ed.prog.Atoms))
	ed.prog.Run(env, trace)
	if r := ed.rule; r != nil {
		if r.Holds.Verdict(trace) == eval.True {
			return Way{Passes: true}, 0
		}
		return Way{To: engine.Target{Finding: r.Else}}, 1
	}
	way, blind := -1, false
	for i, b := range ed.step.Branches {
		v := verdictOf(b, trace)
		if v == eval.True && way >= 0 {
			return Way{}, -1
		}
		if blind = blind || v == eval.Unknown; v == eval.True {
			way = i
		}
	}
	switch u := ed.step.Unable; {
	case way >= 0: // what another branch cannot know does not matter then
		return Way{Branch: ed.step.Branches[way], To: ed.step.Branches[way].To}, way
	case blind && u != nil && slices.ContainsFunc(ed.step.Fields(), func(f engine.FieldOf) bool { return !env.Values[f.Reading.Index].Known() && j.has(f.Reading) }):
		return Way{Branch: u, To: u.To}, len(ed.step.Branches) + 1
	case blind:
		return Way{}, -1
	}
	return Way{}, len(ed.step.Branches)
}

// has reports whether a guard of either edition looks at a reading.
func (j *joint) has(r *engine.Reading) bool {
	return slices.ContainsFunc(j.vars, func(b *both) bool { return b.v.ID == r.ID })
}

func verdictOf(b *engine.Branch, trace []eval.Trace) eval.Verdict {
	if b.Guard == nil {
		return eval.True
	}
	return b.Guard.Verdict(trace)
}
