package prove

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestWaysOfDoubtAreFollowed proves trees in which only a close call, or "not sure",
// comes to a step that lacks a reading.
func TestWaysOfDoubtAreFollowed(t *testing.T) {
	const begin = head + `readings:
  way: {ask: Which way, short: way, choices: [a, b], fact: true}
  sort: {ask: Sort, short: sort, choices: [flooded, agm], fact: true}
  colour: {ask: Colour, short: colour, choices: [clean, green], unsure: true}
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
	} {
		t.Run(name, func(t *testing.T) {
			assert.Equal(t, c.rule, strings.Join(broken(Library(sample(t, c.tree), nil, Options{})), " "))
		})
	}
}
