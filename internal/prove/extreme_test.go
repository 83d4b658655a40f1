package prove

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// sixCells is a step that decides on the six cells of a battery in three ways.
const sixCells = `tree: cells
title: Six cells
edition: 1
begin: look
readings:
  cell_1: {ask: Gravity in cell 1, short: c1, unit: "1", span: [1, 1.4]}
  cell_2: {like: cell_1, ask: Gravity in cell 2, short: c2}
  cell_3: {like: cell_1, ask: Gravity in cell 3, short: c3}
  cell_4: {like: cell_1, ask: Gravity in cell 4, short: c4}
  cell_5: {like: cell_1, ask: Gravity in cell 5, short: c5}
  cell_6: {like: cell_1, ask: Gravity in cell 6, short: c6}
values:
  top: {is: "highest(cell_1, cell_2, cell_3, cell_4, cell_5, cell_6)", unit: "1"}
  low: {is: "lowest(cell_6, cell_5, cell_4, cell_3, cell_2, cell_1)", unit: "1"}
  apart: {is: "spread(cell_1, cell_2, cell_3, cell_4, cell_5, cell_6)", unit: "1"}
limits:
  far: {is: 0.05, source: definition}
  full: {is: 1.225, source: definition}
findings:
  bad: {title: Bad, action: a}
  flat: {title: Flat, action: b}
  good: {title: Good, action: c}
steps:
  look:
    kind: inspect
    title: Look
    together: true
    take: [cell_1, cell_2, cell_3, cell_4, cell_5, cell_6]
    branches:
`

func cellsOf(t *testing.T, branches ...string) []engine.Source {
	return append(shared(), engine.Source{Name: "cells.yaml", Data: []byte(sixCells + "      - {if: " + strings.Join(branches, "}\n      - {if: ") + "}\n")})
}

func reportOn(t *testing.T, sources []engine.Source) *Report {
	t.Helper()
	lib, faults := engine.Load(sources)
	require.True(t, faults.Empty(), "%v", faults.Sorted())
	return Library(lib, []string{"cells"}, Options{Mutate: true})
}

// TestExtremesOfSixReadingsAreProved: a sound list is proved, and what is wrong with another is
// shown by six answers that the engine walks.
func TestExtremesOfSixReadingsAreProved(t *testing.T) {
	for _, c := range []struct {
		name     string
		branches []string
		rule     string // that is broken; "" for none
	}{
		{"sound", []string{"apart > limits.far, to: bad", "apart <= limits.far and top < limits.full, to: flat", "apart <= limits.far and top >= limits.full, to: good"}, ""},
		{"the lowest is not above the highest", []string{"top < limits.full, to: flat", "low >= limits.full, to: good", "low < limits.full and top >= limits.full, to: bad"}, ""},
		{"a reading lies between the two", []string{"cell_3 > top or cell_3 < low, to: bad", "cell_3 <= top and cell_3 >= low and low < limits.full, to: flat", "low >= limits.full, to: good"}, "dead-branch"},
		{"the highest is one of them", []string{"top >= limits.full, to: good",
			"cell_1 < limits.full and cell_2 < limits.full and cell_3 < limits.full and cell_4 < limits.full and cell_5 < limits.full and cell_6 < limits.full, to: flat"}, ""},
		{"a gap", []string{"apart > limits.far and low < limits.full, to: bad", "apart <= limits.far and top < limits.full, to: flat", "apart <= limits.far and top >= limits.full, to: good"}, "gap"},
		{"an overlap", []string{"apart > limits.far, to: bad", "top < limits.full, to: flat", "apart <= limits.far and top >= limits.full, to: good"}, "overlap"},
	} {
		r := reportOn(t, cellsOf(t, c.branches...))
		require.Zero(t, r.Undecided, c.name)
		var rules []string
		for _, f := range r.Faults.Sorted() {
			if f.Place.File == "cells.yaml" && f.Rule != "dead-finding" && f.Rule != "unused-limit" {
				rules = append(rules, f.Rule)
			}
		}
		if c.rule == "" {
			require.Empty(t, rules, "%s: %v", c.name, r.Faults.Sorted())
			continue
		}
		require.Equal(t, []string{c.rule}, rules, "%s: %v", c.name, r.Faults.Sorted())
	}
}

// TestAComparisonOfAnExtremeIsOneChange: it is turned round, and its end changed, as a whole, and
// a case just over its limit by two of the cells is one on that side of it.
func TestAComparisonOfAnExtremeIsOneChange(t *testing.T) {
	sources := cellsOf(t, "apart > limits.far, to: bad", "apart <= limits.far and top < limits.full, to: flat", "apart <= limits.far and top >= limits.full, to: good")
	list := worked("far", "cell_1: 1.27, cell_2: 1.26, cell_3: 1.26, cell_4: 1.26, cell_5: 1.219, cell_6: 1.25", "bad") +
		worked("at", "cell_1: 1.27, cell_2: 1.26, cell_3: 1.26, cell_4: 1.26, cell_5: 1.22, cell_6: 1.25", "good") +
		worked("flat", "cell_1: 1.20, cell_2: 1.20, cell_3: 1.224, cell_4: 1.2, cell_5: 1.2, cell_6: 1.2", "flat") +
		worked("full", "cell_1: 1.20, cell_2: 1.20, cell_3: 1.225, cell_4: 1.2, cell_5: 1.2, cell_6: 1.2", "good")
	r := reportOn(t, append(sources, engine.Source{Name: "cells.cases.yaml", Data: []byte("cases: cells\nlist:\n" + list)}))
	require.True(t, r.Faults.Empty(), "%v", r.Faults.Sorted())
	c := r.Trees[0].Cases
	require.Equal(t, 2, c.At.Of, "two comparisons: %v", c.At.Missing)
	require.Equal(t, 2, c.At.Done, "%v", c.At.Missing)
	for _, s := range c.Survivors {
		require.NotContains(t, s, "turned round")
		require.NotContains(t, s, "<=", "both ends are held by cases")
	}
	require.Greater(t, c.Mutants, 6)
}

// TestAChangedSpreadIsShownByAnswersBetween: of two editions that differ in a limit of a spread
// six answers are shown that lie apart by what is between the two limits.
func TestAChangedSpreadIsShownByAnswersBetween(t *testing.T) {
	edition := func(swap ...string) *engine.Tree {
		sources := cellsOf(t, "apart > limits.far, to: bad", "apart <= limits.far, to: good")
		last := &sources[len(sources)-1]
		last.Data = []byte(strings.NewReplacer(swap...).Replace(string(last.Data)))
		lib, faults := engine.Load(sources)
		require.True(t, faults.Empty(), "%v", faults.Sorted())
		return lib.Tree("cells")
	}
	same := Differ(edition(), edition())
	require.Empty(t, same[0].Undecided)
	require.Empty(t, same[0].Divergences)
	c := Differ(edition(), edition("0.05", "0.04"))[0]
	require.Empty(t, c.Undecided)
	require.Len(t, c.Divergences, 1)
	lo, hi := 9.0, 0.0
	for _, s := range c.Divergences[0].Shown {
		lo, hi = min(lo, s.Value.Best), max(hi, s.Value.Best)
	}
	require.Greater(t, hi-lo, 0.04)
	require.LessOrEqual(t, hi-lo, 0.05+1e-9)
}
