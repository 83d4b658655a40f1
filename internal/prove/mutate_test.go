package prove

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/calc"
	"deadflat/internal/engine"
	"deadflat/internal/unit"
)

// TestATreeThatCallsAFunctionIsMutated: what is loaded anew for a change knows the
// functions of the trade as well. No limit of such a tree can be proved to matter, but its
// cases notice the change.
func TestATreeThatCallsAFunctionIsMutated(t *testing.T) {
	volt, _ := unit.Lookup("V")
	half := &calc.Function{Name: "half", Unit: volt, Params: []calc.Param{{Name: "of", Quantity: &calc.Quantity{Title: "voltage", Unit: "V", Hi: 18}}},
		Work: func(given calc.Args) (calc.Result, error) {
			r := given.Num("of")
			return calc.Result{Values: []calc.Value{{Name: "half", Unit: "V", Range: unit.Range{Lo: r.Lo / 2, Best: r.Best / 2, Hi: r.Hi / 2}}}}, nil
		}}
	files := append(shared(),
		engine.Source{Name: "calls.yaml", Data: []byte(`tree: calls
title: A function
edition: 1
use: [sample]
begin: look
values:
  half_rest: {is: half(rest), unit: V}
steps:
  look: {kind: measure, title: Look, together: true, take: [rest, load], by: load, bands: [{below: half_rest, to: flat_battery}, {to: good}]}
`)},
		engine.Source{Name: "bands.yaml", Data: []byte(bandsTree)},
		engine.Source{Name: "bands.cases.yaml", Data: []byte("cases: bands\nusual: {clamp: tight}\nlist:\n" + worked("low", "rest: 11 V", "flat_battery"))},
		engine.Source{Name: "calls.cases.yaml", Data: []byte("cases: calls\nlist:\n" + worked("low", "rest: 12 V, load: 5 V", "flat_battery"))})
	lib, faults := engine.Load(files, half)
	require.True(t, faults.Empty(), "%v", faults.Sorted())
	assert.Positive(t, Library(lib, []string{"calls"}, Options{Mutate: true}).Undecided)
	r := Library(lib, []string{"bands"}, Options{Mutate: true})
	assert.Positive(t, r.Trees[0].Cases.Mutants)
	assert.NotEmpty(t, slices.DeleteFunc(slices.Clone(r.Shared.Survivors), func(s string) bool { return !strings.Contains(s, "limits.flat") }),
		"one case at 11 V cannot notice a limit of 12 V that is moved")
}

// TestEveryKindOfAShippedHazardRuleIsNoticed takes each kind out of each hazard rule of the
// shipped trees: some case comes out otherwise.
func TestEveryKindOfAShippedHazardRuleIsNoticed(t *testing.T) {
	c := newChecker(shipped(t))
	var reports []TreeReport
	for _, x := range c.lib.Trees() {
		reports = append(reports, c.prove(x))
	}
	b := c.newBench(reports)
	require.Empty(t, b.failing)
	mutants := 0
	for file := range c.where.files {
		for _, m := range b.rules(file) {
			if strings.Contains(m.text, " without kind ") {
				mutants++
				assert.True(t, b.noticed(m), m.text)
			}
		}
	}
	assert.Positive(t, mutants)
}

// holesTree decides in two steps; the first leaves the second nothing under limits.flat, so
// that limits.low cannot tell. Nothing but a choice, and `known`, tells the others.
const holesTree = `tree: holes
title: Holes
edition: 1
use: [sample]
begin: look
limits:
  low: {is: 10 V, source: "common practice, no source"}
findings:
  joint: {title: Bad joint, action: clean}
  weak: {title: Weak, action: charge}
steps:
  look:
    kind: inspect
    title: The clamp
    take: [clamp, amps]
    together: true
    branches:
      - {if: 'clamp in ["loose", "burnt"] and known(amps)', to: joint}
      - {if: 'clamp in ["loose", "burnt"] and not known(amps)', to: weak}
      - {if: 'clamp == "tight"', to: read}
  read: {kind: measure, title: Rest voltage, take: [rest], by: rest, bands: [{below: limits.flat, to: flat_battery}, {to: again}]}
  again: {kind: decide, title: Again, by: rest, bands: [{below: limits.low, to: joint}, {below: limits.charged, to: weak}, {to: good}]}
`

