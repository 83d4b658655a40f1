package prove

import (
	"slices"

	"deadflat/internal/engine"
)

// flow carries what can be true from the beginning of a tree along every way to
// its findings. Steps come in topological order, so each is looked at once, with
// everything that can reach it.
type flow struct {
	m        *model
	t        *engine.Tree
	live     []dimset // by step index: what matters from there on
	at       []arrivals
	guards   []*branches
	taken    map[*engine.Branch]bool
	found    map[*engine.Finding]bool     // some way reaches it
	left     map[string][]*engine.Finding // by temporary change: where it may be still to be put back
	leftAt   map[string]*state            // one situation of each
	words    map[string]uint64            // bits of temporary changes
	shared   uint64                       // the bit of all those for which there is none of their own
	reached  []bool                       // by step: some way reaches it
	asking   []bool                       // by step: it can ask something
	visit    func(*engine.Step, *branches, *state)
	gated    func(*engine.Step, *engine.Rule, *state) // sees what a hazard rule is held against
	ruleYes  map[*engine.Rule][]cell
	ruleNo   map[*engine.Rule][]cell
	evidence *evidence
	unread   map[string]*unread
	complex  *engine.Rule // a hazard rule that was too much work
	walked   int          // spent on walks to faults
}

func newFlow(m *model) *flow {
	f := &flow{m: m, t: m.tree, at: make([]arrivals, len(m.tree.Steps)), guards: make([]*branches, len(m.tree.Steps)),
		taken: map[*engine.Branch]bool{}, found: map[*engine.Finding]bool{}, left: map[string][]*engine.Finding{}, leftAt: map[string]*state{},
		words: map[string]uint64{}, reached: make([]bool, len(m.tree.Steps)), asking: make([]bool, len(m.tree.Steps)),
		ruleYes: map[*engine.Rule][]cell{}, ruleNo: map[*engine.Rule][]cell{}, evidence: m.evidence, unread: map[string]*unread{}}
	for i, w := range m.tree.Words.Undone {
		f.words[w] = 1 << uint(min(i, 63))
	}
	if len(f.words) > 64 {
		f.shared = 1 << 63
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
	size := 0
	for i, s := range f.t.Steps {
		if size > mostTreeSize {
			f.guards[i] = newBranches(s)
			f.guards[i].err = errTooComplex
			continue
		}
		f.guards[i] = m.branchesOf(s)
		size += f.guards[i].size
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
		if m.careful {
			m.addTied(live)
		}
		f.live[i] = live
	}
}

// addTied adds to some dimensions the comparisons that follow from one another with them.
func (m *model) addTied(live dimset) {
	for more := true; more; {
		more = false
		for i, r := range m.rows {
			dim := len(m.axes) + len(m.doneN) + i
			if live.has(dim) && !slices.ContainsFunc(r.reads, func(s int) bool { return !live.has(s) }) || !live.has(dim) && !slices.ContainsFunc(r.reads, live.has) {
				continue
			}
			more = true
			live.add(dim)
			for _, s := range r.reads {
				live.add(s)
			}
		}
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
		f.reached[s.Index] = slices.ContainsFunc(list, func(st *state) bool { return !st.doubt })
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
			if s.Unable != nil && slices.ContainsFunc(s.Fields(), func(fd engine.FieldOf) bool { return fresh.get(f.m, fd.Reading.Index).modes != known }) {
				f.unable(s, fresh, fresh) // skipped before, so nobody is asked
			}
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
		if mayLeaveEarly(s) {
			mixed = f.partlyAsked(s, open, asked)
		}
		f.leave(s, in, asked, mixed)
		if s.Unable != nil {
			f.unable(s, open, asked)
		}
	}
}
