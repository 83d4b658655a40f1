package engine

import (
	"testing"

	"github.com/stretchr/testify/require"
)

const evidenceTree = `
tree: t
title: T
edition: 1
begin: first
readings:
  volts: {ask: Voltage at rest, short: rest, unit: V, span: [0, 18], meter: none}
  load: {ask: Voltage under load, short: load, unit: V, span: [0, 18], meter: none, needs: [tester]}
  crank: {ask: Voltage while cranking, short: crank, unit: V, span: [0, 18], meter: none, optional: true}
equipment: [tester]
limits:
  low: {is: 12 V, source: invented}
steps:
  first: {kind: measure, title: First, take: [volts, crank], together: true, by: volts, bands: [{below: limits.low, to: charge}, {to: loaded}]}
  charge: {kind: charge, title: Charge, to: loaded}
  loaded: {kind: measure, title: Load, take: [load], unable: {to: worn}, by: load, bands: [{below: limits.low, to: worn}, {to: good}]}
findings:
  worn:
    title: Worn out
    action: fit
    rests_on: [load, {one_of: [crank, done(charge)]}]
    customer: ["It is worn out.", {when: known(load), say: "It fell to {load}."}, {when: known(volts) and volts >= limits.low, say: "It was charged."}]
  good: {title: Good, action: none}
`

func TestAFindingIsFirmOnlyWithWhatItRestsOn(t *testing.T) {
	lib, faults := Load([]Source{{Name: "t.yaml", Data: []byte(evidenceTree)}})
	require.True(t, faults.Empty(), faults)
	for _, c := range []struct {
		lines    []string
		missing  []string
		customer string
	}{
		{[]string{"rest 12.5", "crank 9", "load 9"}, nil, "It is worn out. It fell to 9 V. It was charged."},
		{[]string{"rest 12.5", "skip crank", "load 9"}, []string{"voltage while cranking or charge: skipped"}, "It is worn out. It fell to 9 V. It was charged."},
		{[]string{"rest 11", "skip crank", "done", "load 9"}, nil, "It is worn out. It fell to 9 V."},
		{[]string{"rest 11", "crank 9", "done", "unable no room"}, []string{"voltage under load: could not be taken: no room"}, "It is worn out."},
	} {
		w := NewWalk(lib.Tree("t"), FindMeter("workshop"), Kit{})
		say(t, w, c.lines...)
		r := w.Next().Result
		require.Equal(t, "worn", r.Finding.ID, c.lines)
		var missing []string
		for _, m := range r.Missing {
			missing = append(missing, m.Text)
		}
		require.Equal(t, c.missing, missing, c.lines)
		require.Equal(t, map[bool]Certainty{true: Firm, false: Likely}[len(missing) == 0], r.Certainty)
		require.Equal(t, c.customer, r.Customer, c.lines)
	}
}

func TestWithoutTheEquipmentTheFindingSaysSo(t *testing.T) {
	lib, faults := Load([]Source{{Name: "t.yaml", Data: []byte(evidenceTree)}})
	require.True(t, faults.Empty(), faults)
	w := NewWalk(lib.Tree("t"), FindMeter("workshop"), Kit{Has: []string{}})
	say(t, w, "rest 12.5", "crank 9")
	r := w.Next().Result
	require.Len(t, r.Missing, 1)
	require.Contains(t, r.Missing[0].Text, "voltage under load: no ")
	require.Contains(t, r.Missing[0].Text, "tester")
}

func TestRestsOnNamesWhatIsThere(t *testing.T) {
	for _, c := range [][2]string{
		{"rests_on: [lood]", `"lood" is not a declared reading; did you mean "load"?`},
		{"rests_on: [done(charg)]", `"charg" is not a step of this tree; did you mean "charge"?`},
		{"rests_on: [{any: [load]}]", "write a reading, done(STEP), or `one_of:` with a list of them"},
		{"open: [{say: Well.}]", "a sentence with a condition needs `when: GUARD` and `say: TEXT`"},
	} {
		_, faults := Load([]Source{{Name: "t.yaml", Data: []byte(evidenceTree[:len(evidenceTree)-len("  good: {title: Good, action: none}\n")] + "  good: {title: Good, action: none, " + c[0] + "}\n")}})
		require.NotZero(t, faults.Len(), c[0])
		require.Contains(t, faults.Sorted()[0].Message, c[1])
	}
}
