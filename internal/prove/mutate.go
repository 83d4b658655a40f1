package prove

import (
	"fmt"
	"maps"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/source"
)

// Mutation: one small change at a time is made to a tree of which nobody else
// knows, and the worked cases are walked on it. A change that no case notices is
// either no change at all, which is proved from what can be true where it stands, or
// a hole in the cases, and then a case near it is looked for that would fill it.

// Mutation is what came of small changes.
type Mutation struct {
	Mutants   int      `json:"mutants,omitempty"`
	Equal     []string `json:"mutants_proved_equal,omitempty"` // they make no difference, by proof
	Survivors []string `json:"survivors,omitempty"`            // no case notices them
}

// mutant is one small change: of a tree in memory, or of a number in a file.
type mutant struct {
	site
	text        string // "trees/x.yaml:12:3: step rest: < for <= in rest <= limits.flat"
	book        *Mutation
	apply, undo func() // make the change on the private trees, and take it back; nil for a number
	library     func() *engine.Library
	atoms       map[*eval.Atom]*eval.Atom // of a number: what the private trees' comparisons become
}

// site is where a change can tell.
type site struct {
	steps []*engine.Step // that decide on it, wherever they are laid in
	gates []gate
	cases []*casePlayed // that come there
}

// gate is a hazard rule at a step that it guards.
type gate struct {
	step *engine.Step
	rule *engine.Rule
}

// bench is a private copy of a library with everything needed to try changes.
type bench struct {
	c        *checker
	trees    []*engine.Tree // those asked after
	treeOf   map[*engine.Step]*engine.Tree
	reaching map[source.Place][]*casePlayed
	failing  map[string]string // by tree: a case that comes out otherwise
	flows    map[*engine.Tree]*flow
	asked    map[*engine.Step][]*state // what can be true when the step decides
	held     map[gate][]*state         // and when the rule is held
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
	if a == nil || b == nil {
		return a == b
	}
	return a.Finding.ID == b.Finding.ID && a.Certainty == b.Certainty &&
		slices.EqualFunc(a.Cleared, b.Cleared, func(x, y *engine.Finding) bool { return x.ID == y.ID })
}

