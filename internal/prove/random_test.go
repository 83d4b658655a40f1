package prove

import (
	"fmt"
	"math/bits"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// randomShared is what the random steps below are made of: numbers of one unit
// that can be compared and added, words, and limits of every sort.
const randomShared = `shared: random
undone: [fuse_out, lead_off]
readings:
  a: {ask: A, short: ra, unit: V, span: [0, 4]}
  b: {ask: B, short: rb, unit: V, span: [0, 4]}
  c: {ask: C, short: rc, unit: V, span: [-2, 4], optional: true}
  w: {ask: W, short: rw, choices: [red, green, blue]}
  v: {ask: V, short: rv, yes_no: true}
  z: {ask: Z, short: rz, choices: [one, two], optional: true}
  u: {ask: U, short: ru, choices: [up, down, level], unsure: true}
  k: {ask: K, short: rk, choices: [old, new], fact: true}
  m: {ask: M, short: rm, choices: [near, far, high], several: true}
limits:
  l1: {is: 1 V, safer: below, source: definition}
  l2: {is: 2 V, safer: above, source: definition}
  l3: {is: 2.5 V, source: definition}
  half: {is: 0.5, source: definition}
  third: {is: 3, source: definition}
  tab: {table: {over: a, points: [[1, 1], [2, 3], [3, 2.5]], outside: hold_end}, unit: V, source: definition}
  word: {by: w, cases: {red: 1 V, green: 2 V, blue: 1 V}, source: definition}
values:
  sum: {is: a + b, unit: V}
  first: {first_known: [c, limits.half * b], unit: V}
  apart: {is: "spread(a, b)", unit: V}
findings:
  f1: {title: F1, action: one}
  f2: {title: F2, action: two}
  f3: {title: F3, action: three}
  f4: {title: F4, action: four}
`

var terms = []string{"a", "b", "c", "sum", "first", "limits.l1", "limits.l2", "limits.l3", "limits.tab", "limits.word",
	"limits.half * a", "a - b", "a + b - c", "limits.third * b", "a - limits.tab", "b - limits.half * a"}

var atoms = []string{`w == "red"`, `w != "blue"`, `w in ["red", "blue"]`, "v", "not v", "known(c)", "not known(z)", `z == "one"`, `"near" in m`, `m == "none"`, `m in ["far", "near and high"]`}

// randomGuard is a guard of some depth.
func randomGuard(t *rapid.T, depth int) string {
	if depth == 0 || rapid.IntRange(0, 3).Draw(t, "leaf") == 0 {
		if rapid.Bool().Draw(t, "word") {
			return rapid.SampledFrom(atoms).Draw(t, "atom")
		}
		op := rapid.SampledFrom([]string{"<", "<=", ">", ">="}).Draw(t, "op")
		left := append([]string{"highest(a, b)", "lowest(a, b, c)", "spread(a, c)", "apart"}, terms...)
		return rapid.SampledFrom(left).Draw(t, "left") + " " + op + " " + rapid.SampledFrom(terms).Draw(t, "right")
	}
	join := rapid.SampledFrom([]string{" and ", " or "}).Draw(t, "join")
	g := "(" + randomGuard(t, depth-1) + join + randomGuard(t, depth-1) + ")"
	if rapid.IntRange(0, 4).Draw(t, "not") == 0 {
		return "not " + g
	}
	return g
}

// randomBranches is a list of guards. Some are made by splitting one case in two,
// so that sound lists turn up as well.
func randomBranches(t *rapid.T) []string {
	list := []string{randomGuard(t, 2)}
	if rapid.Bool().Draw(t, "split") {
		list = append(list, "not ("+list[0]+")")
		for range rapid.IntRange(0, 2).Draw(t, "splits") {
			i := rapid.IntRange(0, len(list)-1).Draw(t, "which")
			g := randomGuard(t, 1)
			list = append(list, list[i]+" and not ("+g+")")
			list[i] += " and " + g
		}
		return list
	}
	for range rapid.IntRange(1, 3).Draw(t, "more") {
		list = append(list, randomGuard(t, 2))
	}
	return list
}

// randomTree is a tree of one step with those branches.
func randomTree(t require.TestingT, guards []string) *engine.Tree {
	var b strings.Builder
	b.WriteString("tree: random-tree\ntitle: Random\nedition: 1\nuse: [random]\nbegin: s\nsteps:\n  s:\n    kind: inspect\n    title: S\n    together: true\n    take: [a, b, c, w, v, z, m]\n    branches:\n")
	for i, g := range guards {
		fmt.Fprintf(&b, "      - {if: '%s', to: f%d}\n", g, i%4+1)
	}
	lib, faults := engine.Load([]engine.Source{{Name: "shared.yaml", Data: []byte(randomShared)}, {Name: "tree.yaml", Data: []byte(b.String())}})
	if len(lib.Trees()) == 0 {
		var out strings.Builder
		faults.Print(&out)
		require.FailNow(t, out.String())
	}
	return lib.Trees()[0]
}

// holding is how many branches hold for exact answers, and whether one asks after
// what is not known.
func holding(s *engine.Step, env *eval.Env) (n int, unknown bool) {
	trace := make([]eval.Trace, len(s.Program().Atoms))
	s.Program().Run(env, trace)
	for _, b := range s.Branches {
		switch b.Guard.Verdict(trace) {
		case eval.True:
			n++
		case eval.Unknown:
			unknown = true
		}
	}
	return n, unknown
}

// values puts one point of a box into an environment.
func (p *problem) values(b box) *eval.Env {
	env := &eval.Env{Values: make([]eval.Value, p.m.tree.Slots()), Done: make([]bool, len(p.m.tree.Steps))}
	numbers := p.numbersIn(b)
	for slot, ax := range p.m.axes {
		d := p.rangeOf(b, slot)
		switch {
		case d.modes&known == 0:
			env.Values[slot] = eval.Value{State: eval.Skipped}
		case !ax.number():
			env.Values[slot] = eval.One(bits.TrailingZeros64(d.set))
		case numbers[slot] != nil:
			env.Values[slot] = eval.Exact(nearestFloat(numbers[slot]))
		default:
			env.Values[slot] = eval.Exact(nearestFloat(ax.candidates(d)[0]))
		}
	}
	return env
}

// TestWitnessesAndSamplesAgree holds the prover to the evaluation that walks use:
// every witness shows what it is said to show, and where the prover finds nothing
// no answer at the limits or beside them shows anything either.
func TestWitnessesAndSamplesAgree(t *testing.T) {
	sound, gaps, overlaps, blinds := 0, 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		guards := randomBranches(t)
		tree := randomTree(t, guards)
		m, err := newModel(tree)
		require.NoError(t, err)
		s := tree.Steps[0]
		st := &state{}
		for slot, ax := range m.axes {
			d := ax.full
			if r := tree.Readings[slot]; r.Optional {
				d.modes |= passed
			}
			st.set(m, slot, d)
		}
		g := m.branchesOf(s)
		p, whole := m.problemFor(st, g.refs)
		v := g.prove(p, whole)
		require.NoError(t, v.err)
		if v.gap != nil {
			gaps++
			n, unknown := holding(s, p.values(v.gap))
			require.Zero(t, n, "gap %s of %q", p.witness(v.gap, whole), guards)
			require.False(t, unknown)
		}
		if v.overlap != nil {
			overlaps++
			n, _ := holding(s, p.values(v.overlap))
			require.Greater(t, n, 1, "overlap %s of %q", p.witness(v.overlap, whole), guards)
		}
		if v.missing != nil {
			blinds++
			n, unknown := holding(s, p.values(v.missing))
			require.Zero(t, n)
			require.True(t, unknown, "not known %s of %q", p.witness(v.missing, whole), guards)
		}
		if v.gap == nil && v.overlap == nil && v.missing == nil {
			sound++
		}
		for range 60 {
			env := m.anywhere(t, p, whole)
			n, unknown := holding(s, env)
			switch {
			case n > 1:
				require.NotNil(t, v.overlap, "overlap of %q", guards)
			case n == 0 && unknown:
				require.NotNil(t, v.missing, "not known in %q", guards)
			case n == 0:
				require.NotNil(t, v.gap, "gap of %q", guards)
			}
		}
	})
	require.Positive(t, sound)
	require.Positive(t, gaps)
	require.Positive(t, overlaps)
	require.Positive(t, blinds)
}

// anywhere is a random point on the pieces of all axes.
func (m *model) anywhere(t *rapid.T, p *problem, whole box) *eval.Env {
	env := &eval.Env{Values: make([]eval.Value, m.tree.Slots()), Done: make([]bool, len(m.tree.Steps))}
	for slot, ax := range m.axes {
		switch r := m.tree.Readings[slot]; {
		case r.Optional && rapid.IntRange(0, 3).Draw(t, "skip") == 0:
			env.Values[slot] = eval.Value{State: eval.Skipped}
		case !ax.number():
			env.Values[slot] = eval.One(rapid.IntRange(0, len(ax.v.Choices)-1).Draw(t, ax.v.ID))
		default:
			env.Values[slot] = eval.Exact(ax.typical(int32(rapid.IntRange(0, int(ax.full.hi)).Draw(t, ax.v.ID))))
		}
	}
	return env
}
