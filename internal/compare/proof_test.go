package compare

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/engine"
)

// exactMeter is never out.
var exactMeter = &engine.Meter{Name: "exact", Title: "a meter that is never out", Source: "definition"}

func TestNothingIsProvedOfTheSame(t *testing.T) {
	p := Prove(yard(t), yard(t))
	assert.Equal(t, &Proof{Same: 5, InDoubt: 5, SameRules: 1, Divergences: []*Divergence{}}, p)
}

// Each change of meaning is proved, said in the words of the readings, and its
// witness parts whole walks on a meter that is never out, just there.
func TestProofFinds(t *testing.T) {
	old := yard(t)
	for name, c := range map[string]struct {
		swap []string
		want []string
		same int
	}{
		"a limit up": {[]string{"12.4 V", "12.5 V"}, []string{
			"step rest: battery voltage at rest 12.45 V went to earth and now goes to charge",
			"step recheck: battery voltage at rest 12.45 V went to earth and now goes to finding worn_out"}, 3},
		"a limit down": {[]string{"12.4 V", "12.39 V"}, []string{
			"step rest: battery voltage at rest 12.39 V went to charge and now goes to earth",
			"step recheck: battery voltage at rest 12.39 V went to finding worn_out and now goes to earth"}, 3},
		"a limit itself": {[]string{"earth_drop > allowed", "earth_drop >= allowed"}, []string{
			"step earth: drop of the earth path 2.00 V, current while cranking 1000 A went to finding no_fault and now goes to finding strap"}, 4},
		"a factor": {[]string{"0.002 V/A", "0.001 V/A"}, []string{
			"step earth: drop of the earth path 1.50 V, current while cranking 1000 A went to finding no_fault and now goes to finding strap"}, 4},
		"another target": {[]string{"turns slowly: rest", "turns slowly: no_fire"}, []string{
			`step look: what happens at the key "turns slowly" went to rest and now goes to finding no_fire`}, 4},
		"whatever is answered": {[]string{"do: Charge it overnight., to: recheck", "do: Charge it overnight., to: earth", "silence: rest", "silence: recheck"}, []string{
			`step look: what happens at the key "silence" went to rest and now goes to recheck`,
			"step charge: any answer went to recheck and now goes to earth"}, 3},
		"a side way": {[]string{"unable: {to: not_judged", "unable: {to: no_fault"}, []string{
			"step earth, when it cannot be done: it went to finding not_judged and now goes to finding no_fault"}, 4},
		"a rule turned": {[]string{`case_shape == "sound"'`, `case_shape != "sound"'`}, []string{
			`hazard rule swollen: battery case "sound" was let through and now ends in finding damaged`,
			`hazard rule swollen: battery case "swollen" ended in finding damaged and is now let through`}, 5},
		"the same in other words": {[]string{"{below: limits.charged, to: charge, say: It is too low.}\n      - {to: earth}", "{below: limits.low, to: charge}\n      - {below: limits.charged, to: charge}\n      - {to: earth}", "  path:", "  low: {is: 12 V, source: from memory}\n  path:"}, nil, 5},
	} {
		now := yard(t, c.swap...)
		p := Prove(old, now)
		var got []string
		for _, d := range p.Divergences {
			got = append(got, d.Says)
		}
		assert.Equal(t, c.want, got, name)
		assert.Empty(t, p.Undecided, name)
		assert.Empty(t, p.Never, name)
		assert.Equal(t, c.same, p.Same, name)
		for _, d := range p.Divergences {
			require.True(t, replays(t, old, now, p, d), "%s: %s", name, d.Says)
		}
	}
}

