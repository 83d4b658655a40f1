package prove

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// bandsTree is a tree that decides on one voltage and one joint. One limit names
// a safer side, the other does not.
const bandsTree = `tree: bands
title: Bands
edition: 1
use: [sample]
begin: look
findings:
  joint: {title: Bad joint, action: clean}
steps:
  look:
    kind: inspect
    title: The clamp
    take: [clamp]
    by: clamp
    cases: {tight: read, loose: joint, burnt: joint}
  read:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.flat, to: flat_battery}
      - {if: rest >= limits.flat, to: good}
`

// TestACaseTakesAListOfSeveral: several choices may stand as a list.
func TestACaseTakesAListOfSeveral(t *testing.T) {
	tree := head + `readings:
  dark: {ask: "Which lamps stay dark?", short: dark, choices: [left, right, plate], several: true}
steps:
  look: {kind: inspect, title: Look, take: [dark], branches: [{if: 'dark == "left and plate"', to: flat_battery}, {otherwise: good}]}
`
	r := Library(sample(t, tree+"---\ncases: sample-tree\nusual: {dark: [left, plate]}\nlist:\n"+
		worked("two", "", "flat_battery")+worked("one", "dark: [plate]", "good")+worked("words", "dark: plate and left", "flat_battery")), nil, Options{})
	require.NotNil(t, r.Trees[0].Cases)
	assert.Equal(t, 3, r.Trees[0].Cases.Total-r.Trees[0].Cases.Failed, told(r))
}

// withCases loads the bands tree with worked cases.
func withCases(t *testing.T, cases string) *engine.Library {
	t.Helper()
	lib, faults := engine.Load(append(shared(),
		engine.Source{Name: "bands.yaml", Data: []byte(bandsTree)},
		engine.Source{Name: "bands.cases.yaml", Data: []byte("cases: bands\nusual: {clamp: tight}\nlist:\n" + cases)},
	))
	require.True(t, faults.Empty())
	return lib
}

func worked(name, readings, finding string) string {
	return fmt.Sprintf("  - {case: %s, from: invented, meter: workshop, readings: {%s}, finding: %s}\n", name, readings, finding)
}

const fullCases = "  - {case: low, from: invented, meter: workshop, readings: {rest: 11.99 V}, finding: flat_battery, certainty: likely}\n" +
	"  - {case: at the limit, from: invented, meter: workshop, readings: {rest: 12 V}, finding: good, way: [look, read]}\n" +
	"  - {case: over, from: invented, meter: workshop, readings: {rest: 12.01 V}, finding: good, forms: 2}\n" +
	"  - {case: loose, from: invented, meter: workshop, readings: {clamp: loose}, finding: joint, asks_not: [rest]}\n" +
	"  - {case: burnt, from: invented, meter: workshop, readings: {clamp: burnt}, finding: joint}\n"

func TestCasesAreWalkedAndCover(t *testing.T) {
	r := Library(withCases(t, fullCases), nil, Options{Mutate: true})
	c := r.Trees[0].Cases
	require.NotNil(t, c)
	assert.Zero(t, c.Failed, told(r))
	assert.Equal(t, 5, c.Total)
	assert.Equal(t, Covered{Done: 2, Of: 2}, c.Steps)
	assert.Equal(t, Covered{Done: 5, Of: 5}, c.Branches)
	assert.Equal(t, Covered{Done: 5, Of: 5}, c.NotTaken)
	assert.Equal(t, Covered{Done: 2, Of: 2}, c.TooClose)
	for _, x := range []Covered{c.Under, c.At, c.Over} {
		assert.Equal(t, Covered{Done: 1, Of: 1}, x)
	}
	assert.Equal(t, 2, c.Typical.Questions)
	assert.Empty(t, c.Survivors, "these cases notice every small change")
	assert.Positive(t, c.Mutants)
}

func TestWhatCasesDoNotCoverIsNamed(t *testing.T) {
	r := Library(withCases(t, worked("low", "rest: 11 V", "flat_battery")), nil, Options{Mutate: true})
	c := r.Trees[0].Cases
	assert.Equal(t, 2, c.Branches.Done)
	assert.Equal(t, 5, c.Branches.Of)
	assert.Contains(t, strings.Join(c.Branches.Missing, "\n"), "bands.yaml:21:9: step read, rest >= limits.flat")
	assert.Equal(t, []string{"bands.yaml:15:3: step read, rest against limits.flat"}, c.At.Missing)
	survivors := strings.Join(c.Survivors, "\n")
	assert.Contains(t, survivors, `"rest < limits.flat" with <= for <; worked case "low" with read.rest 12.00 V would notice`)
	assert.Contains(t, strings.Join(r.Shared.Survivors, "\n"), `limits.flat 12.01 for 12; worked case "low" with read.rest 12.00 V would notice`)
	assert.NotContains(t, survivors, "targets joint and joint", "the two rows of one target are not a change")
}

