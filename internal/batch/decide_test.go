package batch

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/report"
)

func TestDecideReachesAFinding(t *testing.T) {
	d := smallDecider(t)
	for _, c := range []struct {
		name    string
		set     []string
		finding string
		path    string
		unused  []string
	}{
		{"straight", []string{"complaint=turns slowly", "rest_voltage=12.7", "case_shape=sound", "earth_drop=2.1"}, "strap", "look rest earth", nil},
		{"typed as in a walk", []string{"complaint=turns slowly", "rest_voltage=12700 mV", "case_shape=sound", "earth_drop=0,1 V"}, "no_fault", "look rest earth", nil},
		{"a later take", []string{"complaint=silence", "rest_voltage=12.0", "case_shape=sound", "charge.done=yes", "recheck.rest_voltage=12.0"}, "worn_out", "look rest charge recheck", nil},
		{"a hazard stops", []string{"complaint=silence", "rest_voltage=12.0", "case_shape=swollen"}, "damaged", "look rest charge", nil},
		{"unable", []string{"complaint=silence", "rest_voltage=12.7", "case_shape=sound", "earth.unable=no room"}, "not_judged", "look rest earth", []string{"case_shape"}},
		{"not asked for", []string{"complaint=turns normally", "rest_voltage=12.7", "odometer=120000"}, "no_fire", "look", []string{"rest_voltage"}},
		{"odd, and nobody there to ask", []string{"complaint=silence", "rest_voltage=-12.7", "case_shape=sound", "charge.done=yes", "recheck.rest_voltage=12.0"}, "worn_out", "look rest charge recheck", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := d.Decide(rowOf(t, d, c.set...))
			require.NoError(t, r.Err)
			require.Equal(t, Found, r.State(), r.Summary())
			assert.Equal(t, c.finding, r.Ending.Finding.ID)
			assert.Equal(t, c.path, strings.Join(pathOf(r), " "))
			var unused []string
			for _, take := range report.NewDocument(r.Record()).Dropped {
				unused = append(unused, take.Reading)
			}
			assert.Equal(t, c.unused, unused)
		})
	}
}

// pathOf lists the steps passed.
func pathOf(r *Result) []string {
	var steps []string
	for _, v := range r.Record().Rounds[0].Steps {
		steps = append(steps, v.Step.ID)
	}
	return steps
}

func TestDecideSaysWhatIsNeededNext(t *testing.T) {
	d := smallDecider(t)
	for _, c := range []struct {
		name  string
		set   []string
		step  string
		wants []string
		done  bool
	}{
		{"nothing given", nil, "look", []string{"complaint", "odometer"}, false},
		{"a first take", []string{"complaint=silence"}, "rest", []string{"rest_voltage"}, false},
		{"a hazard check", []string{"complaint=silence", "rest_voltage=12.7"}, "earth", []string{"case_shape"}, false},
		{"a step to be done", []string{"complaint=silence", "rest_voltage=12.0", "case_shape=sound"}, "charge", nil, true},
		{"a step said not to be done", []string{"complaint=silence", "rest_voltage=12.0", "case_shape=sound", "charge.done=no"}, "charge", nil, true},
		{"a take again", []string{"complaint=silence", "rest_voltage=12.0", "case_shape=sound", "charge.done=yes"}, "recheck", []string{"recheck.rest_voltage"}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := d.Decide(rowOf(t, d, c.set...))
			require.Equal(t, More, r.State())
			next := report.NewDocument(r.Record()).Next
			assert.Equal(t, c.step, next.Step)
			var wants []string
			for _, reading := range next.Readings {
				wants = append(wants, reading.Name)
			}
			assert.Equal(t, c.wants, wants)
			assert.Equal(t, c.done, next.Done)
			assert.NotEmpty(t, next.Possible)
			for _, name := range wants {
				assert.Contains(t, r.Needs(), "  "+name+": ")
			}
			assert.Equal(t, c.done, strings.Contains(r.Needs(), ".done: that the step was carried out [yes]"))
		})
	}
}

func TestDecideSaysWhatIsWrong(t *testing.T) {
	d := smallDecider(t)
	for _, c := range []struct {
		name string
		set  []string
		says string
	}{
		{"not a number", []string{"complaint=silence", "rest_voltage=full"}, `"rest_voltage" is "full": `},
		{"outside the span", []string{"complaint=silence", "rest_voltage=24"}, `"rest_voltage" is "24": `},
		{"not a choice", []string{"complaint=purrs"}, `"complaint" is "purrs": `},
		{"another unit", []string{"complaint=silence", "rest_voltage=12.6 A"}, `"rest_voltage" is "12.6 A": `},
		{"a step without another way on", []string{"complaint=silence", "rest_voltage=12.7", "look.unable=no lamp"}, `step "look" has no other way on: take its readings, or leave this empty`},
		{"done or not", []string{"complaint=silence", "rest_voltage=12.0", "case_shape=sound", "charge.done=perhaps"}, `"charge.done" is "perhaps": expected yes or no`},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := d.Decide(rowOf(t, d, c.set...))
			require.Equal(t, Bad, r.State())
			assert.ErrorContains(t, r.Err, c.says)
		})
	}
}