func holes(t *testing.T, cases string, more ...engine.Source) *engine.Library {
	lib, faults := engine.Load(append(append(shared(), more...), engine.Source{Name: "holes.yaml", Data: []byte(holesTree)},
		engine.Source{Name: "holes.cases.yaml", Data: []byte("cases: holes\nusual: {clamp: tight}\nlist:\n" + cases)}))
	require.True(t, faults.Empty(), "%v", faults.Sorted())
	return lib
}

// TestAChangeThatCannotTellIsProved: no reading that comes to the second step lies under 10 V.
func TestAChangeThatCannotTellIsProved(t *testing.T) {
	r := Library(holes(t, worked("low", "rest: 11 V", "flat_battery")), nil, Options{Mutate: true})
	c := r.Trees[0].Cases
	equal, survive := strings.Join(c.Equal, "\n"), strings.Join(c.Survivors, "\n")
	for _, s := range []string{"limits.low 10.01 for 10", "limits.low 9.99 for 10", `"rest < limits.low" with <= for <`} {
		assert.Contains(t, equal, s)
		assert.NotContains(t, survive, s)
	}
	var b strings.Builder
	require.NoError(t, r.Print(&b))
	assert.Contains(t, b.String(), "make no difference, by proof (--json names them)")
}

// TestGuardsAreChanged: with one case at the one end of the tree all other changes live, and
// a case made as each says kills it.
func TestGuardsAreChanged(t *testing.T) {
	one := worked("loose", "clamp: loose, amps: 20 A", "joint")
	said := Library(holes(t, one), nil, Options{Mutate: true}).Trees[0].Cases.Survivors
	all := strings.Join(said, "\n")
	in := `"clamp in [\"loose\", \"burnt\"]" without "burnt"; worked case "loose" with look.clamp burnt`
	for _, s := range []string{in, "targets flat_battery and again swapped", "targets joint and good swapped", "with or for and number 1; a case with clamp loose, amps skipped would notice"} {
		assert.Contains(t, all, s)
	}
	for _, s := range []string{`"known(amps)" turned round`, `"clamp == \"tight\"" turned round`} {
		assert.NotContains(t, all, s, "the case notices it")
	}
	more := worked("burnt", "clamp: burnt, amps: 20 A", "joint")
	assert.NotContains(t, strings.Join(Library(holes(t, one+more), nil, Options{Mutate: true}).Trees[0].Cases.Survivors, "\n"), `without \"burnt\"`)
}

// TestWhatABranchClearsIsADifference: two branches to one finding are not the same when one
// of them rules something out, and only a case that says so notices.
func TestWhatABranchClearsIsADifference(t *testing.T) {
	tree := strings.Replace(bandsTree, "    by: clamp\n    cases: {tight: read, loose: joint, burnt: joint}",
		"    branches: [{if: 'clamp == \"tight\"', to: read, clears: [joint]}, {otherwise: read}]", 1)
	for clears, survives := range map[string]bool{"": true, ", clears: [joint]": false} {
		lib, faults := engine.Load(append(shared(), engine.Source{Name: "bands.yaml", Data: []byte(tree)},
			engine.Source{Name: "bands.cases.yaml", Data: []byte("cases: bands\nlist:\n" + strings.Replace(worked("low", "clamp: tight, rest: 11 V", "flat_battery"), "}\n", clears+"}\n", 1))}))
		require.True(t, faults.Empty(), "%v", faults.Sorted())
		c := Library(lib, nil, Options{Mutate: true}).Trees[0].Cases
		assert.NotContains(t, strings.Join(c.Equal, "\n"), "turned round")
		said := strings.Join(c.Survivors, "\n")
		assert.Equal(t, survives, strings.Contains(said, `"clamp == \"tight\"" turned round; worked case "low" would notice, if it says with `+"`clears`"+` what is ruled out`), said)
	}
}