func TestCasesThatComeOutOtherwiseAreFaults(t *testing.T) {
	for name, x := range map[string]struct{ cases, says string }{
		"finding":     {worked("low", "rest: 11 V", "good"), `worked case "low" comes out otherwise: it ends in "flat_battery", not in "good"`},
		"not asked":   {worked("loose", "clamp: loose, rest: 12 V", "joint"), `"rest" is given and never asked for`},
		"not given":   {worked("none", "temp: 12 °C", "good"), `step "read" asks for "rest", and the case does not give it`},
		"refused":     {worked("high", "rest: 40 V", "good"), `"40 V" is refused`},
		"no reading":  {worked("odd", "resd: 12 V", "good"), `"resd" is not a reading of tree "bands"`},
		"no meter":    {"  - {case: low, from: invented, meter: best, readings: {rest: 11 V}, finding: flat_battery}\n", `"best" is not a meter`},
		"no origin":   {"  - {case: low, meter: basic, readings: {rest: 11 V}, finding: flat_battery}\n", "says where it comes from"},
		"certainty":   {"  - {case: low, from: invented, meter: basic, readings: {rest: 11 V}, finding: flat_battery, certainty: likely}\n", `the finding is "firm", not "likely"`},
		"unknown key": {"  - {case: low, from: invented, meter: basic, reading: {rest: 11 V}, finding: flat_battery}\n", `"reading"`},
		"twice":       {worked("low", "rest: 11 V", "flat_battery") + worked("low", "rest: 11 V", "flat_battery"), `two cases are called "low"`},
	} {
		t.Run(name, func(t *testing.T) {
			r := Library(withCases(t, x.cases), nil, Options{})
			assert.Contains(t, told(r), x.says)
			assert.False(t, r.Sound())
		})
	}
}

// A case that cannot be read is not walked: what would come out is told of nothing that
// its author wrote.
func TestACaseThatCannotBeReadIsNotWalked(t *testing.T) {
	r := Library(withCases(t, worked("low", "rest: no", "good")+worked("flat", "rest: 11 V", "flat_battery")), nil, Options{})
	assert.Contains(t, told(r), "YAML may take no for true, false or nothing")
	assert.NotContains(t, told(r), "comes out otherwise")
	assert.Equal(t, 1, r.Trees[0].Cases.Total)
}

// ampsTree decides on a reading whose short name, current, is not its id.
const ampsTree = `tree: amps
title: Amps
edition: 1
use: [sample]
begin: look
steps:
  look:
    kind: measure
    title: The current
    take: [amps]
    branches:
      - {if: known(amps) and amps > limits.many, to: flat_battery}
      - {otherwise: good}
`

// ofAmps is the report on the amps tree with a file of worked cases.
func ofAmps(t *testing.T, cases string) string {
	t.Helper()
	lib, faults := engine.Load(append(shared(), engine.Source{Name: "amps.yaml", Data: []byte(ampsTree)},
		engine.Source{Name: "amps.cases.yaml", Data: []byte("cases: amps\n" + cases)}))
	require.True(t, faults.Empty())
	return told(Library(lib, nil, Options{}))
}

func TestCasesTakeShortNames(t *testing.T) {
	for _, name := range []string{"current", "look.current", "amps", "look.amps"} {
		said := ofAmps(t, "list:\n"+worked("much", name+": 400 A", "flat_battery"))
		assert.NotContains(t, said, "amps.cases.yaml", name)
		assert.Contains(t, said, "1 worked case.", name)
	}
	usual := ofAmps(t, "usual: {current: 400 A}\nlist:\n  - {case: much, from: invented, meter: workshop, finding: flat_battery}\n")
	assert.NotContains(t, usual, "amps.cases.yaml")
	assert.Contains(t, ofAmps(t, "list:\n  - {case: much, from: invented, meter: workshop, readings: {amps: 400 A}, asks_not: [current], finding: flat_battery}\n"), `"amps" is asked for`)
}

