package prove

import (
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// flow carries what can be true from the beginning of a tree along every way to
// its findings. Steps come in topological order, so each is looked at once, with
// everything that can come to it.
type flow struct {
	m       *model
	t       *engine.Tree
	live    []dimset // by step index: what matters from there on
	at      []arrivals
	guards  []*branches
	taken   map[*engine.Branch]bool
	found   map[*engine.Finding]bool     // it can be come to
	left    map[string][]*engine.Finding // by temporary change: where it may be still to be put back
	leftAt  map[string]*state            // one situation of each
	words   map[string]uint64            // bits of temporary changes
	come    []bool                       // by step: some way comes to it
	asking  []bool                       // by step: it can ask something
	visit   func(*engine.Step, *branches, *state)
	ruleYes map[*engine.Rule][]cell
	ruleNo  map[*engine.Rule][]cell
	complex *engine.Rule // a hazard rule that was too much work
}

func newFlow(m *model) *flow {
	f := &flow{m: m, t: m.tree, at: make([]arrivals, len(m.tree.Steps)), guards: make([]*branches, len(m.tree.Steps)),
		taken: map[*engine.Branch]bool{}, found: map[*engine.Finding]bool{}, left: map[string][]*engine.Finding{}, leftAt: map[string]*state{},
		words: map[string]uint64{}, come: make([]bool, len(m.tree.Steps)), asking: make([]bool, len(m.tree.Steps)),
		ruleYes: map[*engine.Rule][]cell{}, ruleNo: map[*engine.Rule][]cell{}}
	for i, w := range m.tree.Words.Undone {
		f.words[w] = 1 << uint(i%64)
	}
	for _, r := range f.t.Before {
		var no, yes error
		f.ruleYes[r], yes = m.cells(r.Holds.Program(), r.Holds.Root, isTrue)
		f.ruleNo[r], no = m.cells(r.Holds.Program(), r.Holds.Root, notTrue)
		if yes != nil || no != nil {
			f.complex = r
			f.ruleYes[r], f.ruleNo[r] = []cell{nil}, []cell{nil}
		}
	}
	for i, s := range f.t.Steps {
		f.guards[i] = m.branchesOf(s)
	}
	f.alive()
	return f
}

// alive works out, from the last step backwards, what matters from each step on.
func (f *flow) alive() {
	m := f.m
	n := len(m.axes) + len(m.doneN) + len(m.rows)
	f.live = make([]dimset, len(f.t.Steps))
	for i := len(f.t.Steps) - 1; i >= 0; i-- {
		s, live := f.t.Steps[i], newDimset(n)
		use := func(cells []cell) {
			for _, c := range cells {
				for _, x := range c {
					live.add(x.dim)
				}
			}
		}
		use(f.guards[i].refs)
		for _, r := range s.Rules() {
			use(f.ruleYes[r])
			use(f.ruleNo[r])
			for _, q := range r.Needs {
				live.add(q.Index)
			}
		}
		for _, fd := range s.Fields() {
			live.add(fd.Reading.Index)
			if a := fd.Reading.Assume; a != nil {
				live.add(a.By.Index)
			}
		}
		for _, to := range targets(s) {
			if to.Step != nil {
				live.addAll(f.live[to.Step.Index])
			}
		}
		f.live[i] = live
	}
}

// targets lists where a step can lead, side ways included.
func targets(s *engine.Step) []engine.Target {
	var out []engine.Target
	for _, b := range s.Branches {
		out = append(out, b.To)
	}
	for _, b := range []*engine.Branch{s.Unable, s.Unsure} {
		if b != nil {
			out = append(out, b.To)
		}
	}
	for _, t := range s.Betters() {
		out = append(out, engine.Target{Step: t})
	}
	return out
}

// run walks all ways at once. entries are the states at the beginning.
func (f *flow) run(entries ...*state) {
	for _, e := range entries {
		e.keep(f.live[f.t.Begin.Index])
		f.at[f.t.Begin.Index].add(f.m, e)
	}
	for _, s := range f.t.Steps {
		list := f.at[s.Index].states(f.m)
		f.at[s.Index] = arrivals{} // nobody comes back
		f.come[s.Index] = len(list) > 0
		for _, later := range []bool{false, true} { // what comes of a walk without a pause is said first
			for _, in := range list {
				f.step(s, in, later)
			}
		}
	}
}

// step takes one state through one step. Wherever something is asked the walk may
// be left for so long that nothing read before counts, and be taken up again: that
// is looked at with later set.
func (f *flow) step(s *engine.Step, in *state, later bool) {
	fresh, sure := f.fresh(s, in)
	if !sure {
		f.asking[s.Index] = true
	}
	if in.paused == later {
		if fresh != nil {
			f.leave(s, in, fresh, fresh)
		}
		if s.Unable != nil && len(s.Needs) > 0 {
			f.unable(s, in, in)
		}
		if !sure {
			f.askAndLeave(s, in)
		}
	}
	if later && !sure {
		left := in.clone()
		left.age(f.m)
		left.paused = true
		f.askAndLeave(s, left)
	}
}

// askAndLeave takes a state through a step that has something to ask.
func (f *flow) askAndLeave(s *engine.Step, in *state) {
	for _, open := range f.gate(s, in) {
		asked := f.ask(s, open)
		mixed := asked
		if early(s) {
			mixed = f.mix(s, open, asked)
		}
		f.leave(s, in, asked, mixed)
		if s.Unable != nil {
			f.unable(s, open, asked)
		}
	}
}

// early reports whether the step may be left before all its fields are asked.
func early(s *engine.Step) bool {
	return !s.Together && !s.Kind.MakesStale() && len(s.Program().Atoms) > 0
}

// fresh is the part of a state in which the step has nothing to ask; sure that
// this is all of it.
func (f *flow) fresh(s *engine.Step, in *state) (*state, bool) {
	fields := s.Fields()
	if len(fields) == 0 {
		if s.Kind == engine.Decide {
			return in, true
		}
		return nil, false
	}
	if s.Kind == engine.Retest {
		return nil, false
	}
	out, sure := in.clone(), true
	for _, fd := range fields {
		d := in.get(f.m, fd.Reading.Index)
		if d.modes&(absent|stale) != 0 {
			sure = false
		}
		if d.modes &= known | passed; d.modes == 0 {
			return nil, false
		}
		out.set(f.m, fd.Reading.Index, d)
	}
	if s.Kind.MakesStale() {
		out.age(f.m)
	}
	return out, sure
}

// gate asks what the hazard rules of the step need and leaves only what they let
// through.
func (f *flow) gate(s *engine.Step, in *state) []*state {
	list := []*state{in}
	for _, r := range s.Rules() {
		var next arrivals
		for _, st := range list {
			asked := st.clone()
			for _, q := range r.Needs {
				d := st.get(f.m, q.Index)
				if d.modes&(absent|stale) != 0 {
					d.modes &= known | passed
					asked.retake(f.m, q.Index, join(d, f.m.axes[q.Index].full))
				}
			}
			for _, c := range f.ruleNo[r] {
				if out := f.narrow(f.half(r, st, asked, c), c); out != nil {
					f.find(r.Else, out, s, in)
					break
				}
			}
			for _, c := range f.ruleYes[r] {
				if out := f.narrow(f.half(r, st, asked, c), c); out != nil {
					next.add(f.m, out)
				}
			}
		}
		list = next.states(f.m)
	}
	return list
}

// half is the state in which the readings that a cell of a rule does not name
// need not have been asked.
func (f *flow) half(r *engine.Rule, before, asked *state, c cell) *state {
	out := asked.clone()
	for _, q := range r.Needs {
		if !slices.ContainsFunc(c, func(n narrow) bool { return n.dim == q.Index }) {
			out.set(f.m, q.Index, join(before.get(f.m, q.Index), asked.get(f.m, q.Index)))
		}
	}
	return out
}

// answered is what a field can be once it has been asked.
func (f *flow) answered(fd engine.FieldOf, st *state) dom {
	d := f.m.axes[fd.Reading.Index].full
	a := fd.Reading.Assume
	if fd.Optional || a != nil && len(fd.Reading.Needs) > 0 {
		d.modes |= passed
	}
	if a != nil && a.If == nil && st.get(f.m, a.By.Index).modes == known {
		d.modes &^= passed
	}
	return d
}

// ask takes every field of the step that is not fresh.
func (f *flow) ask(s *engine.Step, in *state) *state {
	out := in.clone()
	stales := s.Kind.MakesStale()
	if stales {
		out.age(f.m)
	}
	for _, fd := range s.Fields() {
		before := in.get(f.m, fd.Reading.Index)
		d, slot := dom{}, dom{}
		if s.Kind == engine.Retest || before.modes&(absent|stale) != 0 {
			d = f.answered(fd, in)
			slot = d
		}
		if s.Kind != engine.Retest && before.modes&(known|passed) != 0 {
			kept := before
			if kept.modes &= known | passed; stales && !fd.Reading.Fact {
				kept = dom{modes: stale}
			}
			d = join(d, kept)
			if fd.Slot >= 0 {
				slot = join(slot, in.get(f.m, fd.Slot))
			}
		}
		out.retake(f.m, fd.Reading.Index, d)
		if fd.Slot >= 0 {
			out.retake(f.m, fd.Slot, slot)
		}
	}
	return out
}

// mix is the state of a step that may be left before every field is asked.
func (f *flow) mix(s *engine.Step, before, asked *state) *state {
	out := asked.clone()
	for _, fd := range s.Fields() {
		for _, slot := range []int{fd.Reading.Index, fd.Slot} {
			if slot >= 0 {
				out.set(f.m, slot, join(before.get(f.m, slot), asked.get(f.m, slot)))
			}
		}
	}
	return out
}

// unable takes the way on for what could not be done: some fields may have been
// taken before that was clear.
func (f *flow) unable(s *engine.Step, before, asked *state) {
	out := before.clone()
	for _, fd := range s.Fields() {
		was := before.get(f.m, fd.Reading.Index)
		d := join(was, asked.get(f.m, fd.Reading.Index))
		if was.modes&(absent|stale) != 0 || s.Kind == engine.Retest {
			d.modes |= passed
		}
		out.retake(f.m, fd.Reading.Index, d)
	}
	f.send(s.Unable, s, out, before, false)
}

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
			if out := f.narrow(f.notEarly(s, asked, mixed, c), c); out != nil {
				can[i] = append(can[i], c)
				f.send(b, s, out, in, true)
			}
		}
	}
	if len(s.Betters()) > 0 {
		f.closeCalls(s, in, mixed, can)
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
		return f.restCells(g, st)
	}
	return g.yes[i]
}

