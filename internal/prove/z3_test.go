package prove

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// The prover is held to z3, a solver with another method and another author, on
// the branch lists of the shipped trees and on thousands of random ones: whether
// answers exist that no branch takes, that two branches take, or for which a
// branch asks after what is not known.

// z3Path finds the solver; without it the test is skipped, but never where
// everything is checked.
func z3Path(t *testing.T) string {
	t.Helper()
	path, err := exec.LookPath("z3")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("z3 is not installed, and here nothing may be skipped: install the Debian package z3")
		}
		t.Skip("z3 is not installed: the prover is not held to it (Debian package z3)")
	}
	return path
}

// smt writes one step's questions in SMT-LIB.
type smt struct {
	b     strings.Builder
	steps int
}

// number writes a float as the decimal it stands for; sums and products of limits
// are rounded in the 14th digit.
func number(v float64) string {
	s := strconv.FormatFloat(v, 'g', 13, 64)
	f, _ := strconv.ParseFloat(s, 64)
	s = strconv.FormatFloat(f, 'f', -1, 64)
	neg := strings.HasPrefix(s, "-")
	s = strings.TrimPrefix(s, "-")
	if !strings.Contains(s, ".") {
		s += ".0"
	}
	if neg {
		return "(- " + s + ")"
	}
	return s
}

func value(v *eval.Var) string { return fmt.Sprintf("r%d", v.Slot) }
func isKnown(v *eval.Var) string {
	return fmt.Sprintf("k%d", v.Slot)
}

// sum writes a sum and the condition under which it is known.
func sum(l *eval.Linear) (expr, known string) {
	parts, ks := []string{number(l.K)}, []string{"true"}
	for i := range l.Terms {
		t := &l.Terms[i]
		var e string
		switch {
		case t.Table != nil:
			e = table(t.Table)
			ks = append(ks, isKnown(t.Table.Var))
		case t.Cases != nil:
			e = number(t.Cases.Y[len(t.Cases.Y)-1])
			for j := len(t.Cases.Y) - 2; j >= 0; j-- {
				e = fmt.Sprintf("(ite (= %s %d) %s %s)", value(t.Cases.Var), j, number(t.Cases.Y[j]), e)
			}
			ks = append(ks, isKnown(t.Cases.Var))
		case t.First != nil:
			last := len(t.First.Alternatives) - 1
			x, k := sum(t.First.Alternatives[last])
			for j := last - 1; j >= 0; j-- {
				y, ky := sum(t.First.Alternatives[j])
				x, k = fmt.Sprintf("(ite %s %s %s)", ky, y, x), fmt.Sprintf("(or %s %s)", ky, k)
			}
			e = x
			ks = append(ks, k)
		default:
			e = value(t.Var)
			ks = append(ks, isKnown(t.Var))
		}
		parts = append(parts, fmt.Sprintf("(* %s %s)", number(t.Coef), e))
	}
	return "(+ 0.0 " + strings.Join(parts, " ") + ")", "(and " + strings.Join(ks, " ") + ")"
}

func table(t *eval.Table) string {
	x := value(t.Var)
	e := number(t.Y[len(t.Y)-1])
	for i := len(t.X) - 2; i >= 0; i-- {
		slope := fmt.Sprintf("(/ (- %s %s) (- %s %s))", number(t.Y[i+1]), number(t.Y[i]), number(t.X[i+1]), number(t.X[i]))
		e = fmt.Sprintf("(ite (< %s %s) (+ %s (* %s (- %s %s))) %s)", x, number(t.X[i+1]), number(t.Y[i]), slope, x, number(t.X[i]), e)
	}
	return fmt.Sprintf("(ite (< %s %s) %s %s)", x, number(t.X[0]), number(t.Y[0]), e)
}

