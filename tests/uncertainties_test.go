package tests

import (
	"encoding/json"
	"math"
	"math/rand"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/calc"
	"deadflat/internal/leadacid"
	"deadflat/internal/unit"
)

// Outside check of the arithmetic of doubt against the Python package
// uncertainties (Debian package python3-uncertainties), which works by other
// means: it differentiates and takes the root of the sum of squares (RSS), the
// GUM's way, where we take the worst case. So its doubt must lie inside ours, and
// not far below: with n sources of doubt the RSS is at least a root of n-th of
// their plain sum. The half-width of each of our inputs stands in for a standard
// uncertainty there.

// pythonOfDebian is the interpreter that the Debian package is installed for.
const pythonOfDebian = "/usr/bin/python3"

// withUncertainties evaluates formulas. A question is {formula, names: {name:
// [best, half-width]}} and its answer [nominal, standard uncertainty]; or it is
// {rows, order, formulas}: readings of several quantities taken together, the
// means of which are put into each formula with their covariances.
const withUncertainties = `
import json, math, sys
import uncertainties
from uncertainties import ufloat, umath
def single(q):
    names = {k: ufloat(v[0], v[1]) for k, v in q["names"].items()}
    r = eval(q["formula"], {"__builtins__": {}, "log": umath.log, "cos": umath.cos, "sin": umath.sin}, names)
    return [r.nominal_value, r.std_dev]
def together(q):
    rows, n = q["rows"], len(q["rows"])
    means = [sum(c) / n for c in zip(*rows)]
    # One independent error for each row, so that the means have the sample's covariances.
    errors = [ufloat(0, 1) for _ in rows]
    scale = math.sqrt(n * (n - 1))
    ins = [m + sum(e * (r[i] - m) / scale for e, r in zip(errors, rows)) for i, m in enumerate(means)]
    names = dict(zip(q["order"], ins))
    outs = [eval(f, {"__builtins__": {}, "cos": umath.cos, "sin": umath.sin}, names) for f in q["formulas"]]
    cov = uncertainties.covariance_matrix(outs)
    pairs = lambda all: [[v.nominal_value, v.std_dev] for v in all]
    return {"inputs": pairs(ins), "outputs": pairs(outs),
            "correlations": [[c / (a.std_dev * b.std_dev) for c, b in zip(row, outs)] for row, a in zip(cov, outs)]}
print(json.dumps([together(q) if "rows" in q else single(q) for q in json.load(sys.stdin)]))
`

// askUncertainties puts questions to the Python package, live, in one run.
func askUncertainties(t *testing.T, questions, answers any) {
	missing := func(why string) {
		why = `python3-uncertainties (a Debian package) cannot be used: the outside check of doubt was not made: ` + why
		if os.Getenv("CI") == "true" || os.Getenv("DEADFLAT_REFERENCES") == "required" {
			t.Fatal(why)
		}
		t.Skip(why)
	}
	if err := exec.Command(pythonOfDebian, "-c", "import uncertainties").Run(); err != nil {
		missing(err.Error())
	}
	in, err := json.Marshal(questions)
	require.NoError(t, err)
	cmd := exec.Command(pythonOfDebian, "-c", withUncertainties)
	cmd.Stdin = strings.NewReader(string(in))
	var said strings.Builder
	cmd.Stderr = &said
	out, err := cmd.Output()
	require.NoError(t, err, said.String())
	require.NoError(t, json.Unmarshal(out, answers), "%s", out)
}

type question struct {
	Formula string                `json:"formula"`
	Names   map[string][2]float64 `json:"names"`
}

// doubted is one kind of result whose doubt is compared: the Value of a function,
// by what it is given.
type doubted struct {
	name     string
	formula  string // over the names of the parameters
	function string
	value    string
	words    map[string]string
	draw     func(r *rand.Rand) map[string]unit.Range
}

