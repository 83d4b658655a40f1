package prove

import (
	"fmt"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// guards are the changes of what a site's guards say: each comparison turned round, with
// its end or without, a word less, `known` and `done` turned round, "and" for "or".
func (b *bench) guards(s site, where string) []*mutant {
	var programs []*eval.Program
	s.each(func(_ *engine.Step, p *eval.Program) {
		if !slices.Contains(programs, p) {
			programs = append(programs, p)
		}
	})
	var out []*mutant
	add := func(what string, apply, undo func()) {
		out = append(out, &mutant{site: s, text: where + ", " + what, apply: apply, undo: undo})
	}
	first := programs[0]
	for i, a := range first.Atoms {
		text, ok := first.Wording(i)
		if !ok || a.Kind == eval.OneOf && !says(first, a.Text) {
			continue // a row of `cases`: its target is changed
		}
		if a.Op != eval.Equal || a.Kind != eval.Compare {
			apply, undo := turned(programs, i)
			add(fmt.Sprintf("%q turned round", text), apply, undo)
		}
		switch {
		case a.Kind == eval.Compare && a.Op != eval.Equal && b.atItsEnd(a):
			apply, undo := edited(programs, i, func(a *eval.Atom) { a.Op = eval.Less + eval.LessEqual - a.Op })
			add(fmt.Sprintf("%q with %s for %s", text, otherEnd[a.Written], a.Written), apply, undo)
		case a.Kind == eval.OneOf && !a.Var.Many() && a.Set&(a.Set-1) != 0:
			for k, word := range a.Var.Choices {
				if bit := uint64(1) << uint(k); a.Set&bit != 0 {
					apply, undo := edited(programs, i, func(a *eval.Atom) { a.Set &^= bit })
					add(fmt.Sprintf("%q without %q", a.Text, word), apply, undo)
				}
			}
		}
	}
	for g, guard := range first.Guards {
		if guard.Otherwise {
			continue // made of the others
		}
		for k, n := range joins(guard.Root) {
			word, other := "and", "or"
			if n.Kind == eval.Or {
				word, other = other, word
			}
			if !strings.Contains(guard.Text, " "+word+" ") {
				continue // a row of `bands`
			}
			flip := func() {
				for _, p := range programs {
					n := joins(p.Guards[g].Root)[k]
					n.Kind = eval.And + eval.Or - n.Kind
				}
			}
			add(fmt.Sprintf("%q with %s for %s number %d", guard.Text, other, word, k+1), flip, flip)
		}
	}
	return out
}

// says reports whether some guard of a program holds a text.
func says(p *eval.Program, text string) bool {
	return slices.ContainsFunc(p.Guards, func(g *eval.Guard) bool { return strings.Contains(g.Text, text) })
}

// joins lists the nodes of a guard that join others, from the outside in.
func joins(n *eval.Node) []*eval.Node {
	var out []*eval.Node
	switch {
	case n.Of != nil:
		return nil // of one comparison
	case n.Kind == eval.And || n.Kind == eval.Or:
		out = append(out, n)
	}
	for _, k := range n.Kids {
		out = append(out, joins(k)...)
	}
	return out
}

// atItsEnd reports whether it can matter on which side of a comparison its limit counts.
// A reading at a limit with a safer side is too close to call with any meter and goes to
// that side, unless it has no doubt at all.
func (b *bench) atItsEnd(a *eval.Atom) bool {
	if _, safer := a.Safer(); safer == nil {
		return true
	}
	return !slices.ContainsFunc(a.Vars(), func(v *eval.Var) bool {
		for _, t := range b.trees {
			if r := t.ReadingOf(v); r != nil && r.Number() {
				return r.Assume != nil || Doubt(b.c.meter, r, 0)+Doubt(b.c.meter, r, r.Span[1]) > 0
			}
		}
		return false
	})
}

var otherEnd = map[string]string{"<": "<=", "<=": "<", ">": ">=", ">=": ">"}

// edited changes atom i of some programs, and where it is the first of those that the
// comparison of an extreme is made of, all of them.
func edited(programs []*eval.Program, i int, change func(*eval.Atom)) (apply, undo func()) {
	var atoms []*eval.Atom
	var old []eval.Atom
	for _, p := range programs {
		own := []*eval.Atom{p.Atoms[i]}
		if g := p.Atoms[i].Of; g != nil {
			own = append(p.Atoms[i:i+len(g.Atoms):i+len(g.Atoms)], g.Whole)
		}
		for _, a := range own {
			atoms, old = append(atoms, a), append(old, *a)
		}
	}
	return func() {
			for _, a := range atoms {
				change(a)
			}
		}, func() {
			for k, a := range atoms {
				*a = old[k]
			}
		}
}

// turned makes atom i of some programs its opposite wherever a guard looks at it.
func turned(programs []*eval.Program, i int) (apply, undo func()) {
	var leaves []*eval.Node
	var old []eval.Node
	var look func(n *eval.Node)
	look = func(n *eval.Node) {
		if is := n.Kind == eval.Leaf && n.Atom == i || n.Of != nil && n.Of.Atoms[0] == i; is && !slices.Contains(leaves, n) {
			leaves, old = append(leaves, n), append(old, *n)
		}
		if n.Of != nil {
			return
		}
		for _, k := range n.Kids {
			look(k)
		}
	}
	for _, p := range programs {
		for _, g := range p.Guards {
			look(g.Root)
		}
	}
	return func() {
			for k, n := range leaves {
				*n = eval.Node{Kind: eval.Not, Kids: []*eval.Node{&old[k]}}
			}
		}, func() {
			for k, n := range leaves {
				*n = old[k]
			}
		}
}

// targets are the changes that let two branches of a step lead where the other did.
func (b *bench) targets(s site) []*mutant {
	var out []*mutant
	branches := s.steps[0].Branches
	for j, y := range branches {
		for i, x := range branches[:j] {
			if x.To == y.To {
				continue
			}
			swap := func() {
				for _, s := range s.steps {
					x, y := s.Branches[i], s.Branches[j]
					x.To, y.To = y.To, x.To
				}
			}
			out = append(out, &mutant{site: s, apply: swap, undo: swap,
				text: fmt.Sprintf("%s: step %s, targets %s and %s swapped", y.Place, base(s.steps[0]), targetName(x.To), targetName(y.To))})
		}
	}
	return out
}

// rules are the changes of the hazard rules of one file: of what each says, and each without
// one of its kinds of step.
func (b *bench) rules(file string) []*mutant {
	var out []*mutant
	for _, t := range b.trees {
		for _, rule := range t.Before {
			if rule.Place.File != file || slices.ContainsFunc(out, func(m *mutant) bool { return m.gates[0].rule.Place == rule.Place }) {
				continue
			}
			where := fmt.Sprintf("%s: hazard rule %q", rule.Place, rule.ID)
			no := func(*engine.Step) bool { return false }
			s := b.site(no, func(g gate) bool { return g.rule.Place == rule.Place })
			if len(s.gates) == 0 {
				continue
			}
			out = append(out, b.guards(s, where)...)
			for _, kind := range rule.Kinds {
				s := b.site(no, func(g gate) bool { return g.rule.Place == rule.Place && g.step.Kind == kind })
				if len(s.gates) == 0 {
					continue
				}
				var undo []func()
				out = append(out, &mutant{site: s, text: fmt.Sprintf("%s without kind %s", where, kind),
					apply: func() {
						for _, g := range s.gates {
							undo = append(undo, g.step.Unguard(rule.Place))
						}
					},
					undo: func() {
						for _, f := range undo {
							f()
						}
						undo = nil
					}})
			}
		}
	}
	return out
}
