package prove

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// waysText is a tree of a few steps of every kind that take and decide at
// random, each leading on to later ones. A hazard rule guards the charges, limits and
// steps name better tests, findings rest on what is taken or done, and one leads on to another round.
func waysText(r *rand.Rand) string {
	n := 3 + r.IntN(4)
	names := []string{"a", "b", "c", "w", "v", "z", "u", "k", "m"}
	later := func(i int) string { return fmt.Sprintf("s%d", i+1+r.IntN(n-i-1)) }
	var b strings.Builder
	b.WriteString("tree: ways\ntitle: Ways\nedition: 1\nuse: [random]\nbegin: s0\n")
	b.WriteString("before:\n  - {id: red, kinds: [charge], holds: 'w != \"blue\" or a < limits.l2', else: f4, why: So.}\n")
	fmt.Fprintf(&b, "limits:\n  l4: {is: 1.5 V, better: s%d, source: definition}\n", 2+r.IntN(n-2))
	fmt.Fprintf(&b, "findings:\n  f5: {title: F5, action: five, prove_by: %s, rests_on: [%s], then: {tree: ways, keep: facts}}\n  f6: {title: F6, action: six, prove_by: s%d, rests_on: [{one_of: [%s, done(s%d)]}]}\nsteps:\n",
		names[r.IntN(3)], names[r.IntN(len(names))], r.IntN(n), names[r.IntN(len(names))], r.IntN(n))
	likely := ""
	if r.IntN(2) == 0 {
		likely = ", likely: true"
	}
	for i := range n {
		kind := []string{"measure", "inspect", "charge", "retest", "decide", "wait"}[r.IntN(6)]
		take := slices.Clone(names)
		r.Shuffle(len(take), func(i, j int) { take[i], take[j] = take[j], take[i] })
		take = take[:r.IntN(5)]
		if kind == "decide" && len(take) > 0 {
			kind = "inspect"
		}
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
			return fmt.Sprintf("f%d", 1+r.IntN(6))
		}
		first := "f1"
		if i+1 < n {
			first = fmt.Sprintf("s%d", i+1)
		}
		if r.IntN(3) == 0 {
			fmt.Fprintf(&b, "    unable: {to: %s%s}\n", next(), likely)
		}
		g, h := guardOf(r, take, i), guardOf(r, take, i)
		if strings.Contains(g+h, "u ") {
			fmt.Fprintf(&b, "    unsure: {to: %s}\n", next())
		}
		if i+1 < n && r.IntN(3) == 0 {
			fmt.Fprintf(&b, "    better: %s\n", later(i))
		}
		switch r.IntN(4) {
		case 0:
			fmt.Fprintf(&b, "    to: %s\n", first)
		case 1:
			fmt.Fprintf(&b, "    branches:\n      - {if: '%s', to: %s}\n      - {otherwise: %s%s}\n", g, first, next(), likely)
		case 2:
			fmt.Fprintf(&b, "    branches:\n      - {if: '%s', to: %s}\n      - {if: 'not (%s)', to: %s}\n", g, first, g, next())
		default:
			fmt.Fprintf(&b, "    branches:\n      - {if: '%s', to: %s}\n      - {if: '%s', to: %s}\n      - {if: 'not (%s)', to: %s}\n", g, first, h, next(), g, next())
		}
	}
	return b.String()
}

// randomWays is such a tree that loads: by chance nothing leads to a step, a better test
// leads back, or no step takes what is to prove a finding.
func randomWays(t testing.TB, r *rand.Rand) *engine.Library {
	t.Helper()
	for {
		text := waysText(r)
		lib, faults := engine.Load([]engine.Source{{Name: "shared.yaml", Data: []byte(randomShared)}, {Name: "tree.yaml", Data: []byte(text)}})
		for _, x := range faults.Sorted() {
			require.Contains(t, []string{"unreachable", "cycle", "unknown-name"}, x.Rule, "%s\n%s", x.Message, text)
		}
		if len(lib.Trees()) > 0 {
			return lib
		}
	}
}

// guardOf is a guard mostly on what step i takes itself, so that many steps are sound.
func guardOf(r *rand.Rand, take []string, i int) string {
	by := map[string][]string{
		"a": {"a < limits.l1", "a >= limits.tab"}, "b": {"b > limits.l2", "b <= limits.half * b"}, "c": {"known(c) and c < limits.l1", "c > limits.l2"},
		"w": {`w == "red"`, `w in ["red", "green"]`}, "v": {"v", "not v"}, "z": {`known(z) and z == "one"`, "known(z)"},
		"u": {`u == "up"`, `u != "level"`}, "k": {`k == "old"`}, "m": {`"near" in m`, `m == "none"`, `m != "near and far"`},
	}
	extremes := []string{"highest(a, b) < limits.l2", "lowest(a, b) >= limits.l1", "spread(a, b) > limits.l1", "apart <= limits.l2"}
	part := func() string {
		if slices.Contains(take, "a") && slices.Contains(take, "b") && r.IntN(3) == 0 {
			return extremes[r.IntN(len(extremes))]
		}
		if len(take) > 0 && r.IntN(5) > 0 {
			list := by[take[r.IntN(len(take))]]
			return list[r.IntN(len(list))]
		}
		list := []string{"a < limits.l3", "b < a", "first < limits.l2", "done(s0)", `w != "green"`, "known(c)", "c < limits.word", `u == "down"`, `k == "new"`, "highest(a, b, c) > limits.l3"}
		if i < 2 {
			list = append(list, "a < limits.l4", "b >= limits.l4") // its better test stands further on
		}
		return list[r.IntN(len(list))]
	}
	g := part()
	for range r.IntN(2) {
		g = "(" + g + []string{" and ", " or "}[r.IntN(2)] + part() + ")"
	}
	return g
}

