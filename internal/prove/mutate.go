package prove

import (
	"fmt"
	"math"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/source"
)

// Mutation: one small change at a time is made to a tree of which nobody else
// knows, and the worked cases are walked on it. A change that no case notices is
// either no change at all, which is proved from what can be true at the step, or a
// hole in the cases, and then the proof's witness is the reading that would fill
// it.

// mutant is one small change.
type mutant struct {
	text    string                // "trees/x.yaml:12:3: step rest: < for <= in rest <= limits.flat"
	place   source.Place          // of the step
	apply   func()                // makes the change on the private trees
	undo    func()                // takes it back
	differs func() (string, bool) // answers that tell the two apart; false when there are none
}

// bench is a private copy of a library with everything needed to try changes.
type bench struct {
	flows    map[*engine.Tree]*flow
	asked    map[*engine.Step][]*state // what can be true when the step decides
	reaching map[source.Place][]*casePlayed
}

// casePlayed is a case and how it went on the tree as it is.
type casePlayed struct {
	file *caseFile
	c    *workedCase
	was  *run
}

// noticed reports whether the case comes out otherwise on a changed tree. The
// answers it gave are sent again all at once; only when that leads elsewhere is it
// walked anew, question by question.
func (p casePlayed) noticed(t *engine.Tree) bool {
	w := engine.NewWalk(t, p.c.meter, p.c.kit(t))
	w.Quiet()
	out, err := w.Answer(p.was.w.Events()...)
	if err == nil && out.Refused == nil && len(out.Decided) == len(p.was.steps) {
		same := true
		for i, x := range out.Decided {
			same = same && x.Step.ID == p.was.steps[i].ID
		}
		if same {
			if q := w.Next(); q.Result != nil && alike(q.Result, p.was.result) {
				return false
			}
		}
	}
	_, wrong := p.file.play(t, p.c, nil)
	return wrong != ""
}

// alike compares what a case can speak of.
func alike(a, b *engine.Result) bool {
	return a.Finding.ID == b.Finding.ID && a.Certainty == b.Certainty &&
		slices.EqualFunc(a.Cleared, b.Cleared, func(x, y *engine.Finding) bool { return x.ID == y.ID })
}

// mutate tries every change and books the outcome with the tree that declares the
// step. A report says why when none is tried: some case does not even pass as things are.
func (c *checker) mutate(reports []TreeReport) {
	b, whyNot := c.newBench(reports)
	for i := range reports {
		r := &reports[i]
		switch {
		case r.Cases == nil:
			r.NotMutated = fmt.Sprintf("tree %q has no worked cases that could notice one", r.Tree.Name)
			continue
		case b == nil:
			r.NotMutated = whyNot
			continue
		}
		for _, m := range append(b.comparisons(r.Tree.Name), b.targets(r.Tree.Name)...) {
			r.Cases.Mutants++
			m.apply()
			noticed := b.noticed(m.place)
			m.undo()
			if noticed {
				continue
			}
			if witness, ok := m.differs(); ok {
				r.Cases.Survivors = append(r.Cases.Survivors, fmt.Sprintf("%s; a case with %s would notice", m.text, witness))
			} else {
				r.Cases.Equivalent++
			}
		}
		c.mutateLimits(b, r)
		c.mutateRules(b, r)
		if r.Cases.Mutants == 0 {
			r.NotMutated = fmt.Sprintf("tree %q has no limit, comparison, target or hazard rule to change", r.Tree.Name)
		}
	}
}

