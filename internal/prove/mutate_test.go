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
	c := r.Trees[0].Cases
	assert.Positive(t, c.Mutants)
	assert.NotEmpty(t, slices.DeleteFunc(slices.Clone(c.Survivors), func(s string) bool { return !strings.Contains(s, "limits.flat") }),
		"one case at 11 V cannot notice a limit of 12 V that is moved")
}

// TestEveryKindOfAShippedHazardRuleIsNoticed takes each kind out of each hazard rule of the
// shipped trees: some case comes out otherwise.
func TestEveryKindOfAShippedHazardRuleIsNoticed(t *testing.T) {
	lib := shipped(t)
	c := newChecker(lib)
	var reports []TreeReport
	for _, x := range lib.Trees() {
		reports = append(reports, TreeReport{Tree: x, Cases: &Cases{}})
	}
	b, _ := c.newBench(reports)
	require.NotNil(t, b)
	mutants := 0
	for i := range reports {
		c.mutateRules(b, &reports[i])
		mutants += reports[i].Cases.Mutants
		assert.Empty(t, reports[i].Cases.Survivors)
	}
	assert.Positive(t, mutants)
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
