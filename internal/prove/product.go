package prove

import (
	"fmt"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// pairedVar is one variable of two editions: what either calls it, and which answers
// both can be given.
type pairedVar struct {
	v     *eval.Var // with the span and the words that both have
	of    string    // id of the reading
	vars  [2][]*eval.Var
	words [2][]int // for each word of v, its place in the edition's own list
	modes mode
	set   uint64 // of words that can reach the step
}

// product is a model of two programs over the variables that they have in common.
type product struct {
	m     *model
	eds   [2]*edition
	vars  []*pairedVar // by slot
	by    map[*eval.Var]*pairedVar
	done  []string // steps asked after, by id
	notes []string
}

// gather matches the variables of both editions. It says why no answers can be
// given to both, if so.
func (j *product) gather() string {
	for e, ed := range j.eds {
		if ed.arrival.never {
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
func (j *product) add(e int, v *eval.Var) {
	if b := j.by[v]; b != nil && slices.Contains(b.vars[e], v) {
		return
	}
	ed := j.eds[e]
	of, id := ed.tree.ReadingOf(v).ID, v.ID
	if ed.step != nil && id == base(ed.step)+"."+of {
		id = of
	}
	i := slices.IndexFunc(j.vars, func(b *pairedVar) bool { return b.v.ID == id })
	if i < 0 {
		i = len(j.vars)
		c := *v
		c.ID, c.Slot = id, i
		j.vars = append(j.vars, &pairedVar{v: &c, of: of})
	}
	j.by[v] = j.vars[i]
	j.vars[i].vars[e] = append(j.vars[i].vars[e], v)
}

// doneID is the step that an atom asks after, "" for other atoms.
func (j *product) doneID(e int, a *eval.Atom) string {
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

// match restricts a variable to what both editions have.
func (j *product) match(b *pairedVar) string {
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

func (j *product) matchWords(b *pairedVar, rs [2]*engine.Reading) {
	if !rs[0].Same(&rs[1].Domain) {
		b.v.Domain = eval.Domain{Kind: eval.Choice}
	}
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

func (j *product) note(format string, args ...any) {
	j.notes = append(j.notes, fmt.Sprintf(format, args...))
}

// arrivals restricts a variable to what reaches the step in both editions: the words it
// can be, and whether it can be known or missing. The readings that a hazard rule needs
// are asked for, so they are known unless they may be skipped.
func (j *product) arrivals(b *pairedVar, optional bool) string {
	b.modes = known | passed
	for e, ed := range j.eds {
		if ed.rule != nil && !optional {
			b.modes = known
		}
		for _, v := range b.vars[e] {
			d, ok := ed.arrival.by[v.ID]
			if !ok {
				continue
			}
			if d.modes&known == 0 {
				b.modes &^= known
			} else if !v.Number() {
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
func (b *pairedVar) common(e int, own uint64) uint64 {
	var set uint64
	for i, k := range b.words[e] {
		if own&(1<<uint(k)) != 0 {
			set |= 1 << uint(i)
		}
	}
	return set
}

// build cuts the axes and turns the atoms of both editions into cells.
func (j *product) build() error {
	j.m = emptyModel(j.eds[1].tree)
	for _, b := range j.vars {
		j.m.axes = append(j.m.axes, newAxis(b.v, nil))
	}
	for i := range j.done {
		j.m.done[i] = len(j.m.axes) + i
		j.m.doneN = append(j.m.doneN, i)
	}
	edition := map[*eval.Atom]int{}
	for e, ed := range j.eds {
		for _, a := range ed.prog.Atoms {
			edition[a] = e
			if a.Of != nil {
				edition[a.Of.Whole] = e
			}
		}
	}
	atoms := slices.Concat(j.eds[0].prog.Atoms, j.eds[1].prog.Atoms)
	return j.m.build(atoms, func(a *eval.Atom) *eval.Atom { return j.atom(edition[a], a) })
}

// atom is an edition's atom over the variables of both.
func (j *product) atom(e int, a *eval.Atom) *eval.Atom {
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

// variable is the one that both editions have, of an extreme one over such.
func (j *product) variable(v *eval.Var) *eval.Var {
	if v.Of == nil {
		return j.by[v].v
	}
	c := *v
	c.Of = nil
	for _, r := range v.Of {
		c.Of = append(c.Of, j.by[r].v)
	}
	return &c
}

func (j *product) sum(e int, l *eval.Linear) *eval.Linear {
	c := &eval.Linear{Dim: l.Dim, K: l.K, Exact: l.Exact, Text: l.Text}
	for _, t := range l.Terms {
		if t.Var != nil {
			t.Var = j.variable(t.Var)
		}
		switch {
		case t.Table != nil:
			own := *t.Table
			own.Var = j.by[own.Var].v
			t.Table = &own
		case t.Cases != nil:
			b := j.by[t.Cases.Var]
			own := t.Cases
			t.Cases = &eval.Cases{Var: b.v}
			for _, k := range b.words[e] {
				t.Cases.Y, t.Cases.Exact = append(t.Cases.Y, own.Y[k]), append(t.Cases.Exact, own.Exact[k])
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
func (j *product) problem() (*problem, box) {
	m := j.m
	var names cell
	for d := range len(m.axes) + len(m.doneN) + len(m.rows) {
		names = append(names, constraint{d, domain{}})
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
func (j *product) stands(slot int) domain {
	d := j.m.axes[slot].full
	d.modes = j.vars[slot].modes
	if d.modes&known == 0 {
		return domain{modes: d.modes}
	}
	d.set &= j.vars[slot].set
	return d
}

// wasDone says whether a step can have been done on the ways of both editions.
func (j *product) wasDone(step string) uint64 {
	set := no | yes
	for _, ed := range j.eds {
		if d, ok := ed.arrival.by["done "+step]; ok && set&d.set != 0 {
			set &= d.set
		}
	}
	return set
}