func TestAReadingGivenByBothItsNamesIsAFault(t *testing.T) {
	said := ofAmps(t, "list:\n"+worked("much", "amps: 400 A, current: 10 A", "flat_battery"))
	assert.Contains(t, said, `amps.cases.yaml:3:75: "amps" and "current" are one reading; keep one of them [case-file]`)
	assert.Contains(t, said, `amps.cases.yaml:3:62: "amps" is given here`)
}

func TestNothingInACaseFileIsIgnored(t *testing.T) {
	much := worked("much", "amps: 400 A", "flat_battery")
	for name, x := range map[string]struct{ cases, says string }{
		"usual never asked":       {"usual: {temp: 20 °C}\nlist:\n" + much, `"temp" is given as usual`},
		"usual always overridden": {"usual: {amps: 20 A}\nlist:\n" + much, `amps.cases.yaml:2:9: "amps" is given as usual, and no case takes it from there; take it out [case-file]`},
		"usual at a step":         {"usual: {look.current: 20 A}\nlist:\n" + much, `amps.cases.yaml:2:9: "look.current" is given as usual`},
		"own reading, not asked":  {"list:\n" + worked("much", "look.amps: 400 A, current: 3 A", "flat_battery"), `amps.cases.yaml:3:80: "current" is given here`},
		"done, but it is not":     {"list:\n" + worked("much", "amps: 400 A, look.done: \"no\"", "flat_battery"), `amps.cases.yaml:3:86: "no" stands at "look.done"; write "done", or leave it out when the step is not done [case-file]`},
		"asks_not":                {"list:\n  - {case: much, from: invented, meter: workshop, readings: {amps: 400 A}, asks_not: [ampère], finding: flat_battery}\n", `"ampère" is not a reading of tree "amps"`},
	} {
		t.Run(name, func(t *testing.T) { assert.Contains(t, ofAmps(t, x.cases), x.says) })
	}
	assert.NotContains(t, ofAmps(t, "usual: {amps: 20 A}\nlist:\n"+much+"  - {case: little, from: invented, meter: workshop, finding: good}\n"), "amps.cases.yaml")
}

// TestNoChangeIsTriedAndItIsSaid: cases that fail, that are not there, or a tree with nothing to change.
func TestNoChangeIsTriedAndItIsSaid(t *testing.T) {
	fixed := strings.Replace(head, "begin: look", "begin: look\nsteps:\n  look: {kind: inspect, title: The clamp, take: [clamp], by: clamp, cases: {tight: good, loose: good, burnt: good}}", 1)
	files := func(tree, cases string) *engine.Library {
		list := append(shared(), engine.Source{Name: "bands.yaml", Data: []byte(tree)})
		if cases != "" {
			list = append(list, engine.Source{Name: "bands.cases.yaml", Data: []byte(cases)})
		}
		lib, faults := engine.Load(list)
		require.True(t, faults.Empty(), "%v", faults.Sorted())
		return lib
	}
	for name, x := range map[string]struct {
		lib  *engine.Library
		says string
	}{
		"failing":        {withCases(t, fullCases+worked("low", "rest: 11 V", "good")), `worked case "low" of tree "bands" comes out otherwise; mend that first`},
		"none":           {files(bandsTree, ""), `tree "bands" has no worked cases that could notice one`},
		"none in a file": {files(bandsTree, "cases: bands\nlist: []\n"), `tree "bands" has no worked cases that could notice one`},
		"nothing":        {files(fixed, "cases: sample-tree\nlist:\n"+worked("tight", "clamp: tight", "good")), `tree "sample-tree" has no limit, comparison, target or hazard rule to change`},
	} {
		t.Run(name, func(t *testing.T) {
			r := Library(x.lib, nil, Options{Mutate: true})
			assert.Contains(t, told(r), "  No small change was tried: "+x.says+".\n")
			data, err := json.Marshal(r.JSON())
			require.NoError(t, err)
			quoted, err := json.Marshal(x.says)
			require.NoError(t, err)
			assert.Contains(t, string(data), `"not_mutated":`+string(quoted))
			assert.NotContains(t, told(Library(x.lib, nil, Options{})), "No small change", "nobody asked for it")
		})
	}
	r := Library(withCases(t, fullCases), nil, Options{Mutate: true})
	assert.NotContains(t, told(r), "No small change")
}

