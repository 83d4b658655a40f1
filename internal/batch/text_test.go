package batch

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// pageOf is the page of text on what some readings come to in the small tree.
func pageOf(t *testing.T, set ...string) string {
	d := smallDecider(t)
	return string(d.Text(d.Decide(rowOf(t, d, set...))))
}

func TestTextSaysHowReadingsCompare(t *testing.T) {
	text := pageOf(t, "complaint=turns slowly", "rest_voltage=12.7", "case_shape=sound", "earth_drop=2.1")
	assert.Contains(t, text, "Read: What happens at the key: turns slowly, asked\n")
	assert.Contains(t, text, "Held against: battery voltage at rest (12.70 V ± 0.06 V) is at or above 12.40 V (charged); ", "the last band is true of what the first denies")
	assert.NotContains(t, text, ": yes")
	assert.NotContains(t, text, ": no\n")
}

func TestComparisonsInWords(t *testing.T) {
	for want, c := range map[string]engine.Comparison{
		"ice (none seen) is not ice or slush":         {Left: "ice", Value: "none seen", Is: "is not", Limit: "ice or slush", Holds: "clear"},
		"ice is ice or slush":                         {Left: "ice", Value: "ice or slush", Is: "is", Limit: "ice or slush", Holds: "clear"},
		"ice (not sure) may or may not be none seen":  {Left: "ice", Value: "not sure", Is: "is", Limit: "none seen", Holds: "too close to call"},
		"rest (12.42 V) is too close to 12.40 V":      {Left: "rest", Value: "12.42 V", Is: "is too close to", Limit: "12.40 V", Holds: "too close to call", Drawn: true},
		"how rest compares with 12.40 V is not known": {Left: "rest", Limit: "12.40 V", Holds: "not known"},
		"crank current is not known":                  {Left: "crank current", Is: "is not known", Holds: "clear"},
	} {
		assert.Equal(t, want, compared(c))
	}
	assert.Equal(t, "Is there ice? none", told("Is there ice?", "none"))
}

func TestTextCountsWhatWasNotNeeded(t *testing.T) {
	text := pageOf(t, "complaint=turns slowly", "rest_voltage=12.7", "case_shape=sound", "earth_drop=2.1")
	assert.Contains(t, text, "Not needed\n  Findings that were not looked for on this way: 1\n  --json has their names.\n")
	assert.NotContains(t, text, "Battery worn out")
	assert.Contains(t, text, "How sure: firm")
}

func TestTextNamesWhatCouldNotBeTested(t *testing.T) {
	var b strings.Builder
	f := func(title string) *engine.Finding { return &engine.Finding{Title: title} }
	r := &engine.Result{Finding: f("Locked engine"), Cleared: []*engine.Finding{f("Bad strap")}, NotTested: []engine.NotTested{
		{Finding: f("Worn starter"), Why: "could not be taken: no clamp"}, {Finding: f("Flat battery"), Why: "tested, neither found nor ruled out"},
	}}
	page{&b}.doubts(r)
	assert.Equal(t, "\nRuled out\n  Bad strap\n\nCould not be tested\n  Worn starter: could not be taken: no clamp\n"+
		"\nNot needed\n  Findings that what was read neither shows nor rules out: 1\n  --json has their names.\n", b.String())
}

func TestTextOfAStopIsShort(t *testing.T) {
	text := pageOf(t, "complaint=silence", "rest_voltage=12.0", "case_shape=swollen")
	assert.Contains(t, text, "\nThe tests stopped at this finding, so nothing else was tested.\n")
	assert.NotContains(t, text, "firm")
	assert.NotContains(t, text, "Not needed")
}

func TestTextSaysWhatIsStillChanged(t *testing.T) {
	var b strings.Builder
	page{&b}.finding(&engine.Result{Finding: &engine.Finding{Title: "Starter stuck on"}, PutBack: []string{"negative_lead_off", "fuse_out"}, Back: map[string]string{"negative_lead_off": "Put it on last."}})
	assert.Contains(t, b.String(), "  Still changed on the vehicle: negative lead off: Put it on last.\n  Still changed on the vehicle: fuse out\n")
}

func TestAGapInATreeIsSaidOnce(t *testing.T) {
	const gap = `
tree: gap
title: A tree with a gap
edition: 1
begin: rest
readings:
  rest_voltage: {ask: Battery voltage at rest, short: rest, unit: V, span: [0, 18]}
limits:
  low: {is: 12 V, source: definition}
  high: {is: 13 V, source: definition}
steps:
  rest:
    kind: measure
    title: Rest voltage
    take: [rest_voltage]
    branches:
      - {if: rest_voltage < limits.low, to: flat}
      - {if: rest_voltage > limits.high, to: full}
findings:
  flat: {title: Flat, action: charge}
  full: {title: Full, action: nothing}
`
	lib, faults := engine.Load([]engine.Source{{Name: "gap.yaml", Data: []byte(gap)}})
	var said strings.Builder
	faults.Print(&said)
	require.True(t, faults.Empty(), said.String())
	d := &Decider{Tree: lib.Tree("gap"), Meter: engine.FindMeter("workshop")}
	r := d.Decide(rowOf(t, d, "rest=12.5"))
	require.Equal(t, Bad, r.State())
	assert.EqualError(t, r.Err, `step "rest": no branch holds for these answers; the tree has a gap here`)
}