// some is a reading of best give or take a share of it and an amount.
func some(r *rand.Rand, lo, hi, share, digits float64) unit.Range {
	best := lo + (hi-lo)*r.Float64()
	return unit.Around(best, math.Abs(best)*share*r.Float64()+digits)
}

var doubts = []doubted{
	{
		"internal resistance, mΩ", "1000*(first_voltage-second_voltage)/(second_current-first_current)", "internal_resistance", "resistance", nil,
		func(r *rand.Rand) map[string]unit.Range {
			return map[string]unit.Range{"first_voltage": some(r, 12.3, 12.8, 0.002, 0.005), "second_voltage": some(r, 9, 11.5, 0.002, 0.005), "first_current": some(r, 1, 10, 0.01, 0.1), "second_current": some(r, 100, 300, 0.02, 1)}
		},
	},
	{
		"voltage left over in the cranking loop, V", "posts-positive_drop-solenoid_drop-motor_voltage-earth_drop", "loop_sum", "left", map[string]string{"cranks": "separate"},
		func(r *rand.Rand) map[string]unit.Range {
			in := map[string]unit.Range{"positive_drop": some(r, 0.1, 0.4, 0.01, 0.005), "solenoid_drop": some(r, 0.05, 0.2, 0.01, 0.005), "motor_voltage": some(r, 9.5, 9.9, 0.005, 0.02), "earth_drop": some(r, 0.1, 0.4, 0.01, 0.005)}
			whole := 0.0
			for _, name := range []string{"positive_drop", "solenoid_drop", "motor_voltage", "earth_drop"} {
				whole += in[name].Best
			}
			in["posts"] = some(r, whole-0.2, whole+0.2, 0.005, 0.02)
			return in
		},
	},
	{
		"drop for each 100 A, V", "100*drop/current", "drop_per_100_amps", "per_100_amps", nil,
		func(r *rand.Rand) map[string]unit.Range {
			return map[string]unit.Range{"drop": some(r, 0.1, 0.5, 0.01, 0.005), "current": some(r, 100, 300, 0.03, 2)}
		},
	},
	{
		"voltage at the starter, V", "rest_voltage-current*(battery_resistance+positive_resistance+earth_resistance)/1000", "starter_voltage", "starter", nil,
		func(r *rand.Rand) map[string]unit.Range {
			return map[string]unit.Range{"rest_voltage": some(r, 12.3, 12.8, 0.002, 0.005), "current": some(r, 100, 200, 0.02, 1), "battery_resistance": some(r, 4, 8, 0.05, 0.1), "positive_resistance": some(r, 0.5, 2, 0.05, 0.1), "earth_resistance": some(r, 0.5, 2, 0.05, 0.1)}
		},
	},
	{
		"current with the earth lead as a shunt, A", "known_current*crank_drop/known_drop", "current_by_shunt", "current", nil,
		func(r *rand.Rand) map[string]unit.Range {
			return map[string]unit.Range{"known_current": some(r, 9, 11, 0.02, 0.05), "crank_drop": some(r, 100, 300, 0.01, 1), "known_drop": some(r, 8, 15, 0.01, 0.1)}
		},
	},
	{
		"days of standing", "capacity*(state_of_charge-needed)/100/(draw*24/1000+capacity*self_discharge/100)", "days_until_no_start", "days", nil,
		func(r *rand.Rand) map[string]unit.Range {
			return map[string]unit.Range{"capacity": some(r, 40, 100, 0.05, 0.5), "state_of_charge": unit.Around(90, 3), "needed": unit.Around(60, 3), "draw": some(r, 20, 100, 0.05, 1), "self_discharge": unit.Around(0.2, 0.02)}
		},
	},
}

// ours works it out by the function.
func (d doubted) ours(t *testing.T, in map[string]unit.Range) unit.Range {
	args := calc.Args{}
	for name, r := range in {
		args[name] = calc.Number(r)
	}
	for name, w := range d.words {
		args[name] = calc.Word(w)
	}
	r, err := leadacid.Find(d.function).Run(args)
	require.NoError(t, err, d.name)
	return valueOf(t, r, d.value)
}