// TestWhatTreesShareIsCountedApart, and a tree whose case fails stops no other.
func TestWhatTreesShareIsCountedApart(t *testing.T) {
	bands := []engine.Source{{Name: "bands.yaml", Data: []byte(bandsTree)},
		{Name: "bands.cases.yaml", Data: []byte("cases: bands\nusual: {clamp: tight}\nlist:\n" + worked("low", "rest: 11 V", "good"))}}
	r := Library(holes(t, worked("low", "rest: 11 V", "flat_battery"), bands...), nil, Options{Mutate: true})
	require.Len(t, r.Trees, 2)
	assert.Equal(t, `worked case "low" of tree "bands" comes out otherwise; mend that first`, r.Trees[0].NotMutated)
	assert.Zero(t, r.Trees[0].Cases.Mutants)
	assert.Empty(t, r.Trees[1].NotMutated)
	assert.Positive(t, r.Trees[1].Cases.Mutants)
	shared := strings.Join(r.Shared.Survivors, "\n")
	assert.Contains(t, shared, "sample.yaml:12:14: limits.flat 12.01 for 12; a case with clamp tight, rest 12.00 V would notice")
	assert.NotContains(t, strings.Join(r.Trees[1].Cases.Survivors, "\n"), "limits.flat 12")
	var b strings.Builder
	require.NoError(t, r.Print(&b))
	assert.Contains(t, b.String(), "What trees share:\n  Of 4 small changes")
	alone := Library(withCases(t, worked("low", "rest: 11 V", "good")+worked("loose", "clamp: loose", "joint")), nil, Options{Mutate: true})
	assert.Zero(t, alone.Shared.Mutants, "nothing is said of cases of which one is wrong")
}

// TestALimitThatCountsItselfIsChanged: at a limit with a safer side the comparison itself
// matters only where a reading has no doubt.
func TestALimitThatCountsItselfIsChanged(t *testing.T) {
	for take, want := range map[string]bool{"": false, ", meter: none": true} {
		tree := "tree: end\ntitle: End\nedition: 1\nuse: [sample]\nbegin: look\nreadings: {years: {ask: Age, short: years, unit: V, span: [0, 18]" + take + "}}\n" +
			"limits: {old: {is: 5 V, safer: above, source: definition}}\nsteps: {look: {kind: inspect, title: Age, take: [years], by: years, bands: [{below: limits.old, to: good}, {to: flat_battery}]}}\n"
		if take == "" {
			tree = strings.Replace(tree, "span: [0, 18]", "span: [0, 18], probe: {red: plus, black: minus}", 1)
		}
		lib, faults := engine.Load(append(shared(), engine.Source{Name: "end.yaml", Data: []byte(tree)},
			engine.Source{Name: "end.cases.yaml", Data: []byte("cases: end\nlist:\n" + worked("new", "years: 2 V", "good"))}))
		require.True(t, faults.Empty(), "%v", faults.Sorted())
		said := strings.Join(Library(lib, nil, Options{Mutate: true}).Trees[0].Cases.Survivors, "\n")
		assert.Equal(t, want, strings.Contains(said, `"years < limits.old" with <= for <; worked case "new" with look.years 5.00 V would notice`), said)
	}
}

// TestACaseThatIsNeverLeft says so: the step at which it would be left is never shown.
func TestACaseThatIsNeverLeft(t *testing.T) {
	lib, faults := engine.Load(append(shared(), engine.Source{Name: "bands.yaml", Data: []byte(bandsTree)},
		engine.Source{Name: "bands.cases.yaml", Data: []byte("cases: bands\nusual: {clamp: tight}\nlist:\n  - {case: low, from: invented, meter: workshop, left: [nowhere], readings: {rest: 11 V}, finding: flat_battery}\n")}))
	require.True(t, faults.Empty(), "%v", faults.Sorted())
	x := Library(lib, nil, Options{}).Faults.Sorted()
	require.NotEmpty(t, x)
	assert.Contains(t, x[0].Message, `it never comes to step "nowhere"`)
}

func BenchmarkMutate(b *testing.B) {
	lib := shipped(b)
	for b.Loop() {
		Library(lib, nil, Options{Mutate: true})
	}
}
