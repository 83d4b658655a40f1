package prove

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadflat/internal/source"
)

var update = flag.Bool("update", false, "write the golden anew")

// TestMessages holds the words of every rule's wrong sample to a golden: places,
// witnesses and the lines to paste.
func TestMessages(t *testing.T) {
	var b strings.Builder
	for _, r := range Rules {
		rep := Library(sample(t, r.Bad), nil, Options{})
		b.WriteString("== " + r.ID + "\n")
		for _, list := range []*source.Faults{rep.Faults, rep.Remarks} {
			for _, x := range list.Sorted() {
				if x.Place.File == "sample.yaml" {
					continue
				}
				fmt.Fprintf(&b, "%s: %s [%s]\n", x.Place, x.Message, x.Rule)
				for _, n := range x.Notes {
					fmt.Fprintf(&b, "  %s: %s\n", n.Place, n.Message)
				}
			}
		}
	}
	const golden = "testdata/messages.txt"
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(b.String()), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, string(want), b.String())
}

// TestReturnsThatStop refuses a sub-tree's stop that leads on.
func TestReturnsThatStop(t *testing.T) {
	tree := head + `steps:
  look:
    kind: tree
    title: Run it
    run: inner
    cases: {burst: %s, fine: good}
  again:
    kind: retest
    title: Again
    take: [rest]
    to: good
---
tree: inner
title: Inner
edition: 1
use: [sample]
begin: start
findings:
  burst: {title: It may burst, action: replace, stop: true}
  fine: {title: Fine, action: none}
steps:
  start:
    kind: inspect
    title: Start
    take: [case]
    by: case
    cases: {sound: fine, cracked: burst}
`
	says := told(Library(sample(t, fmt.Sprintf(tree, "again")), nil, Options{}))
	require.Contains(t, says, `finding "burst" of tree "inner" stops all work, and here it leads on to step "again"`)
	tree = strings.Replace(tree, "  again:\n    kind: retest\n    title: Again\n    take: [rest]\n    to: good\n", "", 1)
	says = told(Library(sample(t, fmt.Sprintf(tree, "cracked")), nil, Options{}))
	require.NotContains(t, says, "stops all work")
}

// What is to be pasted into a sub-tree names its own findings, not those that they lead to.
func TestALineToPasteNamesWhatItsFileNames(t *testing.T) {
	says := told(Library(sample(t, head+`steps:
  look: {kind: tree, title: Run it, run: inner, cases: {low: flat_battery, fine: good}}
---
tree: inner
title: Inner
edition: 1
use: [sample]
begin: start
findings:
  low: {title: Low, action: charge}
  fine: {title: Fine, action: none}
steps:
  start:
    kind: measure
    title: Start
    take: [rest]
    branches:
      - {if: rest < limits.charged, to: fine}
      - {if: rest >= limits.flat, to: low}
`), nil, Options{}))
	require.Contains(t, says, "- {if: '(rest >= limits.flat) and not (rest < limits.charged)', to: low}")
	require.NotContains(t, says, "to: flat_battery}")
}

// TestMoreWitnesses holds witnesses that no rule's sample shows: of several
// readings, of tables, of words, of steps done.
func TestMoreWitnesses(t *testing.T) {
	step := func(take, branches string) string {
		return head + "steps:\n  look:\n    kind: inspect\n    title: Look\n    take: [" + take + "]\n    branches:\n" + branches
	}
	for name, x := range map[string]struct{ tree, says string }{
		"two readings": {step("rest, load", `      - {if: rest > load, to: good}
      - {if: rest < load, to: flat_battery}
`), "no branch of step \"look\" takes these answers: rest 0.00 V, load 0.00 V"},
		"words": {step("clamp, rest", `      - {if: 'clamp == "tight" and rest < limits.flat', to: good}
      - {if: 'clamp in ["tight", "loose"] and rest >= limits.flat', to: flat_battery}
      - {if: 'clamp == "burnt"', to: cracked}
`), `takes these answers: rest 11.99 V, clamp "loose"`},
		"to paste": {step("clamp, rest", `      - {if: 'clamp == "tight" and rest < limits.flat', to: good}
      - {if: 'clamp in ["tight", "loose"] and rest >= limits.flat', to: flat_battery}
      - {if: 'clamp == "burnt"', to: cracked}
`), `- {if: 'rest < limits.flat and clamp == "loose"', to: STEP}`},
		"between limits": {step("rest", `      - {if: rest < limits.flat, to: good}
      - {if: rest > limits.charged, to: flat_battery}
`), "rest 12.00 V"},
		"a table": {head + `limits:
  floor: {table: {over: temp, points: [[-18, 8.5], [21, 9.6]], outside: hold_end}, unit: V, source: "common practice, no source"}
steps:
  look:
    kind: inspect
    title: Look
    take: [temp, load]
    branches:
      - {if: load < limits.floor, to: flat_battery}
      - {if: load > limits.floor, to: good}
`, "these answers: load exactly 9.60 V, temp 21 °C"},
		"bands that do not rise": {head + `values:
  less: {is: rest - load, unit: V}
limits:
  none: {is: 0 V, source: definition}
steps:
  look:
    kind: inspect
    title: Look
    take: [rest, load]
    by: rest
    bands:
      - {below: limits.charged, to: flat_battery}
      - {below: limits.charged - limits.flat, to: cracked}
      - {to: good}
`, "2 branches"},
	} {
		t.Run(name, func(t *testing.T) {
			says := told(Library(sample(t, x.tree), nil, Options{}))
			if x.says == "2 branches" {
				require.Contains(t, says, "two branches of step \"look\" take these answers")
				return
			}
			require.Contains(t, says, x.says)
		})
	}
}