// replays puts a witness into walks that come to its step and reports whether one
// parts there.
func replays(t require.TestingT, old, now *engine.Tree, p *Proof, d *Divergence) bool {
	tr := newTrial(old, now, nil, p)
	tr.meter = exactMeter
	dice := rand.New(rand.NewPCG(1, 2))
	tr.run(seed{answers: answers{}}, nil)
	for range 300 {
		from := tr.corpus[dice.IntN(len(tr.corpus))]
		changed, keys := tr.change(from, dice)
		tr.run(seed{answers: changed}, keys)
	}
	before := d.Walks
	for _, s := range slices.Clone(tr.corpus) {
		require.NotEmpty(t, s.steps)
		a := s.answers
		if d.compared.Old != nil {
			a, _ = tr.fromWitness(d, s, -1, 0)
		} else {
			a = maps.Clone(a)
			a[keyOf("case_shape", 0)] = answer{choice: d.shown.Shown[0].Words[first(d.shown.Shown[0].Value.Set)]}
		}
		was, is := tr.play(old, a), tr.play(now, a)
		tr.attribute(was, is, nil)
		if d.Walks > before {
			return true
		}
	}
	return false
}

func first(set uint64) int {
	for i := range 64 {
		if set&(1<<uint(i)) != 0 {
			return i
		}
	}
	return -1
}

// TestWalksPartOnlyWhereProved holds the proof to walks of random pairs of editions
// on a meter that is never out: wherever two walks with the same answers part, that
// pair of ways was proved to have answers in common.
func TestWalksPartOnlyWhereProved(t *testing.T) {
	parted, same := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		edit := func(name string) *engine.Tree {
			volts := fmt.Sprintf("%.2f V", float64(rapid.IntRange(1235, 1245).Draw(rt, name+" charged"))/100)
			path := rapid.SampledFrom([]string{"0.002 V/A", "0.001 V/A"}).Draw(rt, name+" path")
			guard := rapid.SampledFrom([]string{"earth_drop > allowed", "earth_drop >= allowed", "not (earth_drop <= allowed)", "earth_drop > allowed and case_shape == \"sound\""}).Draw(rt, name+" guard")
			to := rapid.SampledFrom([]string{"rest", "earth", "no_fire"}).Draw(rt, name+" to")
			rule := rapid.SampledFrom([]string{`case_shape == "sound"'`, `case_shape in ["sound"]'`, `case_shape != "sound"'`}).Draw(rt, name+" rule")
			return yard(t, "12.4 V", volts, "0.002 V/A", path, "if: earth_drop > allowed", "if: '"+guard+"'", "turns slowly: rest", "turns slowly: "+to, `case_shape == "sound"'`, rule)
		}
		old, now := edit("old"), edit("new")
		p := Prove(old, now)
		require.Empty(rt, p.Undecided)
		tr := newTrial(old, now, nil, p)
		tr.meter = exactMeter
		dice := rand.New(rand.NewPCG(1, 2))
		tr.run(seed{answers: answers{}}, nil)
		for range 60 {
			from := tr.corpus[dice.IntN(len(tr.corpus))]
			a, keys := tr.change(from, dice)
			was, is := tr.play(old, a), tr.play(now, a)
			tr.run(seed{answers: a}, keys)
			i := partAt(was, is)
			if i >= 0 && (was.path[i] == was.steps[i].Unable) != (is.path[i] == is.steps[i].Unable) {
				continue // only one of them has asked what cannot be answered
			}
			if i < 0 {
				same++
				continue
			}
			parted++
			require.True(rt, slices.ContainsFunc(p.Divergences, func(d *Divergence) bool { return d.here(was.steps[i].ID, was.path[i], is.path[i]) }),
				"at %s: %s and %s", was.steps[i].ID, was.path[i].Text, is.path[i].Text)
		}
	})
	assert.Positive(t, parted)
	assert.Positive(t, same)
}

// partAt is where two walks part, -1 when they do not.
func partAt(was, is *walk) int {
	for i := range min(len(was.path), len(is.path)) {
		if target(was.path[i].To) != target(is.path[i].To) {
			return i
		}
	}
	return -1
}