// told is the whole report in words.
func told(r *Report) string {
	var b strings.Builder
	_ = r.Print(&b)
	return b.String()
}

// crowded declares n pairs of readings and a step that takes them.
func crowded(n int) string {
	var readings, takes strings.Builder
	for i := range n {
		fmt.Fprintf(&readings, "  v%d: {ask: Voltage %d, short: p%d, unit: V, span: [0, 18]}\n  w%d: {ask: Another %d, short: q%d, unit: V, span: [0, 18]}\n", i, i, i, i, i, i)
		fmt.Fprintf(&takes, ", v%d, w%d", i, i)
	}
	return "readings:\n" + readings.String() + `steps:
  look:
    kind: measure
    title: Many voltages
    take: [` + takes.String()[2:] + "]\n"
}

// eachLowOrHot is a guard that falls into 2 to the n boxes.
func eachLowOrHot(n int) string {
	parts := make([]string, n)
	for i := range parts {
		parts[i] = fmt.Sprintf("(v%d < limits.flat or w%d < limits.flat)", i, i)
	}
	return strings.Join(parts, " and ")
}

// TestHostileTreesCostNoMoreThanABound proves a tree built to explode: it is given
// up and says so.
func TestHostileTreesCostNoMoreThanABound(t *testing.T) {
	var b strings.Builder
	b.WriteString(head + crowded(30))
	b.WriteString("    branches:\n")
	for i := range 12 {
		fmt.Fprintf(&b, "      - {if: 'v%d < w%d and %s', to: good}\n", i, i+1, eachLowOrHot(30))
	}
	r := Library(sample(t, b.String()), nil, Options{Mutate: true})
	assert.Positive(t, r.Undecided)
	assert.Contains(t, told(r), "too complex to prove")

	b.Reset()
	b.WriteString(head + crowded(20) + "    branches:\n")
	for i := range 60 {
		fmt.Fprintf(&b, "      - {if: 'v%d + w%d > v%d and v%d - w%d < w%d', to: good}\n", i%20, (i+1)%20, (i+7)%20, (i+3)%20, (i+4)%20, (i+11)%20)
	}
	r = Library(sample(t, b.String()), nil, Options{})
	assert.False(t, r.Sound(), "sixty branches that overlap")
}

// A number may be written as it would be typed, without its unit and without quotes.
func TestANumberInACaseIsTyped(t *testing.T) {
	r := Library(withCases(t, worked("low", "rest: 11.5", "flat_battery")+worked("over", "rest: 13", "good")), nil, Options{})
	assert.NotContains(t, broken(r), "yaml-trap")
	assert.Zero(t, r.Trees[0].Cases.Failed, told(r))
	assert.Equal(t, 2, r.Trees[0].Cases.Total)
}

// TestOnlyLimitsInReachAreMoved asks after one of two trees that share their limits: a
// limit that only the other decides on, or a step that nothing comes to, is left alone.
func TestOnlyLimitsInReachAreMoved(t *testing.T) {
	unreached := strings.Replace(bandsTree, "    take: [clamp]\n", "    take: [clamp, amps]\n", 1)
	unreached = strings.Replace(unreached, "to: flat_battery}\n", "to: flat_battery}\n      - {if: known(amps) and amps > limits.many and rest < limits.flat and rest > limits.flat, to: never}\n", 1) +
		"  never: {kind: measure, title: Never, take: [load], by: load, bands: [{below: limits.charged, to: flat_battery}, {to: good}]}\n"
	other := strings.NewReplacer("tree: bands", "tree: other", "limits.flat", "limits.charged").Replace(bandsTree)
	lib, faults := engine.Load(append(shared(),
		engine.Source{Name: "bands.yaml", Data: []byte(unreached)}, engine.Source{Name: "other.yaml", Data: []byte(other)},
		engine.Source{Name: "bands.cases.yaml", Data: []byte("cases: bands\nusual: {clamp: tight}\nlist:\n" + worked("low", "rest: 11 V", "flat_battery"))},
	))
	require.True(t, faults.Empty(), "%v", faults.Sorted())
	said := strings.Join(Library(lib, []string{"bands"}, Options{Mutate: true}).Shared.Survivors, "\n")
	assert.Contains(t, said, "limits.flat 12.01 for 12")
	assert.NotContains(t, said, "limits.charged ")
}