// atom writes when an atom is true and when it is false; where it is neither it
// cannot be known.
func atom(a *eval.Atom) (yes, no string) {
	switch a.Kind {
	case eval.KnownIs:
		return isKnown(a.Var), "(not " + isKnown(a.Var) + ")"
	case eval.DoneIs:
		return fmt.Sprintf("d%d", a.Step), fmt.Sprintf("(not d%d)", a.Step)
	case eval.OneOf:
		in := "false"
		for i := range a.Var.Choices {
			if a.Set&(1<<uint(i)) != 0 {
				in = fmt.Sprintf("(or (= %s %d) %s)", value(a.Var), i, in)
			}
		}
		return fmt.Sprintf("(and %s %s)", isKnown(a.Var), in), fmt.Sprintf("(and %s (not %s))", isKnown(a.Var), in)
	}
	e, k := sum(a.Diff)
	op := map[eval.Op]string{eval.Less: "<", eval.LessEqual: "<=", eval.Equal: "="}[a.Op]
	return fmt.Sprintf("(and %s (%s %s 0.0))", k, op, e), fmt.Sprintf("(and %s (not (%s %s 0.0)))", k, op, e)
}

func guard(p *eval.Program, n *eval.Node) (yes, no string) {
	switch n.Kind {
	case eval.Always:
		return "true", "false"
	case eval.Leaf:
		return atom(p.Atoms[n.Atom])
	case eval.Not:
		yes, no := guard(p, n.Kids[0])
		return no, yes
	}
	if n.Of != nil {
		return ofExtreme(p, n.Of)
	}
	var ys, ns []string
	for _, k := range n.Kids {
		y, x := guard(p, k)
		ys, ns = append(ys, y), append(ns, x)
	}
	all, some := strings.Join(ys, " "), strings.Join(ns, " ")
	if n.Kind == eval.And {
		return "(and " + all + ")", "(or " + some + ")"
	}
	return "(or " + all + ")", "(and " + some + ")"
}

// ofExtreme writes the comparison of the highest, the lowest or the spread of readings as
// its author meant it, not as the atoms that it is made of.
func ofExtreme(p *eval.Program, g *eval.Group) (yes, no string) {
	a := p.Atoms[g.Atoms[0]]
	other := a.Right
	if g.Right {
		other = a.Left
	}
	o, known := sum(other)
	for _, v := range g.Extreme.Vars {
		known += " " + isKnown(v)
	}
	best := func(op string) string {
		e := value(g.Extreme.Vars[0])
		for _, v := range g.Extreme.Vars[1:] {
			e = fmt.Sprintf("(ite (%s %s %s) %s %s)", op, value(v), e, value(v), e)
		}
		return e
	}
	e := map[string]string{"highest": best(">"), "lowest": best("<"), "spread": fmt.Sprintf("(- %s %s)", best(">"), best("<"))}[g.Extreme.Func]
	holds := []string{e, o}
	if g.Right {
		holds = []string{o, e}
	}
	op := map[eval.Op]string{eval.Less: "<", eval.LessEqual: "<="}[a.Op]
	is := fmt.Sprintf("(%s %s %s)", op, holds[0], holds[1])
	return fmt.Sprintf("(and %s %s)", known, is), fmt.Sprintf("(and %s (not %s))", known, is)
}