// notEarly is the mixed state, but for fields of the step that the cell wants not
// known: a field that is still to be asked is neither known nor not.
func (f *flow) notEarly(s *engine.Step, asked, mixed *state, c cell) *state {
	out := mixed
	for _, fd := range s.Fields() {
		for _, n := range c {
			if n.dim == fd.Reading.Index && n.dom.modes&known == 0 {
				if out == mixed {
					out = mixed.clone()
				}
				out.set(f.m, n.dim, asked.get(f.m, n.dim))
			}
		}
	}
	return out
}

// closeCalls sends a state on to the better tests: where two branches can be taken
// that numbers alone tell apart, a reading may be too close to call.
func (f *flow) closeCalls(s *engine.Step, in, st *state, can [][]cell) {
	sent := map[string]bool{}
	for i := range can {
		for j := i + 1; j < len(can); j++ {
			for _, a := range can[i] {
				for _, b := range can[j] {
					c, ok := meetCells(f.plain(a), f.plain(b))
					if !ok {
						continue
					}
					out := f.narrow(st, c)
					if out == nil || sent[out.pattern(f.m, false)] {
						continue
					}
					sent[out.pattern(f.m, false)] = true
					for _, t := range s.Betters() {
						f.send(&engine.Branch{Text: "too close to call", To: engine.Target{Step: t}}, s, out.clone(), in, true)
					}
				}
			}
		}
	}
}