func TestFixSaysWhatIsWrong(t *testing.T) {
	d := smallDecider(t)
	row := NewRow(d.Tree)
	require.NoError(t, row.Fix("rest_voltage = 12.6 V"))
	for assignment, says := range map[string]string{
		"rest_voltage":        `"rest_voltage": expected name=value, as in rest_voltage=12.6`,
		"rest_voltage=12.7":   `"rest_voltage" is given twice`,
		"complaint=":          `"complaint=": there is no value after the equals sign`,
		"complant=silence":    `"complant" is not a reading of tree "small"; did you mean "complaint"?`,
		"erth.earth_drop=0.1": `"erth" is not a step of tree "small"; did you mean "earth"?`,
		"earth.dune=yes":      `step "earth" takes no reading "dune"; did you mean "done"?`,
	} {
		assert.EqualError(t, row.Fix(assignment), says)
	}
}

// Each result holds the report on which a later reader can check it, as it is written
// for a job.
func TestJSONIsAnEnvelopeRoundTheReport(t *testing.T) {
	d := smallDecider(t)
	r := d.Decide(rowOf(t, d, "vehicle=van 3", "complaint=turns slowly", "rest_voltage=12.7", "case_shape=sound", "earth_drop=2.1"))
	var got struct {
		Decide         int
		Vehicle, State string
		Record         json.RawMessage
	}
	require.NoError(t, json.Unmarshal(r.JSON(), &got))
	assert.Equal(t, 2, got.Decide)
	assert.Equal(t, "van 3", got.Vehicle)
	assert.Equal(t, "finding", got.State)
	var b bytes.Buffer
	require.NoError(t, report.JSON(&b, d.Decide(rowOf(t, d, "vehicle=van 3", "complaint=turns slowly", "rest_voltage=12.7", "case_shape=sound", "earth_drop=2.1")).Record()))
	assert.JSONEq(t, b.String(), string(got.Record))

	var doc report.Document
	require.NoError(t, json.Unmarshal(got.Record, &doc))
	assert.Equal(t, d.Tree.Hash, doc.Trees[0].Hash)
	assert.Equal(t, "workshop", doc.Kit.Meter)
	assert.Equal(t, "vehicle: van 3", doc.Notes[0].Text)
	result := doc.Rounds[0].Result
	assert.Equal(t, "firm", result.Certainty)
	assert.Equal(t, []string{"strap_high"}, result.Faults)
	seqs := map[int]string{}
	for _, take := range doc.Takes {
		assert.NotContains(t, seqs, take.Seq, "each answer of a row has a number of its own")
		seqs[take.Seq] = take.Reading
		if take.Reading == "earth_drop" {
			assert.Equal(t, &report.Quantity{Value: 2.1, Unit: "V"}, take.Best)
		}
	}
	for _, step := range doc.Rounds[0].Steps {
		assert.NotEmpty(t, step.Why.Claim)
		for _, seq := range step.Takes {
			assert.NotEmpty(t, seqs[seq])
		}
	}
}

func TestAnErrorHasNoRecord(t *testing.T) {
	d := smallDecider(t)
	assert.JSONEq(t, `{"decide":2,"vehicle":"van 3","state":"error","error":"\"rest_voltage\" is \"full\": \"full\" is not a number: type one such as 12.55"}`,
		string(d.Decide(rowOf(t, d, "vehicle=van 3", "rest_voltage=full")).JSON()))
}

func TestNoControlCodesAreShown(t *testing.T) {
	d := smallDecider(t)
	r := d.Decide(rowOf(t, d, "vehicle=van\x1b[2J\u202e3", "complaint=turns slowly", "rest_voltage=12.7", "case_shape=sound", "earth_drop=2.1"))
	var b bytes.Buffer
	require.NoError(t, report.Text(&b, r.Record(), 80))
	for _, text := range []string{b.String(), r.Summary(), string(d.CSV(r))} {
		assert.NotContains(t, text, "\x1b")
		assert.NotContains(t, text, "\u202e")
	}
}

func TestAGapInATreeIsSaidOnce(t *testing.T) {
	lib, faults := engine.Load([]engine.Source{{Name: "gap.yaml", Data: []byte(`
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
`)}})
	require.True(t, faults.Empty())
	d := &Decider{Tree: lib.Tree("gap"), Meter: engine.FindMeter("workshop")}
	r := d.Decide(rowOf(t, d, "rest=12.5"))
	require.Equal(t, Bad, r.State())
	assert.EqualError(t, r.Err, `step "rest": no branch holds for these answers; the tree has a gap here`)
}