// step asks the three questions of one step.
func (q *smt) step(s *engine.Step, missing bool) {
	p := s.Program()
	fmt.Fprintf(&q.b, "(push)\n")
	seen := map[int]bool{}
	done := map[int]bool{}
	for _, a := range p.Atoms {
		if a.Kind == eval.DoneIs && !done[a.Step] {
			done[a.Step] = true
			fmt.Fprintf(&q.b, "(declare-const d%d Bool)\n", a.Step)
		}
		for _, v := range a.Vars() {
			if !seen[v.Slot] {
				seen[v.Slot] = true
				q.declare(v, missing)
			}
		}
	}
	var ys, ns []string
	for _, b := range s.Branches {
		y, n := "true", "false"
		if b.Guard != nil {
			y, n = guard(p, b.Guard.Root)
		}
		ys, ns = append(ys, y), append(ns, n)
	}
	q.ask("(and true " + strings.Join(ns, " ") + ")")
	var both []string
	for i := range ys {
		for j := i + 1; j < len(ys); j++ {
			both = append(both, "(and "+ys[i]+" "+ys[j]+")")
		}
	}
	q.ask("(or false " + strings.Join(both, " ") + ")")
	taken := "true"
	if s.Unable != nil {
		for _, f := range s.Fields() {
			if seen[f.Reading.Index] {
				taken += fmt.Sprintf(" k%d", f.Reading.Index)
			}
		}
	}
	q.ask("(and " + taken + " (not (or " + strings.Join(ys, " ") + ")) (not (and true " + strings.Join(ns, " ") + ")))")
	fmt.Fprintf(&q.b, "(pop)\n")
	q.steps++
}

func (q *smt) declare(v *eval.Var, missing bool) {
	fmt.Fprintf(&q.b, "(declare-const %s Bool)\n", isKnown(v))
	if !missing {
		fmt.Fprintf(&q.b, "(assert %s)\n", isKnown(v))
	}
	if v.Kind == eval.Number {
		fmt.Fprintf(&q.b, "(declare-const %s Real)\n(assert (and (<= %s %s) (<= %s %s)))\n", value(v), number(v.Span[0]), value(v), value(v), number(v.Span[1]))
		return
	}
	fmt.Fprintf(&q.b, "(declare-const %s Int)\n(assert (and (<= 0 %s) (< %s %d)))\n", value(v), value(v), value(v), len(v.Choices))
}

func (q *smt) ask(formula string) {
	fmt.Fprintf(&q.b, "(push)\n(assert %s)\n(check-sat)\n(pop)\n", formula)
}

// answers runs z3 over all questions: sat or unsat, three for each step.
func (q *smt) answers(t *testing.T, z3 string) []bool {
	t.Helper()
	cmd := exec.Command(z3, "-in")
	cmd.Stdin = strings.NewReader(q.b.String())
	out, err := cmd.Output()
	require.NoError(t, err, "%.500s", out)
	var sat []bool
	for s := bufio.NewScanner(strings.NewReader(string(out))); s.Scan(); {
		require.Contains(t, []string{"sat", "unsat"}, s.Text(), "z3 must decide every question")
		sat = append(sat, s.Text() == "sat")
	}
	require.Len(t, sat, 3*q.steps)
	return sat
}

// agree compares the prover with z3 on every step of some trees.
func agree(t *testing.T, z3 string, all []*engine.Tree, missing bool) (steps int, found [3]int) {
	t.Helper()
	var q smt
	for _, tree := range all {
		for _, s := range tree.Steps {
			q.step(s, missing)
		}
	}
	sat := q.answers(t, z3)
	for _, tree := range all {
		verdicts, err := alone(tree, missing)
		require.NoError(t, err)
		for i, s := range tree.Steps {
			v := verdicts[i]
			require.True(t, v.decided, "%s, step %q\n%s", tree.Name, s.ID, branchTexts(s))
			require.Equal(t, [3]bool(sat[:3]), [3]bool{v.gap, v.overlap, v.unknown}, "%s, step %q: gap, overlap, not known; z3 first (%s)\n%s", tree.Name, s.ID, v.witness, branchTexts(s))
			for k, yes := range sat[:3] {
				if yes {
					found[k]++
				}
			}
			sat = sat[3:]
			steps++
		}
	}
	return steps, found
}

// verdictAlone is what one step's branches come to taken alone: every answer inside
// the spans may be given, whatever the way.
type verdictAlone struct {
	gap, overlap, unknown bool
	decided               bool
	witness               Witness
}