// What only one edition has is said, and the rest is proved.
func TestOnlyOneEditionHas(t *testing.T) {
	old := yard(t)
	now := yard(t, "choices: [silence, turns slowly, turns normally]", "choices: [clicks, turns slowly, turns normally]", "silence: rest", "clicks: rest",
		"unit: V, span: [-15, 18]", "unit: V, span: [12.4, 32]", "earth_drop > allowed", `earth_drop > allowed and smell == "none"`, "  case_shape:", "  smell: {ask: Smell, short: smell, choices: [none, foul]}\n  case_shape:", "take: [crank_current, earth_drop]", "take: [smell, crank_current, earth_drop]")
	p := Prove(old, now)
	assert.Equal(t, []string{`"clicks" of reading "complaint" stands only in the new edition`, `"silence" of reading "complaint" stands only in the old edition`, `reading "smell" stands only in the new edition`}, p.Notes)
	require.Len(t, p.Divergences, 1)
	assert.Contains(t, p.Divergences[0].Says, `smell "foul" went to finding strap and now goes to finding no_fault`)

	p = Prove(old, yard(t, "unit: V, span: [-15, 18]", "unit: V, span: [20, 32]"))
	assert.Contains(t, p.Never, `step rest: the spans of reading "rest_voltage" have nothing in common`)
}

// What is too complex is said to be undecided, and tried.
func TestUndecidedIsTried(t *testing.T) {
	var guards []string
	for _, x := range []string{"a", "b", "c", "d", "e", "f", "g"} {
		guards = append(guards, fmt.Sprintf("(first_%s + one_%s < limits.low or one_%s > limits.high)", x, x, x))
	}
	tree := func(high string) *engine.Tree {
		var b strings.Builder
		b.WriteString("tree: knots\ntitle: Knots\nedition: 1\nbegin: s\nreadings:\n")
		for i, x := range []string{"a", "b", "c", "d", "e", "f", "g"} {
			fmt.Fprintf(&b, "  one_%s: {ask: One %d, short: o%d, unit: V, span: [0, 4]}\n  two_%s: {ask: Two %d, short: t%d, unit: V, span: [0, 4], optional: true}\n", x, i, i, x, i, i)
		}
		fmt.Fprintf(&b, "limits: {low: {is: 1 V, source: definition}, high: {is: %s, source: definition}, half: {is: 0.5, source: definition}}\nvalues:\n", high)
		for _, x := range []string{"a", "b", "c", "d", "e", "f", "g"} {
			fmt.Fprintf(&b, "  first_%s: {first_known: [two_%s, limits.half * one_%s], unit: V}\n", x, x, x)
		}
		fmt.Fprintf(&b, "steps:\n  s:\n    kind: inspect\n    title: S\n    together: true\n    take: [one_a, one_b, one_c, one_d, one_e, one_f, one_g, two_a, two_b, two_c, two_d, two_e, two_f, two_g]\n    branches:\n      - {if: '%s', to: f1}\n      - {otherwise: f2}\nfindings: {f1: {title: F1, action: one}, f2: {title: F2, action: two}}\n", strings.Join(guards, " and "))
		return load(t, b.String())
	}
	p := Prove(tree("3 V"), tree("0 V"))
	require.Len(t, p.Undecided, 1)
	assert.Positive(t, p.Undecided[0].Tried)
	require.NotEmpty(t, p.Divergences)
	assert.True(t, p.Divergences[0].ByTrial)
	var b strings.Builder
	p.text(&b)
	assert.Contains(t, strings.Join(strings.Fields(b.String()), " "), "Undecided: step s: too complex to prove; 4000 answers at its limits and beside them were tried, and some of them go another way.")
	assert.Contains(t, b.String(), "(found by trial)")
}

func TestJSON(t *testing.T) {
	old, now := yard(t), yard(t, "12.4 V", "12.5 V")
	p := Prove(old, now)
	r := &Report{Name: "yard", Was: 3, Is: 3, Changes: Changes(old, now), Proof: p, Trial: Try(old, now, nil, p, 300)}
	var b bytes.Buffer
	require.NoError(t, json.NewEncoder(&b).Encode(r))
	var got struct {
		Proof struct {
			Same   int `json:"steps_proved_the_same"`
			Parted []struct {
				Says string
				Ends []struct{ Was, Is string } `json:"findings_by_trial"`
			} `json:"go_another_way"`
		} `json:"by_proof"`
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &got))
	assert.Equal(t, 3, got.Proof.Same)
	require.Len(t, got.Proof.Parted, 2)
	assert.Equal(t, p.Divergences[0].Says, got.Proof.Parted[0].Says)
	assert.NotEmpty(t, got.Proof.Parted[0].Ends)
}