// newBench loads the library anew, walks its cases and its ways. Without a bench it says
// why there is none.
func (c *checker) newBench(reports []TreeReport) (b *bench, whyNot string) {
	lib, _ := c.lib.Reload(c.lib.Sources())
	private := &checker{lib: lib, faults: &source.Faults{}, remarks: &source.Faults{}, said: map[string]bool{}, where: c.where}
	b = &bench{flows: map[*engine.Tree]*flow{}, asked: map[*engine.Step][]*state{}, reaching: map[source.Place][]*casePlayed{}}
	var trees []*engine.Tree
	for _, r := range reports {
		trees = append(trees, lib.Tree(r.Tree.Name))
	}
	for _, f := range private.caseFiles(trees) {
		for _, w := range f.list {
			r, wrong := f.play(f.tree, w, nil)
			if wrong != "" {
				return nil, fmt.Sprintf("worked case %q of tree %q comes out otherwise; mend that first", w.name, f.tree.Name)
			}
			seen := map[source.Place]bool{}
			for _, s := range r.steps {
				if !seen[s.Place] {
					seen[s.Place] = true
					b.reaching[s.Place] = append(b.reaching[s.Place], &casePlayed{f, w, r})
				}
			}
		}
	}
	for _, t := range trees {
		m, err := newModel(t)
		if err != nil {
			return nil, fmt.Sprintf("tree %q falls into too many cases to be proved", t.Name)
		}
		f := newFlow(m)
		f.visit = func(s *engine.Step, _ *branches, st *state) {
			if !st.doubt {
				b.asked[s] = append(b.asked[s], st)
			}
		}
		f.run(private.entries(m)...)
		b.flows[t] = f
	}
	return b, ""
}

// noticed walks the cases that reach a step until one comes out otherwise.
func (b *bench) noticed(at source.Place) bool {
	for _, p := range b.reaching[at] {
		if p.noticed(p.file.tree) {
			return true
		}
	}
	return false
}

// copies lists each step that a tree declares, with all the places into which it
// is laid.
func (b *bench) copies(tree string) [][]*engine.Step {
	by := map[source.Place]int{}
	var out [][]*engine.Step
	for t := range b.flows {
		for _, s := range t.Steps {
			if s.DeclaredIn() != tree {
				continue
			}
			i, ok := by[s.Place]
			if !ok {
				i = len(out)
				by[s.Place] = i
				out = append(out, nil)
			}
			out[i] = append(out[i], s)
		}
	}
	slices.SortFunc(out, func(x, y []*engine.Step) int { return x[0].Place.Line - y[0].Place.Line })
	return out
}

// comparisons are the changes of one comparison: with its end or without, and
// turned round.
func (b *bench) comparisons(tree string) []mutant {
	var out []mutant
	for _, steps := range b.copies(tree) {
		for i, a := range steps[0].Program().Atoms {
			if a.Kind != eval.Compare || a.Op == eval.Equal {
				continue
			}
			where := fmt.Sprintf("%s: step %s", steps[0].Place, base(steps[0]))
			out = append(out, b.comparison(steps, i, fmt.Sprintf("%s, %q turned round", where, a.Text), turned))
			// A reading at a limit with a safer side is too close to call with any meter and
			// goes to that side, whatever the comparison says of the limit itself.
			if _, safer := a.Safer(); safer == nil {
				out = append(out, b.comparison(steps, i, fmt.Sprintf("%s, %q with %s for %s", where, a.Text, otherEnd[a.Written], a.Written), endChanged))
			}
		}
	}
	return out
}

var otherEnd = map[string]string{"<": "<=", "<=": "<", ">": ">=", ">=": ">"}

// endChanged takes the limit itself to the other side.
func endChanged(a eval.Atom) eval.Atom {
	a.Op = eval.Less + eval.LessEqual - a.Op
	return a
}

// turned makes the comparison its opposite.
func turned(a eval.Atom) eval.Atom {
	a.Diff = a.Diff.Negated()
	return endChanged(a)
}

func (b *bench) comparison(steps []*engine.Step, i int, text string, change func(eval.Atom) eval.Atom) mutant {
	old := make([]eval.Atom, len(steps))
	for k, s := range steps {
		old[k] = *s.Program().Atoms[i]
	}
	return mutant{text: text, place: steps[0].Place,
		apply: func() {
			for k, s := range steps {
				*s.Program().Atoms[i] = change(old[k])
			}
		},
		undo: func() {
			for k, s := range steps {
				*s.Program().Atoms[i] = old[k]
			}
		},
		differs: func() (string, bool) {
			for k, s := range steps {
				if w, ok := b.tellApart(s, i, change(old[k])); ok {
					return w, true
				}
			}
			return "", false
		}}
}

