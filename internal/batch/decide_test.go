package batch

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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
			require.Equal(t, Found, r.State(), "%s", d.Text(r))
			assert.Equal(t, c.finding, r.Ending.Finding.ID)
			assert.Equal(t, c.path, strings.Join(pathOf(d, r), " "))
			assert.Equal(t, c.unused, d.jsonOf(r).Unused)
		})
	}
}

// pathOf lists the steps passed, from the JSON of a result.
func pathOf(d *Decider, r *Result) []string {
	var steps []string
	for _, v := range d.jsonOf(r).Path {
		steps = append(steps, v.Step)
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
			j := d.jsonOf(r)
			assert.Equal(t, c.step, j.Next.Step)
			var wants []string
			for _, reading := range j.Next.Readings {
				wants = append(wants, reading.Name)
			}
			assert.Equal(t, c.wants, wants)
			assert.Equal(t, c.done, j.Next.Done)
			assert.NotEmpty(t, j.Remaining)
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

// Each result holds everything a later reader needs to check it.
func TestJSONHoldsTheWholeDecision(t *testing.T) {
	d := smallDecider(t)
	text := d.JSON(d.Decide(rowOf(t, d, "vehicle=van 3", "complaint=turns slowly", "rest_voltage=12.7", "case_shape=sound", "earth_drop=2.1")))
	var got map[string]any
	require.NoError(t, json.Unmarshal(text, &got))
	for _, key := range []string{"vehicle", "tree", "edition", "hash", "meter", "state", "finding", "certainty", "path", "takes", "not_tested"} {
		assert.Contains(t, got, key)
	}
	assert.Equal(t, "van 3", got["vehicle"])
	assert.Equal(t, "firm", got["certainty"])
	assert.Equal(t, []any{"strap_high"}, got["finding"].(map[string]any)["faults"])
	for _, step := range got["path"].([]any) {
		assert.NotEmpty(t, step.(map[string]any)["explanation"].(map[string]any)["claim"])
	}
	best := map[any]any{}
	for _, take := range got["takes"].([]any) {
		best[take.(map[string]any)["reading"]] = take.(map[string]any)["best"]
	}
	assert.Equal(t, map[string]any{"value": 2.1, "unit": "V"}, best["earth_drop"])
	assert.Nil(t, best["complaint"], "a choice is no quantity")
}

func TestTextShowsNoControlCodes(t *testing.T) {
	d := smallDecider(t)
	r := d.Decide(rowOf(t, d, "vehicle=van\x1b[2J\u202e3", "complaint=turns slowly", "rest_voltage=12.7", "case_shape=sound", "earth_drop=2.1"))
	assert.NotContains(t, string(d.Text(r)), "\x1b")
	assert.NotContains(t, string(d.Text(r)), "\u202e")
	assert.NotContains(t, d.Line(r), "\x1b")
	assert.NotContains(t, string(d.CSV(r)), "\x1b")
}