// alone proves the branches of each step of a tree with no regard to the ways
// that lead to it. With missing, any reading may also be not known. The verdicts
// are in the order of the steps.
func alone(t *engine.Tree, missing bool) ([]verdictAlone, error) {
	m, err := newModel(t)
	if err != nil {
		return nil, err
	}
	out := make([]verdictAlone, len(t.Steps))
	for i, s := range t.Steps {
		out[i] = m.alone(s, missing)
	}
	return out, nil
}

func (m *model) alone(s *engine.Step, missing bool) verdictAlone {
	g := m.branchesOf(s)
	st := &state{}
	for slot, ax := range m.axes {
		d := ax.full
		if missing {
			d.modes |= passed
		}
		st.set(m, slot, d)
	}
	for i := range m.doneN {
		st.set(m, len(m.axes)+i, truth(no|yes))
	}
	p, whole := m.problemFor(st, g.refs)
	v := g.prove(p, whole)
	out := verdictAlone{gap: v.gap != nil, overlap: v.overlap != nil, unknown: v.missing != nil, decided: v.err == nil}
	for _, b := range []box{v.missing, v.overlap, v.gap} {
		if b != nil {
			out.witness = p.witness(b, whole)
		}
	}
	return out
}

func branchTexts(s *engine.Step) string {
	var b strings.Builder
	for _, br := range s.Branches {
		fmt.Fprintf(&b, "  %s\n", br.Text)
	}
	return b.String()
}

func TestProverAgreesWithZ3OnShippedTrees(t *testing.T) {
	z3 := z3Path(t)
	lib := shipped(t)
	for _, missing := range []bool{false, true} {
		steps, found := agree(t, z3, lib.Trees(), missing)
		require.Positive(t, steps)
		t.Logf("%d steps of the shipped trees, readings missing %v: %d gaps, %d overlaps, %d not known, taken alone", steps, missing, found[0], found[1], found[2])
	}
}

const z3Shared = `shared: random
readings:
  a: {ask: A, short: ra, unit: V, span: [0, 18]}
  b: {ask: B, short: rb, unit: V, span: [0, 18]}
  c: {ask: C, short: rc, unit: V, span: [-2, 18]}
  e: {ask: E, short: re, unit: V, span: [0, 12.6]}
  w: {ask: W, short: rw, choices: [red, green, blue]}
  x: {ask: X, short: rx, choices: [one, two]}
  v: {ask: V, short: rv, yes_no: true}
limits:
  l1: {is: 12.4 V, source: definition}
  l2: {is: 12.1 V, source: definition}
  l3: {is: 0.3 V, source: definition}
  l4: {is: 12.6 V, source: definition}
  twice: {is: 2, source: definition}
  third: {is: 0.3, source: definition}
  tab: {table: {over: a, points: [[1, 8.5], [4, 8.9], [12.4, 9.6]], outside: hold_end}, unit: V, source: definition}
  back: {table: {over: b, points: [[0, 12.6], [6, 0.3]], outside: hold_end}, unit: V, source: definition}
  word: {by: w, cases: {red: 12.4 V, green: 12.45 V, blue: 12.4 V}, source: definition}
values:
  sum: {is: a + b - limits.third * c, unit: V}
  first: {first_known: [c, limits.twice * b], unit: V}
  apart: {is: "spread(a, e)", unit: V}
findings:
  f1: {title: F1, action: one}
`

