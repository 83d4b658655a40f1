package compare

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/prove"
)

// What is proved of a step is proved of exact answers. Where an answer has doubt, more
// decides where it goes: how the guards are put together, the safer sides and better
// tests, how far a reading can be out, and what the ways lead to in the end. Where
// none of that was changed either, the two editions do the same sum with the same
// answers, so that they go the same way whatever the doubt.

// doubtful says what was changed of all that decides answers with doubt at a step;
// "" when nothing was.
func doubtful(old, now *writer, c *prove.Compared) string {
	for _, f := range doubtFactors {
		if f.text(old, c.Old) != f.text(now, c.New) {
			return f.what
		}
	}
	return ""
}

// doubtFactors are what decides answers with doubt, each as a text that is the same in
// two editions when the thing is.
var doubtFactors = []struct {
	what string
	text func(*writer, *engine.Step) string
}{
	{"how its guards are written", (*writer).guards},
	{"the safer side or the better test of a close call", (*writer).sides},
	{"how far out its readings can be", (*writer).readings},
	{"what its ways end in", (*writer).endings},
}

// writer puts parts of a tree into texts.
type writer struct {
	t       *engine.Tree
	actions map[string]int            // of both editions, by number
	ends    map[*engine.Step]*big.Int // the actions behind a step, as a set of bits
}

func newWriter(t *engine.Tree, actions map[string]int) *writer {
	return &writer{t, actions, map[*engine.Step]*big.Int{}}
}

func (w *writer) guards(s *engine.Step) string {
	var b strings.Builder
	p := s.Program()
	for _, br := range s.Branches {
		fmt.Fprintf(&b, "%s %v: ", target(br.To), findings(br.Clears))
		if br.Guard != nil {
			b.WriteString(w.node(p, br.Guard.Root))
		}
		b.WriteString("\n")
	}
	return b.String()
}

func (w *writer) node(p *eval.Program, n *eval.Node) string {
	if n.Kind == eval.Leaf {
		return w.atom(p.Atoms[n.Atom])
	}
	return fmt.Sprint(n.Kind, n.Of != nil, names(n.Kids, func(k *eval.Node) string { return w.node(p, k) }))
}

func (w *writer) atom(a *eval.Atom) string {
	switch a.Kind {
	case eval.Compare:
		return fmt.Sprintf("%s %d 0", w.sum(a.Diff), a.Op)
	case eval.DoneIs:
		i := slices.IndexFunc(w.t.Steps, func(s *engine.Step) bool { return s.DoneIndex() == a.Step })
		return "done " + w.t.Steps[i].ID
	case eval.KnownIs:
		return "known " + a.Var.ID
	}
	return fmt.Sprintf("%s in %q", a.Var.ID, a.Var.Words(a.Set))
}

func (w *writer) sum(l *eval.Linear) string {
	var b strings.Builder
	fmt.Fprint(&b, l.K)
	for _, t := range l.Terms {
		fmt.Fprintf(&b, " + %v ", t.Coef)
		switch {
		case t.Table != nil:
			fmt.Fprint(&b, t.Table.Var.ID, t.Table.X, t.Table.Y)
		case t.Cases != nil:
			fmt.Fprintf(&b, "%s %q %v", t.Cases.Var.ID, t.Cases.Var.Choices, t.Cases.Y)
		case t.First != nil && t.First.Call != nil:
			c := t.First.Call
			fmt.Fprint(&b, c.Func.Name)
			for i := range c.Sums {
				if c.Sums[i] != nil {
					fmt.Fprintf(&b, "(%s)", w.sum(c.Sums[i]))
				} else if c.Vars[i] != nil {
					fmt.Fprintf(&b, "(%s)", c.Vars[i].ID)
				}
			}
		case t.First != nil:
			for _, x := range t.First.Alternatives {
				fmt.Fprintf(&b, "[%s]", w.sum(x))
			}
		default:
			b.WriteString(t.Var.ID)
		}
	}
	return b.String()
}

func (w *writer) sides(s *engine.Step) string {
	var b strings.Builder
	for _, a := range s.Program().Atoms {
		if a.Kind != eval.Compare {
			continue
		}
		for _, l := range a.Diff.Limits {
			fmt.Fprintf(&b, "%s %d %s\n", l.ID, l.Safer, l.Better)
		}
	}
	for _, x := range s.Betters() {
		fmt.Fprintf(&b, "%s %q\n", x.ID, x.Needs)
	}
	for _, side := range []*engine.Branch{s.Unable, s.Unsure} {
		if side != nil {
			b.WriteString(target(side.To))
		}
		b.WriteString("\n")
	}
	return b.String()
}

// readings are those that the guards look at, and those that the step takes.
func (w *writer) readings(s *engine.Step) string {
	looked := slices.Clone(s.Take)
	for _, a := range s.Program().Atoms {
		for _, v := range a.Vars() {
			looked = append(looked, w.t.ReadingOf(v))
		}
	}
	var b strings.Builder
	fmt.Fprintln(&b, s.Kind, s.Needs, s.Together)
	for i, r := range looked {
		if slices.Contains(looked[:i], r) {
			continue
		}
		fmt.Fprint(&b, r.ID, r.Meter, r.Hold, r.AlsoOutBy, r.Span, r.Fact, r.Optional, r.Unsure, r.Needs)
		fmt.Fprintf(&b, " %q", r.Choices)
		if a := r.Assume; a != nil {
			fmt.Fprint(&b, a.By.ID, a.Ranges)
			if a.If != nil {
				b.WriteString(w.node(a.If.Program(), a.If.Root))
			}
		}
		b.WriteString("\n")
	}
	return b.String()
}

// endings are what each way can end in: a close call whose ways all end in one action
// needs no telling apart.
func (w *writer) endings(s *engine.Step) string {
	var b strings.Builder
	for _, br := range s.Branches {
		b.WriteString(w.end(br.To).Text(16) + "\n")
	}
	return b.String()
}

func (w *writer) end(to engine.Target) *big.Int {
	if to.Finding != nil {
		n, ok := w.actions[to.Finding.Action]
		if !ok {
			n = len(w.actions)
			w.actions[to.Finding.Action] = n
		}
		return new(big.Int).SetBit(new(big.Int), n, 1)
	}
	all := new(big.Int)
	if to.Step == nil {
		return all
	}
	if known := w.ends[to.Step]; known != nil {
		return known
	}
	add := func(to engine.Target) { all.Or(all, w.end(to)) }
	for _, br := range to.Step.Ways() {
		add(br.To)
	}
	for _, x := range to.Step.Betters() {
		add(engine.Target{Step: x})
	}
	for _, r := range to.Step.Rules() {
		add(engine.Target{Finding: r.Else})
	}
	w.ends[to.Step] = all
	return all
}
