package engine

import (
	"slices"

	"deadflat/internal/eval"
	"deadflat/internal/source"
)

// What a proof needs to see of a tree.

// Program is the step's branches as one list of comparisons.
func (s *Step) Program() *eval.Program { return s.prog }

// Rules are the hazard rules that guard the step.
func (s *Step) Rules() []*Rule { return s.rules }

// Unguard takes the hazard rule declared at a place off the step, so that a change of the
// tree can be tried, and gives what puts it back.
func (s *Step) Unguard(at source.Place) (undo func()) {
	was := s.rules
	s.rules = slices.DeleteFunc(slices.Clone(was), func(r *Rule) bool { return r.Place == at })
	return func() { s.rules = was }
}

// Betters are the tests that a close call at the step may lead to.
func (s *Step) Betters() []*Step { return s.betters }

// Proves is the step at which a suspicion of a finding begins, and a round after it; nil
// when no single test proves it.
func (t *Tree) Proves(f *Finding) *Step { return t.proves(f) }

// LeadsTo reports whether some way from the step ends in a finding.
func (s *Step) LeadsTo(f *Finding) bool { return s.findings.has(f.Index) }

// DoneIndex is the index by which done(step) goes.
func (s *Step) DoneIndex() int { return s.declared }

// DeclaredIn is the name of the tree that declares the step, and Prefix the path
// of the sub-trees through which it is laid in: "recharge/", or nothing.
func (s *Step) DeclaredIn() string { return s.subtree }

// Prefix is the path of sub-trees before the step's own name, "" or "recharge/".
func (s *Step) Prefix() string { return s.prefix }

// With is what the sub-tree of the step is given for its parameters, "volts: pin_3, pin: pin 3",
// and where it is run with that; "" where it has no parameters.
func (s *Step) With() (string, source.Place) { return s.with, s.ranAt }

// Fields lists what the step asks for, records included.
func (s *Step) Fields() []FieldOf { return s.fields }

// Slots is how many values the tree's expressions look into: one for each
// reading, by its Index, and one for each take that a guard names.
func (t *Tree) Slots() int { return t.slots }

// ReadingOf is the reading behind a variable of the tree's expressions.
func (t *Tree) ReadingOf(v *eval.Var) *Reading { return t.scope.byVar[v] }

// Files names the files the tree was resolved from.
func (t *Tree) Files() []string { return t.sources }

// Programs lists every program of comparisons in the tree: those of its steps
// and of its hazard rules.
func (t *Tree) Programs() []*eval.Program {
	var out []*eval.Program
	for _, s := range t.Steps {
		out = append(out, s.prog)
	}
	for _, r := range t.Before {
		out = append(out, r.Holds.Program())
	}
	return out
}