// flowOf is the flow of the tree that a step lies in.
func (b *bench) flowOf(s *engine.Step) *flow {
	for t, f := range b.flows {
		if s.Index < len(t.Steps) && t.Steps[s.Index] == s {
			return f
		}
	}
	return nil
}

// tellApart looks for answers, among those that can reach the step, that take
// another way once atom i is changed. When that is too much work it says that
// there may be some.
func (b *bench) tellApart(s *engine.Step, i int, changed eval.Atom) (string, bool) {
	f := b.flowOf(s)
	f.m.work = 0 // each change has a bound of its own
	a := s.Program().Atoms[i]
	before := f.guards[s.Index]
	kept := f.m.atoms[a]
	loose := f.m.expanded[a]
	if changed.Diff != a.Diff { // turned round: the sum is the same but for its sign
		f.m.atoms[a] = &pieces{yes: kept.no, no: kept.yes, unknown: kept.unknown}
	} else {
		f.m.atoms[a] = f.m.buildCells(&changed, loose)
	}
	after := f.m.branchesOf(s)
	f.m.atoms[a] = kept
	if before.err != nil || after.err != nil {
		return "answers that nobody could work out", true
	}
	for _, st := range b.asked[s] {
		p, whole := f.m.problemFor(st, append(slices.Clone(before.refs), after.refs...))
		x, y := before.everywhere(p, whole), after.everywhere(p, whole)
		for i := range x {
			for j := range y {
				if s.Branches[i].To == s.Branches[j].To {
					continue
				}
				if hit, err := p.bothHold(whole, x[i], y[j]); err != nil || hit != nil {
					if hit == nil {
						hit = whole
					}
					return p.witness(hit, whole).String() + wayText(st), true
				}
			}
		}
	}
	return "", false
}

func wayText(st *state) string {
	if way := wayOf(st.way); len(way) > 0 {
		return " by way of " + way[len(way)-1]
	}
	return ""
}

// everywhere is where each branch holds, `otherwise` included.
func (b *branches) everywhere(p *problem, whole box) [][]cell {
	out := slices.Clone(b.yes)
	if b.otherwise < 0 {
		return out
	}
	out[b.otherwise] = b.rest(p, whole, math.MaxInt)
	return out
}

// targets are the changes that let two neighbouring branches of a step lead where
// the other did.
func (b *bench) targets(tree string) []mutant {
	var out []mutant
	for _, steps := range b.copies(tree) {
		for i := 1; i < len(steps[0].Branches); i++ {
			x, y := steps[0].Branches[i-1], steps[0].Branches[i]
			if x.To == y.To {
				continue
			}
			swap := func() {
				for _, s := range steps {
					x, y := s.Branches[i-1], s.Branches[i]
					x.To, y.To = y.To, x.To
				}
			}
			out = append(out, mutant{text: fmt.Sprintf("%s: step %s, targets %s and %s swapped", y.Place, base(steps[0]), targetName(x.To), targetName(y.To)),
				place: steps[0].Place, apply: swap, undo: swap,
				differs: func() (string, bool) { return b.eitherTaken(steps, i) }})
		}
	}
	return out
}

// eitherTaken looks for answers that take branch i or the one before it.
func (b *bench) eitherTaken(steps []*engine.Step, i int) (string, bool) {
	for _, s := range steps {
		f := b.flowOf(s)
		f.m.work = 0
		g := f.guards[s.Index]
		for _, st := range b.asked[s] {
			p, whole := f.m.problemFor(st, g.refs)
			lists := g.everywhere(p, whole)
			for _, k := range []int{i - 1, i} {
				for _, x := range lists[k] {
					if hit, ok, err := p.reachable(whole, x); ok || err != nil {
						if hit == nil {
							hit = whole
						}
						return p.witness(hit, whole).String() + wayText(st), true
					}
				}
			}
		}
	}
	return "", false
}