// mutate tries every change and books what comes of it with the tree that declares it, or
// with the shared files. A tree whose own cases fail is left out, and says so.
func (c *checker) mutate(r *Report) {
	b := c.newBench(r.Trees)
	var open []*mutant // what no case notices
	try := func(list []*mutant, book *Mutation) {
		for _, m := range list {
			m.book = book
			book.Mutants++
			if !b.noticed(m) {
				open = append(open, m)
			}
		}
	}
	for i := range r.Trees {
		t := &r.Trees[i]
		switch name := b.failing[t.Tree.Name]; {
		case t.Cases == nil:
			t.NotMutated = fmt.Sprintf("tree %q has no worked cases that could notice one", t.Tree.Name)
			continue
		case name != "":
			t.NotMutated = fmt.Sprintf("worked case %q of tree %q comes out otherwise; mend that first", name, t.Tree.Name)
			continue
		}
		book := &t.Cases.Mutation
		file := c.where.trees[t.Tree.Name]
		for _, s := range b.copies(t.Tree.Name) {
			try(b.guards(s, fmt.Sprintf("%s: step %s", s.steps[0].Place, base(s.steps[0]))), book)
			try(b.targets(s), book)
		}
		try(b.limits(file), book)
		try(b.rules(file), book)
		if book.Mutants == 0 {
			t.NotMutated = fmt.Sprintf("tree %q has no limit, comparison, target or hazard rule to change", t.Tree.Name)
		}
	}
	shared := map[string]bool{}
	for _, t := range b.trees {
		for _, name := range t.Files() {
			shared[name] = !slices.Contains(slices.Collect(maps.Values(c.where.trees)), name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(shared)) {
		if shared[name] && len(b.reaching) > 0 {
			try(b.limits(name), &r.Shared)
			try(b.rules(name), &r.Shared)
		}
	}
	b.flow(open)
	for _, m := range open {
		if d := b.differ(m); d == nil {
			m.book.Equal = append(m.book.Equal, m.text)
		} else {
			m.book.Survivors = append(m.book.Survivors, m.text+"; "+b.hint(m, d))
		}
	}
}

// newBench loads the library anew and walks its cases.
func (c *checker) newBench(reports []TreeReport) *bench {
	lib, _ := c.lib.Reload(c.lib.Sources())
	private := &checker{lib: lib, faults: &source.Faults{}, remarks: &source.Faults{}, said: map[string]bool{}, where: c.where}
	b := &bench{c: c, treeOf: map[*engine.Step]*engine.Tree{}, reaching: map[source.Place][]*casePlayed{}, failing: map[string]string{},
		flows: map[*engine.Tree]*flow{}, asked: map[*engine.Step][]*state{}, held: map[gate][]*state{}}
	for _, r := range reports {
		t := lib.Tree(r.Tree.Name)
		b.trees = append(b.trees, t)
		for _, s := range t.Steps {
			b.treeOf[s] = t
		}
	}
	played := playAll(private.caseFiles(b.trees))
	for _, p := range played {
		if name := p.file.tree.Name; p.wrong != "" && b.failing[name] == "" {
			b.failing[name] = p.c.name
		}
	}
	for _, p := range played {
		if b.failing[p.file.tree.Name] != "" {
			continue
		}
		seen := map[source.Place]bool{}
		for _, s := range p.was.steps {
			if !seen[s.Place] {
				seen[s.Place] = true
				b.reaching[s.Place] = append(b.reaching[s.Place], &p.casePlayed)
			}
		}
	}
	return b
}

// noticed walks the cases that come to a change until one comes out otherwise.
func (b *bench) noticed(m *mutant) bool {
	noticed := false
	m.with(func(changed func(*engine.Tree) *engine.Tree) {
		noticed = changed == nil || slices.ContainsFunc(m.cases, func(p *casePlayed) bool { return p.noticed(changed(p.file.tree)) })
		if !noticed && m.library != nil {
			m.atoms = b.paired(m, changed)
		}
	})
	return noticed
}

// with makes the change for as long as do runs; changed gives a private tree with it, and
// is nil when the loader refuses the files then.
func (m *mutant) with(do func(changed func(*engine.Tree) *engine.Tree)) {
	if m.library != nil {
		if lib := m.library(); lib != nil {
			do(func(t *engine.Tree) *engine.Tree { return lib.Tree(t.Name) })
		} else {
			do(nil)
		}
		return
	}
	m.apply()
	defer m.undo()
	do(func(t *engine.Tree) *engine.Tree { return t })
}

// copies lists each step that a tree declares, with all the places into which it
// is laid. Parameters that stand for one name there can leave it fewer comparisons.
func (b *bench) copies(tree string) []site {
	type program struct {
		place source.Place
		atoms int
	}
	by := map[program]int{}
	var out []site
	for _, t := range b.trees {
		for _, s := range t.Steps {
			if s.DeclaredIn() != tree {
				continue
			}
			key := program{s.Place, len(s.Program().Atoms)}
			i, ok := by[key]
			if !ok {
				i = len(out)
				by[key] = i
				out = append(out, site{cases: b.reaching[s.Place]})
			}
			out[i].steps = append(out[i].steps, s)
		}
	}
	for _, x := range out { // by itself the tree says its own names
		slices.SortStableFunc(x.steps, func(a, b *engine.Step) int { return len(a.Prefix()) - len(b.Prefix()) })
	}
	slices.SortStableFunc(out, func(x, y site) int { return x.steps[0].Place.Line - y.steps[0].Place.Line })
	return out
}

// site gathers the steps and the hazard rules of which some way reaches one, and the
// cases that come there.
func (b *bench) site(step func(*engine.Step) bool, rule func(gate) bool) (s site) {
	cases := map[*casePlayed]bool{}
	for _, t := range b.trees {
		for _, x := range t.Steps {
			here := false
			if !b.c.reached[x.Place] {
				continue
			}
			if step(x) {
				s.steps, here = append(s.steps, x), true
			}
			for _, r := range x.Rules() {
				if g := (gate{x, r}); rule(g) {
					s.gates, here = append(s.gates, g), true
				}
			}
			for _, p := range b.reaching[x.Place] {
				if here && !cases[p] {
					cases[p] = true
					s.cases = append(s.cases, p)
				}
			}
		}
	}
	return s
}

// each runs over the programs of a site, with the step where each stands.
func (s site) each(do func(*engine.Step, *eval.Program)) {
	for _, x := range s.steps {
		do(x, x.Program())
	}
	for _, g := range s.gates {
		do(g.step, g.rule.Holds.Program())
	}
}
