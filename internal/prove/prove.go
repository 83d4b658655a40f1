package prove

import (
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/source"
)

// Options say what is to be done beside the proofs.
type Options struct {
	Mutate bool // try small changes of the trees against their worked cases
}

// Library proves the named trees of a library, all of them when names is empty.
// Trees that others run or hand over to are looked at only as far as they are
// part of those.
func Library(lib *engine.Library, names []string, opt Options) *Report {
	c := newChecker(lib)
	r := &Report{Faults: c.faults, Remarks: c.remarks}
	var done []*engine.Tree
	for _, t := range lib.Trees() {
		if len(names) > 0 && !slices.Contains(names, t.Name) {
			continue
		}
		done = append(done, t)
		r.Trees = append(r.Trees, c.prove(t))
	}
	for _, t := range done {
		c.dead(t)
		c.returns(t)
	}
	files := c.caseFiles(done)
	covered := c.runCases(files)
	for i := range r.Trees {
		r.Trees[i].Cases = covered.report(r.Trees[i].Tree)
	}
	if opt.Mutate {
		c.mutate(r.Trees)
	}
	r.Undecided = c.undecide
	return r
}

// canBePassed reports whether a step that takes a reading has a way on without it.
func canBePassed(t *engine.Tree, r *engine.Reading) bool {
	return slices.ContainsFunc(t.Steps, func(s *engine.Step) bool { return s.Unable != nil && slices.Contains(s.Take, r) })
}

func newChecker(lib *engine.Library) *checker {
	c := &checker{lib: lib, faults: &source.Faults{}, remarks: &source.Faults{}, said: map[string]bool{}, reached: map[source.Place]bool{},
		can: map[source.Place]bool{}, asks: map[source.Place]bool{}, meter: engine.FindMeter("workshop")}
	c.where = newPlaces(lib.Sources(), c.faults, c.remarks)
	return c
}

// prove walks one tree whole.
func (c *checker) prove(t *engine.Tree) TreeReport {
	rep := TreeReport{Tree: t, Steps: len(t.Steps)}
	for _, s := range t.Steps {
		rep.Branches += len(s.Branches)
	}
	m, err := newModel(t)
	if err != nil {
		c.undecide++
		c.add("undecided", t.Begin.Place, 1, "a comparison of tree %q falls into too many cases to be proved", t.Name)
		return rep
	}
	rep.Compared = len(m.rows)
	f := newFlow(m)
	f.visit = c.visit(f)
	f.run(c.entries(m)...)
	c.tree(f)
	rep.Longest = f.longest()
	for _, w := range t.Words.Undone {
		if len(f.left[w]) > 0 && t.Words.Back[w] != "" {
			rep.Open = append(rep.Open, w)
		}
	}
	return rep
}

// entries are the situations in which a tree may begin: nothing known, or the
// facts known that another tree hands over.
func (c *checker) entries(m *model) []*state {
	out := []*state{{}}
	handed := &state{}
	for _, from := range c.lib.Trees() {
		if !slices.ContainsFunc(from.Findings, func(x *engine.Finding) bool { return x.Then != nil && x.Then.Tree == m.tree.Name }) {
			continue
		}
		for _, r := range from.Readings {
			i := slices.IndexFunc(m.tree.Readings, func(q *engine.Reading) bool { return q.ID == r.ID && q.Fact })
			if i < 0 || !r.Fact {
				continue
			}
			d := m.axes[i].full
			if d.modes |= absent; r.Optional || canBePassed(from, r) {
				d.modes |= passed
			}
			handed.set(m, i, d)
		}
	}
	if len(handed.cell) > 0 {
		out = append(out, handed)
	}
	return out
}