// listGuard writes a guard out of everything the language has; one comparison in extremes is
// of the highest, the lowest or the spread of readings, none where that is 0.
func listGuard(r *rand.Rand, depth, extremes int) string {
	terms := []string{"a", "b", "c", "e", "sum", "first", "limits.l1", "limits.l2", "limits.l3", "limits.l4", "limits.tab", "limits.back", "limits.word",
		"a - b", "a + b - c", "limits.twice * b", "a - limits.tab", "c - limits.third * a + e", "limits.l1 - limits.l2", "limits.twice * (a - e)"}
	words := []string{`w == "red"`, `w != "blue"`, `w in ["red", "blue"]`, "v", "not v", "known(c)", "not known(x)", `x == "one"`, "done(s0)"}
	switch {
	case depth > 0 && r.IntN(4) > 0:
		g := "(" + listGuard(r, depth-1, extremes) + []string{" and ", " or "}[r.IntN(2)] + listGuard(r, depth-1, extremes) + ")"
		if r.IntN(5) == 0 {
			return "not " + g
		}
		return g
	case r.IntN(3) == 0:
		return words[r.IntN(len(words))]
	}
	op, other := []string{" < ", " <= ", " > ", " >= "}[r.IntN(4)], terms[r.IntN(len(terms))]
	if extremes > 0 && r.IntN(extremes) == 0 {
		of := []string{"highest(a, b, e)", "lowest(a, c)", "spread(b, c, e)", "apart"}[r.IntN(4)]
		if r.IntN(2) == 0 {
			return other + op + of
		}
		return of + op + other
	}
	return terms[r.IntN(len(terms))] + op + other
}

// listBranches is a list of branches, often made sound by splitting.
func listBranches(r *rand.Rand, extremes int) []string {
	list := []string{listGuard(r, 2, extremes)}
	if r.IntN(2) == 0 {
		list = append(list, "not ("+list[0]+")")
		for range r.IntN(4) {
			i := r.IntN(len(list))
			g := listGuard(r, 1, extremes)
			list, list[i] = append(list, list[i]+" and not ("+g+")"), list[i]+" and "+g
		}
		return list
	}
	for range 1 + r.IntN(4) {
		list = append(list, listGuard(r, 2, extremes))
	}
	return list
}

// listTree is a tree whose steps have random branches that all lead on.
func listTree(t *testing.T, r *rand.Rand, n, extremes int) *engine.Tree {
	t.Helper()
	var b strings.Builder
	b.WriteString("tree: lists\ntitle: Random lists\nedition: 1\nuse: [random]\nbegin: s0\nsteps:\n")
	for i := range n {
		to := fmt.Sprintf("s%d", i+1)
		if i == n-1 {
			to = "f1"
		}
		fmt.Fprintf(&b, "  s%d:\n    kind: inspect\n    title: S\n    take: [a, b, c, e, w, x, v]\n    branches:\n", i)
		for _, g := range listBranches(r, extremes) {
			fmt.Fprintf(&b, "      - {if: '%s', to: %s}\n", g, to)
		}
	}
	lib, faults := engine.Load([]engine.Source{{Name: "shared.yaml", Data: []byte(z3Shared)}, {Name: "tree.yaml", Data: []byte(b.String())}})
	var out strings.Builder
	faults.Print(&out)
	require.Len(t, lib.Trees(), 1, out.String())
	return lib.Trees()[0]
}

func TestProverAgreesWithZ3OnRandomLists(t *testing.T) { agreeOnLists(t, 20, 0) }

func TestProverAgreesWithZ3OnExtremes(t *testing.T) { agreeOnLists(t, 2, 4) }

// agreeOnLists compares the prover with z3 on rounds of 100 random lists.
func agreeOnLists(t *testing.T, rounds, extremes int) {
	z3 := z3Path(t)
	r := rand.New(rand.NewPCG(2026, 11))
	var all [3]int
	total := 0
	for round := range rounds {
		steps, found := agree(t, z3, []*engine.Tree{listTree(t, r, 100, extremes)}, round%2 == 1)
		total += steps
		for k := range all {
			all[k] += found[k]
		}
	}
	require.Equal(t, 100*rounds, total)
	for _, n := range all {
		require.Greater(t, n, 5*rounds, "each kind of fault must turn up often: %v", all)
	}
	t.Logf("%d random lists, three questions each: %d gaps, %d overlaps, %d not known", total, all[0], all[1], all[2])
}
