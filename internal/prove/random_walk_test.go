package prove

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// randomWays is a tree of a few steps of every kind that take and decide at random,
// each leading on to later ones. A hazard rule guards the charges.
func randomWays(t testing.TB, r *rand.Rand) *engine.Tree {
	t.Helper()
	const n = 6
	names := []string{"a", "b", "c", "w", "v", "z"}
	var b strings.Builder
	b.WriteString("tree: ways\ntitle: Ways\nedition: 1\nuse: [random]\nbegin: s0\n")
	b.WriteString("before:\n  - {id: red, kinds: [charge], holds: 'w != \"blue\" or a < limits.l2', else: f4, why: So.}\nsteps:\n")
	for i := range n {
		kind := []string{"measure", "inspect", "charge", "retest", "decide", "wait"}[r.IntN(6)]
		take := slices.Clone(names)
		r.Shuffle(len(take), func(i, j int) { take[i], take[j] = take[j], take[i] })
		take = take[:r.IntN(5)]
		fmt.Fprintf(&b, "  s%d:\n    kind: %s\n    title: S\n    take: [%s]\n", i, kind, strings.Join(take, ", "))
		if r.IntN(3) == 0 {
			b.WriteString("    together: true\n")
		}
		if r.IntN(3) == 0 {
			fmt.Fprintf(&b, "    %s: [%s]\n", []string{"leaves", "restores"}[r.IntN(2)], []string{"fuse_out", "lead_off"}[r.IntN(2)])
		}
		next := func() string {
			if k := i + 1 + r.IntN(3); k < n {
				return fmt.Sprintf("s%d", k)
			}
			return fmt.Sprintf("f%d", 1+r.IntN(3))
		}
		first := "f1"
		if i+1 < n {
			first = fmt.Sprintf("s%d", i+1)
		}
		if r.IntN(3) == 0 {
			fmt.Fprintf(&b, "    unable: {to: %s}\n", next())
		}
		g := guardOf(r, take)
		switch r.IntN(4) {
		case 0:
			fmt.Fprintf(&b, "    to: %s\n", first)
		case 1:
			fmt.Fprintf(&b, "    branches:\n      - {if: '%s', to: %s}\n      - {otherwise: %s}\n", g, first, next())
		case 2:
			fmt.Fprintf(&b, "    branches:\n      - {if: '%s', to: %s}\n      - {if: 'not (%s)', to: %s}\n", g, first, g, next())
		default:
			fmt.Fprintf(&b, "    branches:\n      - {if: '%s', to: %s}\n      - {if: '%s', to: %s}\n      - {if: 'not (%s)', to: %s}\n", g, first, guardOf(r, take), next(), g, next())
		}
	}
	lib, faults := engine.Load([]engine.Source{{Name: "shared.yaml", Data: []byte(randomShared)}, {Name: "tree.yaml", Data: []byte(b.String())}})
	var out strings.Builder
	faults.Print(&out)
	require.Len(t, lib.Trees(), 1, "%s\n%s", out.String(), b.String())
	return lib.Trees()[0]
}

// guardOf is a guard mostly on what the step takes itself, so that many steps are
// sound.
func guardOf(r *rand.Rand, take []string) string {
	by := map[string][]string{
		"a": {"a < limits.l1", "a >= limits.tab"}, "b": {"b > limits.l2", "b <= limits.half * b"}, "c": {"known(c) and c < limits.l1", "c > limits.l2"},
		"w": {`w == "red"`, `w in ["red", "green"]`}, "v": {"v", "not v"}, "z": {`known(z) and z == "one"`, "known(z)"},
	}
	part := func() string {
		if len(take) > 0 && r.IntN(5) > 0 {
			list := by[take[r.IntN(len(take))]]
			return list[r.IntN(len(list))]
		}
		return []string{"a < limits.l3", "b < a", "first < limits.l2", "done(s0)", `w != "green"`, "known(c)", "c < limits.word"}[r.IntN(7)]
	}
	g := part()
	for range r.IntN(2) {
		g = "(" + g + []string{" and ", " or "}[r.IntN(2)] + part() + ")"
	}
	return g
}

// TestStuckRandomTreesAreForetold holds the proofs along ways to walks: on random
// trees no walk is stuck at a step that the prover has not named, and none ends with
// something open that it has not foretold.
func TestStuckRandomTreesAreForetold(t *testing.T) {
	trees, walks := 60, 30
	if testing.Short() {
		trees = 20
	}
	r := rand.New(rand.NewPCG(8, 8))
	stuck, sound, said, shown, open := 0, 0, 0, 0, 0
	for range trees {
		tree := randomWays(t, r)
		m, err := newModel(tree)
		require.NoError(t, err)
		named, clean := namedSteps(tree)
		if clean {
			sound++
		}
		f := newFlow(m)
		f.run(&state{})
		hit := map[int]bool{}
		for i := range walks {
			s, end, told := wander(t, r, tree, m, i%2 == 1, nil)
			if s == nil {
				for _, word := range end.PutBack {
					open++
					require.Contains(t, f.left[word], end.Finding, "%s is open at %s\n%s", word, end.Finding.ID, strings.Join(told, "\n"))
				}
				continue
			}
			stuck++
			hit[s.Place.Line] = true
			require.True(t, named[s.Place.Line], "stuck at %s, not named; named lines %v\n%s", s.ID, named, strings.Join(told, "\n"))
		}
		said, shown = said+len(named), shown+len(hit)
	}
	require.Positive(t, stuck, "some of these trees must go wrong")
	require.Positive(t, sound, "and some must not")
	require.Positive(t, open, "and some leave something open")
	require.Greater(t, 2*shown, said, "most of what is said is shown by some walk")
	t.Logf("%d trees, %d of them sound, %d walks stuck; of %d steps named walks were stuck at %d", trees, sound, stuck, said, shown)
}

// namedSteps gives the lines of the steps that the prover finds fault with, those
// of their branches included.
func namedSteps(tree *engine.Tree) (map[int]bool, bool) {
	c := newChecker(&engine.Library{})
	c.where = newPlaces(nil)
	c.prove(tree)
	named := map[int]bool{}
	for _, x := range c.faults.Sorted() {
		if !slices.Contains([]string{"gap", "overlap", "not-taken", "stale", "stale-after-pause", "unknown-reading"}, x.Rule) {
			continue
		}
		for _, s := range tree.Steps {
			if s.Place == x.Place || slices.ContainsFunc(s.Branches, func(b *engine.Branch) bool { return b.Place == x.Place }) {
				named[s.Place.Line] = true
			}
		}
	}
	return named, len(named) == 0
}