// TestStuckRandomTreesAreForetold holds the proofs along ways to walks: on random
// trees no walk is stuck at a step that the prover has not named, and none ends with
// something open, or without what its finding rests on, that it has not foretold.
func TestStuckRandomTreesAreForetold(t *testing.T) {
	trees, walks := 200, 30
	if testing.Short() {
		trees = 80
	}
	r := rand.New(rand.NewPCG(8, 8))
	stuck, sound, said, shown, open, behind, bare := 0, 0, 0, 0, 0, 0, 0
	for range trees {
		lib := randomWays(t, r)
		tree := lib.Trees()[0]
		m, err := newModel(tree)
		require.NoError(t, err)
		named, clean := namedSteps(lib)
		if clean {
			sound++
		}
		f := newFlow(m)
		f.run(&state{})
		hit := map[int]bool{}
		for i := range walks {
			s, end, told := wander(t, r, tree, m, mood(i)&pauses, nil)
			if s == nil {
				for _, word := range end.PutBack {
					open++
					require.Contains(t, f.left[word], end.Finding, "%s is open at %s\n%s", word, end.Finding.ID, strings.Join(append(told, string(lib.Sources()[1].Data)), "\n"))
				}
				for _, x := range end.Missing {
					if mood(i)&pauses != 0 || strings.Contains(string(lib.Sources()[1].Data), "likely: true") {
						continue // a pause makes stale what was taken, and the author knows
					}
					bare++
					u := unread{x: end.Finding, name: x.Evidence.String()}
					require.Contains(t, f.unread, u.key(), "%s\n%s\n%s", x.Text, strings.Join(told, "\n"), lib.Sources()[1].Data)
				}
				continue
			}
			stuck++
			hit[s.Place.Line] = true
			if named[s.Place.Line] {
				continue
			}
			behind++ // what stands behind a fault is told when that is put right
			require.False(t, clean, "stuck at %s, not named; named lines %v\n%s", s.ID, named, strings.Join(told, "\n"))
		}
		said, shown = said+len(named), shown+len(hit)
	}
	require.Less(t, 20*behind, stuck, "nearly all are named")
	require.Positive(t, stuck, "some of these trees must go wrong")
	require.Positive(t, sound, "and some must not")
	require.Positive(t, open, "and some leave something open")
	require.Positive(t, bare, "and some end without what they rest on")
	require.Greater(t, 2*shown, said, "much of what is said is shown by some walk")
	t.Logf("%d trees, %d of them sound, %d walks stuck; of %d steps named walks were stuck at %d; %d times a finding lacked what it rests on", trees, sound, stuck, said, shown, bare)
}

// stuckRules are those that say where a walk gets stuck, or that nobody comes there.
var stuckRules = []string{"gap", "overlap", "not-taken", "stale", "stale-after-pause", "unknown-reading", "undecided", "dead-step", "dead-branch"}

// suspicious reports whether some step has something to refute: then the tree is not
// called sound, whatever the engine walks to.
func suspicious(m *model) bool {
	wrong := false
	f := newFlow(m)
	f.visit = func(_ *engine.Step, g *branches, st *state) {
		if wrong {
			return
		}
		p, whole := m.problemFor(st, g.refs)
		if !st.doubt {
			v := g.prove(p, whole)
			wrong = v.gap != nil || v.overlap != nil || v.missing != nil
		}
		wrong = wrong || g.proveInDoubt(p, whole).missing != nil
	}
	f.run(&state{})
	return wrong
}

// namedSteps gives the lines of the steps that the prover finds fault with, those
// of their branches included.
func namedSteps(lib *engine.Library) (map[int]bool, bool) {
	tree := lib.Trees()[0]
	named := map[int]bool{}
	for _, x := range Library(lib, nil, Options{}).Faults.Sorted() {
		if !slices.Contains(stuckRules, x.Rule) {
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

// TestSoundTreesHold is the oracle of the proofs: on random trees that are called sound,
// walks with doubts, "not sure", what cannot be done, skips, pauses, suspicions and rounds
// never get stuck, and no two branches are taken. DEADFLAT_SOUND_TREES says how many such
// trees are tried.
func TestSoundTreesHold(t *testing.T) {
	want, walks := 60, 40
	if n, err := strconv.Atoi(os.Getenv("DEADFLAT_SOUND_TREES")); err == nil {
		want = n
	}
	r := rand.New(rand.NewPCG(9, 9))
	tried, walked, failed := 0, 0, 0
	for sound := 0; sound < want; tried++ {
		lib := randomWays(t, r)
		tree := lib.Trees()[0]
		m, err := newModel(tree)
		require.NoError(t, err)
		if suspicious(m) {
			continue
		}
		if _, clean := namedSteps(lib); !clean {
			continue
		}
		sound++
		for i := range walks {
			walked++
			if s, _, told := wander(t, r, tree, m, mood(i), nil); s != nil {
				failed++
				t.Errorf("called sound, and stuck at %s\n%s\n%s", s.ID, strings.Join(told, "\n"), lib.Sources()[1].Data)
				break
			}
		}
		if failed > 3 {
			break
		}
	}
	t.Logf("%d sound trees of %d, %d walks, %d failures", want, tried, walked, failed)
}
