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
	ends := c.ending()
	for _, t := range done {
		c.endless(t, ends)
		c.dead(t)
		c.returns(t)
	}
	files := c.caseFiles(done)
	covered := c.runCases(files)
	for i := range r.Trees {
		r.Trees[i].Cases = covered.report(r.Trees[i].Tree)
	}
	if opt.Mutate {
		c.mutate(r)
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
		can: map[source.Place]bool{}, found: map[*engine.Finding]bool{}, asks: map[source.Place]bool{}, danger: dangerous(lib.Trees()), meter: engine.FindMeter("workshop"), ideal: &engine.Meter{Name: "ideal"}, open: map[string]*refutation{}}
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
	f := c.walkAll(m)
	if c.unsettled() {
		clear(c.open)
		m.careful, m.work = true, 0
		f = c.walkAll(m)
	}
	c.undecidedFaults()
	c.tree(f)
	rep.Longest = f.longest()
	for _, w := range t.Words.Undone {
		if len(f.left[w]) > 0 && t.Words.Back[w] != "" {
			rep.Open = append(rep.Open, w)
		}
	}
	return rep
}

// walkAll carries what can be true along every way of a model's tree.
func (c *checker) walkAll(m *model) *flow {
	f := newFlow(m)
	f.visit = c.visit(f)
	begin := c.entries(m)
	for _, e := range begin {
		e.open = f.suspected()
	}
	f.run(begin...)
	return f
}

// suspected are the temporary changes that a suspicion, or the proof of a repair, leaves
// when it comes to nothing and the walk goes on where it was. The engine sets back all else,
// so a suspicion begins no situation that the ways of the tree do not.
func (f *flow) suspected() (left uint64) {
	for _, x := range f.t.Findings {
		at := f.t.Proves(x)
		if at == nil {
			continue
		}
		begun, open := map[*engine.Step]bool{at: true}, map[*engine.Step]uint64{}
		for _, s := range f.t.Steps[at.Index:] {
			if !begun[s] {
				continue
			}
			now := (open[s] | f.bits(s.Leaves)) &^ f.bits(s.Restores)
			for _, to := range targets(s) {
				if to.Step != nil && to.Step.LeadsTo(x) {
					begun[to.Step] = true
					open[to.Step] |= now
				} else if to.Finding != x {
					left |= now
				}
			}
		}
	}
	return left
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