// plain is a cell without its ranges of numbers and its comparisons.
func (f *flow) plain(c cell) cell {
	out := make(cell, 0, len(c))
	for _, n := range c {
		if ax := f.m.axisOf(n.dim); ax != nil && ax.number() && n.dom.modes&known != 0 {
			n.dom = ax.full
		}
		if f.m.row(n.dim) == nil {
			out = append(out, n)
		}
	}
	return out
}

// restCells is where `otherwise` holds, given what can be true.
func (f *flow) restCells(g *branches, st *state) []cell {
	p, whole := f.m.problemFor(st, g.refs)
	var out []cell
	err := p.cover(whole, all(g.maybe), func(b box) bool {
		out = append(out, p.cellOf(b, whole))
		return len(out) < mostGaps
	})
	if err != nil || len(out) == mostGaps {
		return []cell{nil} // more than is kept apart: anything may go this way
	}
	return out
}

// cellOf names the dimensions in which b is narrower than whole.
func (p *problem) cellOf(b, whole box) cell {
	var c cell
	for i, d := range p.dims {
		if b[i] != whole[i] {
			c = append(c, narrow{d, b[i]})
		}
	}
	return c
}

func (f *flow) canBeUnsure(s *engine.Step) bool {
	for _, a := range s.Program().Atoms {
		if a.Kind == eval.OneOf && f.t.ReadingOf(a.Var) != nil && f.t.ReadingOf(a.Var).Unsure {
			return true
		}
	}
	return false
}

// narrow is the state with a cell's narrowings; nil when nothing is left.
func (f *flow) narrow(st *state, c cell) *state {
	for _, n := range c {
		if d := st.get(f.m, n.dim); !meets(&d, &n.dom) {
			return nil
		}
	}
	out := st.clone()
	decided := false
	for _, n := range c {
		decided = decided || f.m.row(n.dim) != nil
		out.set(f.m, n.dim, meet(out.get(f.m, n.dim), n.dom))
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
			for _, s := range r.slots {
				facts = append(facts, narrow{s, dom{}})
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
	f.taken[b] = true
	if done {
		if d, ok := f.m.done[s.DoneIndex()]; ok {
			st.set(f.m, d, truth(yes))
		}
		for _, w := range s.Leaves {
			st.open |= f.words[w]
		}
		for _, w := range s.Restores {
			st.open &^= f.words[w]
		}
	}
	st.way = &trail{s, in.way}
	if b.To.Finding != nil {
		f.find(b.To.Finding, st, s, in)
		return
	}
	st.keep(f.live[b.To.Step.Index])
	f.at[b.To.Step.Index].add(f.m, st)
}

// find notes that a finding can be come to.
func (f *flow) find(x *engine.Finding, st *state, s *engine.Step, in *state) {
	st.way = &trail{s, in.way}
	f.found[x] = true
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
