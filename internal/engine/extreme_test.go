package engine

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// cellsTree decides on the six cells of a battery, and on three drops read on one range.
const cellsTree = `tree: cells
title: Six cells
edition: 1
begin: first
readings:
  cell_1: {ask: Gravity in cell 1, short: c1, unit: "1", span: [1, 1.4], also_out_by: 0.002}
  cell_2: {like: cell_1, ask: Gravity in cell 2, short: c2}
  cell_3: {like: cell_1, ask: Gravity in cell 3, short: c3}
  cell_4: {like: cell_1, ask: Gravity in cell 4, short: c4}
  cell_5: {like: cell_1, ask: Gravity in cell 5, short: c5}
  cell_6: {like: cell_1, ask: Gravity in cell 6, short: c6}
  one: {ask: Volts at the first, short: va, unit: V, span: [0, 18], meter: volts_dc}
  two: {like: one, ask: Volts at the second, short: vb}
  three: {like: one, ask: Volts at the third, short: vc}
values:
  highest_cell: {is: "highest(cell_1, cell_2, cell_3, cell_4, cell_5, cell_6)", unit: "1", title: The highest of the six cells}
  cells_apart: {is: "spread(cell_1, cell_2, cell_3, cell_4, cell_5, cell_6)", unit: "1", title: spread of the six cells}
limits:
  apart: {is: 0.05, title: most between the cells, source: definition}
  full: {is: 1.225, title: charged, source: definition, safer: above}
  volts_apart: {is: 0.2 V, source: definition, safer: below}
findings:
  flat: {title: Flat, action: charge}
  good: {title: Good, action: none}
  bad: {title: Bad, action: replace}
  stop: {title: Stop here, action: stop, stop: true}
steps:
  first:
    kind: measure
    title: Look into the cells
    together: true
    take: [cell_1, cell_2, cell_3, cell_4, cell_5, cell_6]
    branches:
      - {if: cells_apart > limits.apart, to: bad, say: "They stand {cells_apart} apart."}
      - {if: cells_apart <= limits.apart and highest_cell < limits.full, to: flat}
      - {otherwise: volts}
  volts:
    kind: measure
    title: Three places
    take: [one, two, three]
    branches:
      - {if: "spread(one, two, three) > limits.volts_apart", to: bad}
      - {if: "spread(one, two, three) <= limits.volts_apart", to: good}
`

func cells(t *testing.T) *Tree {
	t.Helper()
	lib, faults := Load([]Source{{"cells.yaml", []byte(cellsTree)}})
	var b bytes.Buffer
	faults.Print(&b)
	require.True(t, faults.Empty(), b.String())
	return lib.Tree("cells")
}

// TestTheReadingThatDecidesSpeaksForAll: of six cells, and of thirty pairs of them, the one
// that decides is named, by the name that the author gave the value.
func TestTheReadingThatDecidesSpeaksForAll(t *testing.T) {
	for _, c := range []struct {
		cells, held string
		finding     string
	}{
		{"1.20 1.21 1.215 1.19 1.20 1.20", "the highest of the six cells (gravity in cell 3) 1.215 ± 0.002 is below 1.225 (charged)", "flat"},
		{"1.20 1.27 1.26 1.26 1.18 1.25", "spread of the six cells (gravity in cell 2 over gravity in cell 5) 0.09 ± 0.004 is above 0.05 (most between the cells)", "bad"},
		{"1.26 1.27 1.26 1.26 1.25 1.25", "the highest of the six cells (gravity in cell 2) 1.27 ± 0.002 is at or above 1.225 (charged)", "volts"},
	} {
		w := NewWalk(cells(t), FindMeter("workshop"), Kit{})
		for i, x := range strings.Fields(c.cells) {
			say(t, w, "c"+itoa(i+1)+" "+x)
		}
		x := w.visits[0].Explanation
		lines := strings.Join(x.Lines(), "\n")
		require.Contains(t, lines, c.held)
		require.LessOrEqual(t, len(x.Rules), 2, "one comparison for each that the author wrote: %s", lines)
		require.NotContains(t, lines, "cell_", "no name of a file")
		if c.finding == "bad" {
			require.Equal(t, "They stand 0.09 apart.", x.Claim)
		}
		to := x.Branch.To
		require.True(t, to.Finding != nil && to.Finding.ID == c.finding || to.Step != nil && to.Step.ID == c.finding, lines)
	}
}

// TestTheDoubtOfOneRangeCancelsInASpread: two readings of 14.0 and 14.19 V may both be out by
// 0.5 percent, but in the same direction; what is left is the last digit of each.
func TestTheDoubtOfOneRangeCancelsInASpread(t *testing.T) {
	at := func(volts ...string) *Walk {
		w := NewWalk(cells(t), FindMeter("workshop"), Kit{})
		for i := 1; i <= 6; i++ {
			say(t, w, "c"+itoa(i)+" 1.27")
		}
		for i, x := range volts {
			say(t, w, []string{"va ", "vb ", "vc "}[i]+x)
		}
		return w
	}
	w := at("14.00", "14.10", "14.14")
	require.Equal(t, "good", w.Next().Result.Finding.ID)
	require.Equal(t, Firm, w.Next().Result.Certainty, "each alone may be out by more than what is left to the limit")
	w = at("14.00", "14.10", "14.20")
	require.NotEmpty(t, w.Next().Result.Close)
	require.Equal(t, "good", w.Next().Result.Finding.ID, "the safer side of the limit is below")
}

// TestAnExtremeIsKnownWhenAllReadingsAre: two cells far apart do not end the step, and one
// that is missing is named once.
func TestAnExtremeIsKnownWhenAllReadingsAre(t *testing.T) {
	w := NewWalk(cells(t), FindMeter("workshop"), Kit{})
	for i := 1; i <= 6; i++ {
		say(t, w, "c"+itoa(i)+" 1.27")
	}
	say(t, w, "va 12", "vb 14")
	require.Nil(t, w.Next().Result, "the third may lie still farther off")
	require.Len(t, w.Next().Fields, 1)
	say(t, w, "vc 15")
	require.Equal(t, "bad", w.Next().Result.Finding.ID)
}

func TestTheFastPathDecidesExtremesAsTheWalkDoes(t *testing.T) {
	tree := cells(t)
	numbers := map[string]float64{"one": 12, "two": 13, "three": 12.5}
	for i := 1; i <= 6; i++ {
		numbers["cell_"+itoa(i)] = 1.27
	}
	require.Positive(t, bothWays(t, tree, numbers, nil), "some rows stay on the fast path")
}