// casesOfEach is how many drawn cases of each kind are compared.
const casesOfEach = 60

func TestDoubtAgainstPythonUncertainties(t *testing.T) {
	random := rand.New(rand.NewSource(2026)) // the same cases on every run
	var ours []unit.Range
	var questions []question
	for _, d := range doubts {
		for range casesOfEach {
			in := d.draw(random)
			r := d.ours(t, in)
			q := question{Formula: d.formula, Names: map[string][2]float64{}}
			for name, v := range in {
				q.Names[name] = [2]float64{v.Best, (v.Hi - v.Lo) / 2}
			}
			ours, questions = append(ours, r), append(questions, q)
		}
	}
	var theirs [][2]float64
	askUncertainties(t, questions, &theirs)
	require.Len(t, theirs, len(ours))
	for i, d := range doubts {
		least, most := math.Inf(1), 0.0
		for k := i * casesOfEach; k < (i+1)*casesOfEach; k++ {
			share := compareDoubt(t, d.name, ours[k], theirs[k], len(questions[k].Names))
			least, most = math.Min(least, share), math.Max(most, share)
		}
		t.Logf("%s: root-sum-square is %.0f to %.0f %% of our worst case", d.name, 100*least, 100*most)
	}
}

// compareDoubt holds one of our ranges against a nominal value and its RSS, and
// gives the share that the RSS has of our half-width.
func compareDoubt(t *testing.T, name string, ours unit.Range, theirs [2]float64, inputs int) float64 {
	half := (ours.Hi - ours.Lo) / 2
	assert.InDelta(t, theirs[0], ours.Best, 1e-9*(1+math.Abs(ours.Best)), name)
	assert.LessOrEqual(t, ours.Lo, theirs[0]-theirs[1]+1e-12, "%s: RSS reaches under our range", name)
	assert.GreaterOrEqual(t, ours.Hi, theirs[0]+theirs[1]-1e-12, "%s: RSS reaches over our range", name)
	share := theirs[1] / half
	// A worst case wider than all doubts in one direction would be a mistake too.
	// The few per cent are for curved formulas.
	assert.GreaterOrEqual(t, share*math.Sqrt(float64(inputs)), 0.9, "%s: our range is wider than its parts", name)
	return share
}

// A meter's gain is common to two readings on one range and cancels in their
// difference in part. That makes the doubt of an internal resistance smaller than
// the worst case of two independent readings, never larger; how much is said.
func TestCommonGainOnlyNarrowsTheDoubt(t *testing.T) {
	const gain, digits, v1, v2, amps = 0.005, 0.02, 12.60, 10.40, 200.0
	reading := func(v float64) unit.Range { return unit.Around(v, gain*v+digits) }
	ours := worked(t, "internal_resistance", "resistance", "first_voltage", reading(v1), "second_voltage", reading(v2), "second_current", unit.Around(amps, 4))
	names := map[string][2]float64{"v1": {v1, digits}, "v2": {v2, digits}, "g": {1, gain}, "g1": {1, gain}, "g2": {1, gain}, "i": {amps, 4}}
	var theirs [][2]float64
	askUncertainties(t, []question{{"1000*(v1*g-v2*g)/i", names}, {"1000*(v1*g1-v2*g2)/i", names}}, &theirs)
	common, apart := theirs[0], theirs[1]
	assert.Less(t, common[1], apart[1])
	assert.LessOrEqual(t, ours.Lo, common[0]-apart[1])
	assert.GreaterOrEqual(t, ours.Hi, common[0]+apart[1])
	half := (ours.Hi - ours.Lo) / 2
	t.Logf("RSS of readings apart %.0f %%, with one gain %.0f %% of our worst case", 100*apart[1]/half, 100*common[1]/half)
}
