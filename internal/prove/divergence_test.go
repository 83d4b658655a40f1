package prove

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// onlyStep compares the first step of two small trees.
func onlyStep(old, now *engine.Tree) *Compared { return Differ(old, now)[0] }

// TestPartingsAndSamplesAgree holds the comparison of random pairs of branch lists
// to the evaluation that walks use: every witness takes the two ways it is said to
// take, and of answers at the limits and beside them none takes a pair that is not
// reported.
func TestPartingsAndSamplesAgree(t *testing.T) {
	same, parted, unsound, without := 0, 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		a := randomBranches(t)
		b := a
		switch rapid.IntRange(0, 3).Draw(t, "how") {
		case 0:
			b = randomBranches(t)
		case 1:
			b = append([]string(nil), a...)
			i := rapid.IntRange(0, len(b)-1).Draw(t, "which")
			b[i] = randomGuard(t, 1)
		case 2: // one edition has a branch for what is not known, the other at most a way on
			a, b = []string{"c < limits.l1", "c >= limits.l1"}, []string{"known(c) and c < limits.l1", "not known(c) or c >= limits.l1"}
		}
		old, now := randomTree(t, a), randomTree(t, b)
		for _, tree := range []*engine.Tree{old, now} {
			if rapid.Bool().Draw(t, "has a way on without a reading") {
				tree.Steps[0].Unable = &engine.Branch{To: tree.Steps[0].Branches[0].To, Place: tree.Steps[0].Place}
			}
		}
		c := onlyStep(old, now)
		require.Empty(t, c.Never)
		if c.Undecided != "" {
			require.Contains(t, c.Undecided, "two branches of the")
			unsound++
			return
		}
		if len(c.Divergences) == 0 {
			same++
		} else {
			parted++
		}
		j := jointOf(old, now)
		require.NoError(t, j.build())
		found := map[[2]string]bool{}
		for _, x := range c.Divergences {
			found[[2]string{wayID(x.Was), wayID(x.Is)}] = true
			was, i := j.wayFor(0, x.Shown)
			is, k := j.wayFor(1, x.Shown)
			require.False(t, i < 0 || k < 0, "%q\n%q: %v", a, b, x.Shown)
			require.True(t, was == x.Was, "%q: %v", a, x.Shown)
			require.True(t, is == x.Is, "%q: %v", b, x.Shown)
			require.False(t, was.leadsTo(is))
			if was.Branch == old.Steps[0].Unable && was.Branch != nil || is.Branch == now.Steps[0].Unable && is.Branch != nil {
				without++
			}
		}
		random := rand.New(rand.NewPCG(3, 4))
		for range 80 {
			at, _ := j.draw(random)
			was, i := j.wayFor(0, at)
			is, k := j.wayFor(1, at)
			if i < 0 || k < 0 || was.leadsTo(is) {
				continue
			}
			require.True(t, found[[2]string{wayID(was), wayID(is)}], "not reported: %v\n%q\n%q", at, a, b)
		}
	})
	require.Positive(t, same)
	require.Positive(t, parted)
	require.Positive(t, unsound)
	require.Positive(t, without)
}

func wayID(w Way) string {
	if w.Branch == nil {
		return ""
	}
	return w.Branch.Place.String()
}

func jointOf(old, now *engine.Tree) *product {
	a, b := old.Steps[0], now.Steps[0]
	j := &product{by: map[*eval.Var]*pairedVar{}, eds: [2]*edition{
		{tree: old, step: a, arrival: arriving(old).at[0], prog: a.Program()}, {tree: now, step: b, arrival: arriving(now).at[0], prog: b.Program()}}}
	j.gather()
	return j
}

// TestATreeIsProvedTheSameAsItself holds for random trees whatever is wrong with them.
func TestATreeIsProvedTheSameAsItself(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for range 40 {
		tree := randomWays(t, r).Trees()[0]
		for _, c := range Differ(tree, tree) {
			if c.Undecided != "" {
				require.Contains(t, c.Undecided, "two branches of the old edition")
			}
			require.Empty(t, c.Divergences)
			require.Empty(t, c.Notes)
		}
	}
}

// TestShippedTreesAreProvedTheSameAsThemselves leaves no step of theirs undecided.
func TestShippedTreesAreProvedTheSameAsThemselves(t *testing.T) {
	old, now := shipped(t), shipped(t)
	for _, tree := range old.Trees() {
		for _, c := range Differ(tree, now.Tree(tree.Name)) {
			require.Empty(t, c.Undecided)
			require.Empty(t, c.Never)
			require.Empty(t, c.Divergences)
			require.Empty(t, c.Notes)
		}
	}
}

// TestTheWorkOfAComparisonIsBounded: once it is spent the rest is left out, and not called
// the same.
func TestTheWorkOfAComparisonIsBounded(t *testing.T) {
	was := mostDiffer
	defer func() { mostDiffer = was }()
	lib := withCases(t, fullCases)
	mostDiffer = 0
	var left []bool
	for _, c := range Differ(lib.Tree("bands"), lib.Tree("bands")) {
		left = append(left, c.LeftOut)
	}
	require.Equal(t, []bool{false, true, true}, left, "two steps and a rule")
}
