package prove

import (
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// leave proves the step for a state and sends on what each branch lets through.
func (f *flow) leave(s *engine.Step, in, asked, mixed *state) {
	g := f.guards[s.Index]
	if f.visit != nil {
		f.visit(s, g, asked)
	}
	can := make([][]cell, len(s.Branches))
	for i, b := range s.Branches {
		cells := f.where(g, i, mixed)
		for _, c := range cells {
			if out := f.restrict(f.notEarly(s, asked, mixed, c), c); out != nil {
				can[i] = append(can[i], c)
				f.send(b, s, out, in, true)
			}
		}
	}
	if len(can) > 1 {
		f.doubtful(s, in, mixed, can)
	}
	if s.Unsure != nil && f.canBeUnsure(s) {
		f.send(s.Unsure, s, mixed.clone(), in, true)
	}
}

// where lists the cells in which branch i holds. Of a step that could not be proved,
// or once a tree has cost too much, any branch may be taken by anything.
func (f *flow) where(g *branches, i int, st *state) []cell {
	f.m.work += len(g.yes[i])
	switch {
	case g.err != nil || f.m.work > mostTreeWork:
		return []cell{nil}
	case i == g.otherwise:
		p, whole := f.m.problemFor(st, g.refs)
		return g.rest(p, whole, mostGaps)
	}
	return g.yes[i]
}

// notEarly is the mixed state, but for fields of the step that the cell wants not known where
// a guard turns on that: a field that is still to be asked is neither known nor not.
func (f *flow) notEarly(s *engine.Step, asked, mixed *state, c cell) *state {
	out := mixed
	for _, fd := range s.Fields() {
		for _, n := range c {
			if n.dim == fd.Reading.Index && n.domain.modes&known == 0 && asksIfKnown(s, n.dim) {
				if out == mixed {
					out = mixed.clone()
				}
				out.set(f.m, n.dim, asked.get(f.m, n.dim))
			}
		}
	}
	return out
}

// asksIfKnown reports whether a guard of the step turns on a reading's being known.
func asksIfKnown(s *engine.Step, slot int) bool {
	return slices.ContainsFunc(s.Program().Atoms, func(a *eval.Atom) bool {
		if a.Kind == eval.Compare {
			return slices.ContainsFunc(a.Diff.Terms, func(t eval.Term) bool { return t.First != nil && len(t.First.Alternatives) > 1 })
		}
		return a.Kind == eval.KnownIs && a.Var.Slot == slot
	})
}

// mostPairs bounds the cells of two branches that are held against one another.
const mostPairs = 10_000

// doubtful sends a state on to where a close call can lead: where two branches can be
// taken that numbers, or words that may be "not sure", alone tell apart, either is taken
// by answers of which nothing is left out, and so are the better tests.
func (f *flow) doubtful(s *engine.Step, in, st *state, can [][]cell) {
	blurred := make([][]cell, len(can))
	for i, list := range can {
		seen := map[string]bool{}
		for _, c := range list {
			b := f.blurred(c)
			if key := b.key(); !seen[key] {
				seen[key] = true
				blurred[i] = append(blurred[i], b)
			}
		}
	}
	sent := map[string]bool{}
	send := func(b *engine.Branch, at int, out *state) {
		if b.To.Finding != nil && out.open|f.bits(s.Leaves) == 0 {
			return // nothing is asked of it there
		}
		if key := string(rune(at)) + out.pattern(f.m, false); !sent[key] {
			sent[key] = true
			f.send(b, s, out.clone(), in, true)
		}
	}
	for i := range blurred {
		for j := i + 1; j < len(blurred); j++ {
			as, bs := blurred[i], blurred[j]
			if len(as)*len(bs) > mostPairs {
				as, bs = []cell{nil}, []cell{nil} // by anything that comes here
			}
			for _, a := range as {
				for _, b := range bs {
					c, ok := meetCells(a, b)
					if !ok {
						continue
					}
					out := f.restrict(st, c)
					if out == nil {
						continue
					}
					for k, t := range s.Betters() {
						send(&engine.Branch{Text: "too close to call", To: engine.Target{Step: t}}, len(can)+k, out)
					}
					out.doubt = true
					send(s.Branches[i], i, out)
					send(s.Branches[j], j, out)
				}
			}
		}
	}
}

// blurred is a cell without its comparisons, and with all of what an answer can be in
// doubt of.
func (f *flow) blurred(c cell) cell {
	out := make(cell, 0, len(c))
	for _, n := range c {
		if f.m.row(n.dim) != nil {
			continue
		}
		if f.m.doubted(n) {
			modes := n.domain.modes
			n.domain = f.m.axes[n.dim].full
			n.domain.modes = modes
		}
		out = append(out, n)
	}
	return out
}

// doubted reports whether an answer can be in doubt of a constraint: a range of numbers, a
// comparison, words that may be "not sure".
func (m *model) doubted(n constraint) bool {
	ax := m.axisOf(n.dim)
	if ax == nil {
		return m.row(n.dim) != nil
	}
	return n.domain.modes&known != 0 && (ax.number() || ax.r != nil && ax.r.Unsure)
}

// rest is where `otherwise` holds; when that is too much work, or as many cells as most,
// anything may go this way.
func (g *branches) rest(p *problem, whole box, most int) []cell {
	var out []cell
	err := p.cover(whole, all(g.maybe), func(b box) bool {
		out = append(out, p.cellOf(b, whole))
		return len(out) < most
	})
	if err != nil || len(out) == most {
		return []cell{nil}
	}
	return out
}

// cellOf names the dimensions in which b holds less than whole.
func (p *problem) cellOf(b, whole box) cell {
	var c cell
	for i, d := range p.dims {
		if b[i] != whole[i] {
			c = append(c, constraint{d, b[i]})
		}
	}
	return c
}

// bits are some temporary changes as a set.
func (f *flow) bits(words []string) uint64 {
	var set uint64
	for _, w := range words {
		set |= f.words[w]
	}
	return set
}

func (f *flow) canBeUnsure(s *engine.Step) bool {
	return slices.ContainsFunc(s.Program().Atoms, func(a *eval.Atom) bool {
		r := f.t.ReadingOf(a.Var)
		return a.Kind == eval.OneOf && r != nil && r.Unsure
	})
}

// restrict is what of a state lies in a cell; nil when nothing does.
func (f *flow) restrict(st *state, c cell) *state {
	for _, n := range c {
		if d := st.get(f.m, n.dim); !meets(&d, &n.domain) {
			return nil
		}
	}
	out := st.clone()
	decided := false
	for _, n := range c {
		decided = decided || f.m.row(n.dim) != nil
		out.set(f.m, n.dim, meet(out.get(f.m, n.dim), n.domain))
	}
	if !decided && !f.hasRows(out) {
		return out
	}
	p, b := f.m.problemFor(out, nil)
	if ok, err := p.feasible(b); err == nil && !ok {
		return nil
	}
	return out
}

func (f *flow) hasRows(st *state) bool {
	return len(st.cell) > 0 && f.m.row(st.cell[len(st.cell)-1].dim) != nil
}

// problemFor is a problem over the dimensions that cells name and the comparisons
// that the state knows, with the state as a box.
func (m *model) problemFor(st *state, cells []cell) (*problem, box) {
	var facts cell
	for _, n := range st.cell {
		if r := m.row(n.dim); r != nil {
			facts = append(facts, n)
			for _, s := range r.reads {
				facts = append(facts, constraint{s, domain{}})
			}
		}
	}
	p := m.newProblem(cells, []cell{facts})
	return p, p.boxOf(st)
}

func (p *problem) boxOf(st *state) box {
	b := make(box, len(p.dims))
	for i, d := range p.dims {
		b[i] = st.get(p.m, d)
	}
	return b
}

// send passes a state on to where a branch leads.
func (f *flow) send(b *engine.Branch, s *engine.Step, st, in *state, done bool) {
	f.taken[b] = f.taken[b] || !st.doubt
	if done {
		if d, ok := f.m.done[s.DoneIndex()]; ok {
			st.set(f.m, d, truth(yes))
		}
		st.open |= f.bits(s.Leaves)
		if to := b.To.Finding; to == nil || !to.Stop { // a stop is taken at once
			st.open &^= f.bits(s.Restores) &^ f.shared
		}
	}
	st.way = &trail{s, in.way}
	f.mark(s, st, done)
	if b.Likely {
		f.excuse(st)
	}
	if b.To.Finding != nil {
		f.reach(b.To.Finding, st, s, in)
		return
	}
	st.keep(f.live[b.To.Step.Index])
	if st.doubt && f.at[b.To.Step.Index].covers(f.m, st) {
		return // nothing matters further on that was left open
	}
	f.at[b.To.Step.Index].add(f.m, st)
}

// reach notes that a finding can be reached.
func (f *flow) reach(x *engine.Finding, st *state, s *engine.Step, in *state) {
	st.way = &trail{s, in.way}
	f.found[x] = f.found[x] || !st.doubt
	f.evidenceAt(x, st, s)
	for w, bit := range f.words {
		if st.open&bit == 0 || slices.Contains(f.left[w], x) {
			continue
		}
		if f.leftAt[w] == nil {
			f.leftAt[w] = st
		}
		f.left[w] = append(f.left[w], x)
	}
}
