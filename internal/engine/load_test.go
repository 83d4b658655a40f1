package engine

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestListsOfFaultsAddUp(t *testing.T) {
	const tree = `tree: van
title: A van
edition: 1
begin: look
readings:
  lamps: {ask: The lamps light up, short: lamps, choices: [bright, dark]}
steps:
  look: {kind: inspect, title: Look, take: [lamps], by: lamps, cases: {bright: good, dark: bad}}
findings:
  good: {title: It is the tail lift, action: repair, faults: [tail_lift_left_on]}
  bad: {title: It is the battery, action: charge, faults: [battery_discharged]}
`
	sources := []Source{
		{Name: "van.yaml", Data: []byte(tree)},
		{Name: "one.yaml", Data: []byte("faults:\n  - {id: battery_discharged, title: Battery discharged}\n")},
		{Name: "two.yaml", Data: []byte("faults:\n  - {id: tail_lift_left_on, title: Tail lift left on}\n")},
	}
	lib, faults := Load(sources)
	require.True(t, faults.Empty())
	require.NotNil(t, lib.Tree("van"))
	assert.Len(t, lib.FaultKinds(), 2)

	_, faults = Load(append(sources, Source{Name: "three.yaml", Data: sources[2].Data}))
	var told bytes.Buffer
	faults.Print(&told)
	assert.Equal(t, `three.yaml:2:10: fault "tail_lift_left_on" is declared twice [duplicate-name]
    2 |   - {id: tail_lift_left_on, title: Tail lift left on}
      |          ^^^^^^^^^^^^^^^^^
two.yaml:2:5: it is declared here already
`, told.String())
}

// Of a shared limit that cannot be read only the limit is told, and not the steps that
// would be held against it.
func TestALimitThatCannotBeReadIsToldAlone(t *testing.T) {
	_, faults := Load([]Source{
		{Name: "a.yaml", Data: []byte("tree: a\ntitle: A\nedition: 1\nuse: [z]\nbegin: look\nsteps: {look: {kind: measure, title: Look, take: [volts], by: volts, bands: [{below: limits.low, to: good}, {to: good}]}}\nfindings: {good: {title: Good, action: none}}\n")},
		{Name: "z.yaml", Data: []byte("shared: z\nreadings: {volts: {ask: Volts, short: posts, unit: V, span: [0, 18]}}\nlimits: {low: {table: {over: volts, points: [11: 10.5, 12.6: 12.1], outside: hold_end}, unit: V, source: definition}}\n")},
	})
	var b bytes.Buffer
	faults.Print(&b)
	require.Equal(t, 1, faults.Len(), b.String())
	assert.Equal(t, `a point is a pair in brackets, V and V: write [11, 10.5]`, faults.Sorted()[0].Message)
}
