package prove

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// TestWaysOfDoubtAreFollowed proves trees in which only a close call, "not sure", what was skipped
// before or is not asked for comes to a step that lacks a reading.
func TestWaysOfDoubtAreFollowed(t *testing.T) {
	const begin = head + `readings:
  way: {ask: Which way, short: way, choices: [a, b], fact: true}
  sort: {ask: Sort, short: sort, choices: [flooded, agm], fact: true}
  colour: {ask: Colour, short: colour, choices: [clean, green], unsure: true}
  age: {ask: Age, short: age, choices: [old, new], fact: true, optional: true}
  kept: {ask: Kept, short: kept, yes_no: true, fact: true}
`
	const limits = `limits:
  edge: {is: 12 V, safer: below, source: "common practice, no source"}
  same: {is: 12 V, source: "common practice, no source"}
`
	for name, c := range map[string]struct{ tree, rule string }{
		"the safer side": {begin + limits + `steps:
  look: {kind: inspect, title: Look, take: [way], by: way, cases: {a: first, b: other}}
  first: {kind: measure, title: First, take: [rest], branches: [{if: rest < limits.same, to: flat_battery}, {if: rest >= limits.same, to: second}]}
  other: {kind: inspect, title: Other, together: true, take: [sort, rest], to: second}
  second: {kind: decide, title: Second, branches: [{if: rest < limits.edge, to: which}, {if: rest >= limits.edge, to: good}]}
  which: {kind: decide, title: Which, by: sort, cases: {agm: good, flooded: flat_battery}}
`, "not-taken"},
		"better with not sure": {begin + `steps:
  look: {kind: inspect, title: Look, take: [way], by: way, cases: {a: see, b: other}}
  see: {kind: inspect, title: See, take: [colour], better: closer, unsure: {to: flat_battery}, by: colour, cases: {clean: good, green: flat_battery}}
  other: {kind: inspect, title: Other, take: [sort], to: closer}
  closer: {kind: decide, title: Closer, by: sort, cases: {agm: good, flooded: flat_battery}}
`, "not-taken"},
		"clear before all is asked": {begin + `steps:
  look: {kind: inspect, title: Look, take: [kept, sort], branches: [{if: 'sort == "agm" and kept', to: good}, {otherwise: judge}]}
  judge: {kind: decide, title: Judge, by: sort, cases: {agm: good, flooded: flat_battery}}
`, "not-taken"},
		"skipped before": {begin + `steps:
  look: {kind: inspect, title: Look, together: true, take: [way, age], by: way, cases: {a: again, b: other}}
  other: {kind: inspect, title: Other, take: [sort], to: again}
  again: {kind: inspect, title: Again, take: [age], unable: {to: which}, by: age, cases: {old: good, new: flat_battery}}
  which: {kind: decide, title: Which, by: sort, cases: {agm: good, flooded: flat_battery}}
`, "not-taken asks-again"},
	} {
		t.Run(name, func(t *testing.T) {
			assert.Equal(t, c.rule, strings.Join(broken(Library(sample(t, c.tree), nil, Options{})), " "))
		})
	}
}

// TestAnActOfDangerNeedsItsKind: what a step does counts as much as what it is called.
func TestAnActOfDangerNeedsItsKind(t *testing.T) {
	tree := func(steps string) string {
		return strings.Replace(head, "begin:", "acts: [crank, lamps, boost]\nbegin:", 1) + "steps:\n" + steps
	}
	for name, c := range map[string]struct{ steps, says string }{
		"by its name":        {"  look: {kind: inspect, title: Crank it, act: crank, to: good}\n", `step "look" does "crank", an act of danger, under kind inspect, before which no hazard rule is held; give it kind crank`},
		"by the other steps": {"  look: {kind: load, title: Load it, act: boost, to: next}\n  next: {kind: load, title: Load it, act: boost, to: last}\n  last: {kind: wait, title: Again, act: boost, to: good}\n", `step "last" does "boost", an act of danger, under kind wait, before which no hazard rule is held; give it kind load`},
		"harmless":           {"  look: {kind: wait, title: Lamps on, act: lamps, to: good}\n", ""},
	} {
		t.Run(name, func(t *testing.T) {
			says := told(Library(sample(t, tree(c.steps)), nil, Options{}))
			if c.says == "" {
				assert.NotContains(t, says, "act of danger")
			} else {
				assert.Contains(t, says, c.says)
			}
		})
	}
}

// TestWhatNobodyWalksToIsUndecided: looks that each lead to a step of their own or past it, and
// a judgement by what was done and what was seen. It is sound; of ten looks more ways come
// there than are told apart.
func TestWhatNobodyWalksToIsUndecided(t *testing.T) {
	looks := func(n int) string {
		var readings, steps, rows strings.Builder
		for i := range n {
			next := fmt.Sprintf("look%d", i+1)
			if i == n-1 {
				next = "judge"
			}
			fmt.Fprintf(&readings, "  q%[1]d: {ask: Look %[1]d, short: qu%[1]d, yes_no: true, fact: true}\n", i)
			fmt.Fprintf(&steps, "  look%[1]d: {kind: inspect, title: Look, take: [q%[1]d], by: q%[1]d, cases: {\"yes\": %[2]s, \"no\": told%[1]d}}\n  told%[1]d: {kind: inspect, title: Note it, to: %[2]s}\n", i, next)
			var seen []string
			for k := range i {
				seen = append(seen, fmt.Sprintf("q%d and ", k))
			}
			fmt.Fprintf(&rows, "      - {if: %sdone(told%d), to: flat_battery}\n", strings.Join(seen, ""), i)
			if i == n-1 {
				fmt.Fprintf(&rows, "      - {if: %sq%d, to: good}\n", strings.Join(seen, ""), i)
			}
		}
		return strings.Replace(head, "begin: look", "begin: look0", 1) + "readings:\n" + readings.String() + "steps:\n" + steps.String() + "  judge:\n    kind: decide\n    title: Judge\n    branches:\n" + rows.String()
	}
	assert.Empty(t, broken(Library(sample(t, looks(6)), nil, Options{})))
	says := told(Library(sample(t, looks(10)), nil, Options{}))
	assert.Contains(t, says, "ways to it were not told apart")
	assert.Contains(t, says, `step "judge" may be wrong for`)
	assert.NotContains(t, says, "no branch of step")
}

// TestWitnessesAreTypedAsTheyArePrinted: in a unit that is no power of ten of its base, and
// in one with a zero of its own.
func TestWitnessesAreTypedAsTheyArePrinted(t *testing.T) {
	for name, c := range map[string]struct{ unit, from, to, says string }{
		"a third":            {"m3/h", "7 m3/h", "7.0005 m3/h", "x 7.0001 m3/h"},
		"its own zero":       {"°C", "20 °C", "22 °C", "x 21 °C"},
		"thin":               {"V", "12 V", "12.00004 V", "x 12.00001 V"},
		"too thin to type":   {"V", "12 V", "12.000000000000000001 V", "but x lies between 12.00 V and 12.000000000000000001 V, and no reading can be typed as finely"},
		"an end of the span": {"m3/h", "-1 m3/h", "100 m3/h", "x 99 m3/h"},
	} {
		t.Run(name, func(t *testing.T) {
			says := told(Library(sample(t, head+`readings:
  x: {ask: X, short: rx, unit: `+c.unit+`, span: [0, 100]}
limits:
  from: {is: `+c.from+`, source: definition}
  to: {is: `+c.to+`, source: definition}
steps:
  look: {kind: measure, title: Look, take: [x], branches: [{if: x <= limits.from, to: good}, {if: x >= limits.to, to: flat_battery}]}
`), nil, Options{}))
			assert.Contains(t, says, c.says)
		})
	}
}

// TestATakeIsCutByItsOwnLimits: a reading and its take at one step are held against different
// limits, so that one has more pieces than the other.
func TestATakeIsCutByItsOwnLimits(t *testing.T) {
	for _, guard := range []string{"rest <= limits.a", "look.rest <= limits.a"} {
		r := Library(sample(t, head+`limits:
  a: {is: 1 V, source: definition}
steps:
  look: {kind: measure, title: Look, take: [rest], to: judge}
  judge: {kind: decide, title: Judge, branches: [{if: `+guard+`, to: flat_battery}]}
`), nil, Options{})
		assert.Contains(t, told(r), `no branch of step "judge" takes these answers`, guard)
	}
	// Nor is anything looked for above the highest piece of the take.
	lib := sample(t, head+`limits:
  a: {is: 1 V, source: definition}
  b: {is: 11 V, source: definition}
steps:
  look: {kind: measure, title: Look, take: [rest], branches: [{if: rest < limits.a, to: flat_battery}, {if: rest >= limits.a and look.rest < limits.b, to: again}, {otherwise: good}]}
  again: {kind: retest, title: "Again at {look.rest}", take: [rest], by: rest, bands: [{below: limits.b, to: flat_battery}, {to: good}]}
`)
	lib, faults := lib.Reload(append(lib.Sources(), engine.Source{Name: "small.cases.yaml", Data: []byte("cases: " + lib.Trees()[0].Name + `
list:
  - {case: weak, from: invented, meter: workshop, readings: {look.rest: 10.5 V, again.rest: 10.4 V}, finding: flat_battery}
`)}))
	require.True(t, faults.Empty())
	assert.Contains(t, told(Library(lib, nil, Options{Mutate: true})), "small changes")
}
