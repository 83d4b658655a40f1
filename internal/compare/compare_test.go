package compare

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/prove"
)

// yard loads the tree of the yard with swaps of text: the next edition.
func yard(t testing.TB, swaps ...string) *engine.Tree {
	t.Helper()
	data, err := os.ReadFile("testdata/yard.yaml")
	require.NoError(t, err)
	text := string(data)
	for i := 0; i < len(swaps); i += 2 {
		require.Contains(t, text, swaps[i])
		text = strings.Replace(text, swaps[i], swaps[i+1], 1)
	}
	return load(t, text)
}

func load(t testing.TB, text string) *engine.Tree {
	t.Helper()
	lib, faults := engine.Load([]engine.Source{{Name: "tree.yaml", Data: []byte(text)}})
	var b bytes.Buffer
	faults.Print(&b)
	require.True(t, faults.Empty(), b.String())
	return lib.Trees()[0]
}

func TestNothingChanged(t *testing.T) {
	assert.Empty(t, Changes(yard(t), yard(t)))
	r := Try(yard(t), yard(t), nil, nil, 300)
	assert.Empty(t, r.Differences)
	assert.Equal(t, 300, r.Walks)
}

func TestChanges(t *testing.T) {
	for name, c := range map[string]struct {
		swap []string
		want string
	}{
		"a limit":        {[]string{"12.4 V", "12.3 V"}, `limits charged changed: is "12.4 V" "12.3 V"`},
		"a small change": {[]string{"0.002 V/A", "0.0020001 V/A"}, `limits path changed: is "0.002 V/A" "0.0020001 V/A"`},
		"a safer side":   {[]string{"safer: below", "safer: above"}, `limits charged changed: safer "below" "above"`},
		"a source":       {[]string{"source: 'common practice, no source'", "source: from memory"}, `limits charged changed: source "common practice, no source" "from memory"`},
		"a span":         {[]string{"unit: V, span: [-15, 18]", "unit: V, span: [-15, 32]"}, `readings rest_voltage changed: span "-15 V to 18 V" "-15 V to 32 V"`},
		"a probe":        {[]string{"probe: {red: engine_block", "probe: {red: battery_positive_post"}, `readings earth_drop changed: probe "red engine_block, black battery_negative_post" "red battery_positive_post, black battery_negative_post"`},
		"a choice":       {[]string{"[sound, swollen]", "[sound, swollen, wet]"}, `readings case_shape changed: choices "sound, swollen" "sound, swollen, wet"`},
		"a value":        {[]string{"is: limits.path * crank_current", "is: limits.path * crank_current + limits.path * crank_current"}, `values allowed changed: is "limits.path * crank_current" "limits.path * crank_current + limits.path * crank_current"`},
		"a rule":         {[]string{"kinds: [charge, crank]", "kinds: [charge]"}, `hazard rules swollen changed: kinds "charge, crank" "charge"`},
		"a target":       {[]string{"turns slowly: rest", "turns slowly: earth"}, `steps look changed: way "turns slowly" "step rest" "step earth"`},
		"a guard":        {[]string{"earth_drop > allowed", "earth_drop >= allowed"}, `steps earth changed: way "earth_drop >= allowed" "" "finding strap"; way "earth_drop > allowed" "finding strap" ""`},
		"a side way":     {[]string{"unable: {to: not_judged", "unable: {to: no_fault"}, `steps earth changed: when it cannot be done "finding not_judged" "finding no_fault"`},
		"what it says":   {[]string{"say: It is too low.", "say: Too low."}, `steps rest changed: way "below limits.charged" says "It is too low." "Too low."`},
		"what it clears": {[]string{", clears: [strap]", ""}, `steps earth changed: way "otherwise" rules out "strap" ""`},
		"a take":         {[]string{"take: [crank_current, earth_drop]", "take: [earth_drop, crank_current]"}, `steps earth changed: take "crank_current, earth_drop" "earth_drop, crank_current"`},
		"an action":      {[]string{"action: come_back", "action: hand_over"}, `findings not_judged changed: action "come_back" "hand_over"`},
		"the edition":    {[]string{"edition: 3", "edition: 4"}, `tree yard changed: edition "3" "4"`},
		"a review":       {[]string{"edition: 3", "edition: 3\nreviewed: {by: the foreman, day: 2031-02-01}"}, `tree yard changed: status "draft" "reviewed by the foreman on 2031-02-01"`},
		"the beginning":  {[]string{"begin: look", "begin: first", "  look:\n", "  first: {kind: inspect, title: First, to: look}\n  look:\n"}, `tree yard changed: begin "look" "first"` + "\n" + `steps first added: title "" "First"; kind "" "inspect"; way "always" "" "step look"`},
		"a renamed end":  {[]string{"to: worn_out", "to: worn", "worn_out: {title: Battery worn out", "worn: {title: Battery worn out"}, `steps recheck changed: way "below limits.charged" "finding worn_out" "finding worn"` + "\n" + `findings worn added: title "" "Battery worn out"; action "" "fit_battery"` + "\nfindings worn_out removed"},
	} {
		var lines []string
		for _, ch := range Changes(yard(t), yard(t, c.swap...)) {
			line := fmt.Sprintf("%s %s %s", ch.Part, ch.Name, ch.Did)
			var details []string
			for _, d := range ch.Details {
				details = append(details, fmt.Sprintf("%s %q %q", d.Key, d.Was, d.Is))
			}
			if len(details) > 0 {
				line += ": " + strings.Join(details, "; ")
			}
			lines = append(lines, line)
		}
		assert.Equal(t, c.want, strings.Join(lines, "\n"), name)
	}
}

// Each change of meaning is found by trial, without any worked case; each
// witness is walked once more and does what it is said to do.
func TestTrialFinds(t *testing.T) {
	old := yard(t)
	for name, c := range map[string]struct {
		swap []string
		want string // a difference that must be among those found
	}{
		"a limit up":         {[]string{"12.4 V", "12.5 V"}, ""},
		"a limit by a digit": {[]string{"12.4 V", "12.41 V"}, ""},
		"a strict guard":     {[]string{"earth_drop > allowed", "earth_drop > limits.half", "  path:", "  half: {is: 0.5 V, safer: above, source: from memory}\n  path:"}, "no_fault strap"},
		"another target":     {[]string{"turns slowly: rest", "turns slowly: no_fire"}, ""},
		"another end":        {[]string{"to: worn_out", "to: not_judged"}, "worn_out not_judged"},
		"a rule the less":    {[]string{"kinds: [charge, crank]", "kinds: [charge]"}, ""},
		"a rule turned":      {[]string{`case_shape == "sound"'`, `case_shape != "sound"'`}, ""},
		"a side way":         {[]string{"unable: {to: not_judged", "unable: {to: no_fault"}, "not_judged no_fault"},
	} {
		now := yard(t, c.swap...)
		r := Try(old, now, nil, nil, 600)
		require.NotEmpty(t, r.Differences, name)
		var got []string
		for _, d := range r.Differences {
			assert.NotEqual(t, d.Was, d.Is)
			assert.NotEmpty(t, d.Answers, name)
			assert.Positive(t, d.Times)
			got = append(got, idOf(d.Was)+" "+idOf(d.Is))
			assert.Equal(t, idOf(d.Was), replayed(t, old, d), name)
			assert.Equal(t, idOf(d.Is), replayed(t, now, d), name)
		}
		if c.want != "" {
			assert.Contains(t, got, c.want, name)
		}
	}
}

func idOf(told string) string { return told[strings.LastIndexByte(told, '(')+1 : len(told)-1] }

// replayed types a witness into a walk, as a person would who has only the words.
func replayed(t *testing.T, tree *engine.Tree, d *Difference) string {
	w := engine.NewWalk(tree, engine.FindMeter("workshop"), engine.Kit{})
	asked := map[string]int{}
	for range 30 {
		p := w.Next()
		if p.Result != nil {
			return p.Result.Finding.ID
		}
		ev := engine.Event{At: begun, Do: engine.DoDone, Step: p.Step.ID}
		switch {
		case p.Gate == nil && p.Step.Unable != nil && slices.ContainsFunc(d.Answers, func(s Said) bool { return s.Ask == "step "+p.Step.ID }):
			ev = engine.Event{At: begun, Do: engine.DoUnable, Step: p.Step.ID, Text: "tried"}
		case !p.Ack:
			r := p.Fields[0].Reading
			text := sayings(d, r.ID, asked[r.ID])
			asked[r.ID]++
			ev = engine.Event{At: begun, Do: engine.DoSkip, Step: p.Step.ID, Reading: r.ID}
			if text != "skipped" {
				a, refusal := r.Parse(text, nil)
				require.Nil(t, refusal, "%s %q", r.ID, text)
				a.Sure = true
				ev = engine.Event{At: begun, Do: engine.DoAnswer, Step: p.Step.ID, Reading: r.ID, Answer: &a}
			}
		}
		out, err := w.Answer(ev)
		require.NoError(t, err)
		require.Nil(t, out.Refused)
	}
	return "no end"
}

// sayings finds what a witness says of a reading when it is asked for.
func sayings(d *Difference, reading string, asked int) string {
	name := strings.ReplaceAll(reading, "_", " ") + again(asked)
	for _, s := range d.Answers {
		if s.Ask == name {
			return s.Text
		}
	}
	return ""
}

// A worked case that comes out otherwise is the witness, whatever else was tried.
func TestWorkedCasesAreTheWitness(t *testing.T) {
	old, now := yard(t), yard(t, "12.4 V", "12.8 V")
	w := engine.NewWalk(old, engine.FindMeter("workshop"), engine.Kit{})
	for _, typed := range []string{"silence", "12.6", "", "sound", "100", "0.1"} {
		p := w.Next()
		r := p.Fields[0].Reading
		ev := engine.Event{At: begun, Do: engine.DoSkip, Step: p.Step.ID, Reading: r.ID}
		if typed != "" {
			a, refusal := r.Parse(typed, nil)
			require.Nil(t, refusal)
			ev = engine.Event{At: begun, Do: engine.DoAnswer, Step: p.Step.ID, Reading: r.ID, Answer: &a}
		}
		_, err := w.Answer(ev)
		require.NoError(t, err)
	}
	require.NotNil(t, w.Next().Result)
	r := Try(old, now, []prove.Walked{{Case: "quiet morning", Record: w.Record()}}, nil, 400)
	assert.Equal(t, 1, r.FromCases)
	i := slices.IndexFunc(r.Differences, func(d *Difference) bool { return d.Exactly })
	require.GreaterOrEqual(t, i, 0)
	d := r.Differences[i]
	assert.Equal(t, "quiet morning", d.Case)
	assert.Equal(t, "Rest voltage", d.At)
	assert.Equal(t, "the rest, to step earth", d.WasTaken)
	assert.Equal(t, "below limits.charged, to step charge", d.IsTaken)
	for _, s := range d.Answers {
		assert.NotEqual(t, Swapped, s.From)
	}
}

// TestAnAnswerThatOneEditionDoesNotTake: the witness says what stood in its place.
func TestAnAnswerThatOneEditionDoesNotTake(t *testing.T) {
	r := Try(yard(t, "[sound, swollen]", "[sound, swollen, wet]"), yard(t), nil, nil, 300)
	require.NotEmpty(t, r.Differences)
	assert.Contains(t, fmt.Sprint(r.Differences[0].Answers), "wet in the old edition, sound in the new")
}

func TestText(t *testing.T) {
	old, now := yard(t), yard(t, "12.4 V", "12.3 V", "to: worn_out", "to: not_judged")
	r := &Report{Name: "yard", Was: 3, Is: 3, Changes: Changes(old, now), Proof: Prove(old, now), Trial: Try(old, now, nil, nil, 400), Unwalked: []string{"cases.yaml:1:1: no such reading"}}
	var b, again bytes.Buffer
	require.NoError(t, r.Text(&b))
	text := b.String()
	assert.Contains(t, text, "The number of the edition has not been raised")
	assert.Contains(t, text, "      is: was 12.4 V, is 12.3 V\n")
	assert.Contains(t, text, "by trial, not by proof")
	assert.Contains(t, text, "Was Battery worn out (worn_out), is Earth path not judged (not_judged)")
	assert.Contains(t, text, "Not walked: cases.yaml:1:1: no such reading")
	for _, line := range strings.Split(text, "\n") {
		assert.LessOrEqual(t, len([]rune(line)), lineWidth)
	}
	require.NoError(t, (&Report{Name: "yard", Was: 3, Is: 3, Changes: Changes(old, now), Proof: Prove(old, now), Trial: Try(old, now, nil, nil, 400), Unwalked: r.Unwalked}).Text(&again))
	assert.Equal(t, text, again.String(), "the same every time")
	assert.ErrorIs(t, r.Text(full{}), io.ErrShortWrite)
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, io.ErrShortWrite }

// A tree that has a gap, contradicts itself or is very large ends no differently:
// what it comes to is said.
func TestHostileTrees(t *testing.T) {
	gap := "tree: a\ntitle: a\nedition: 1\nbegin: s\nreadings: {r: {ask: r, short: r, unit: V, span: [0, 1]}}\nlimits: {l: {is: 0.5 V, source: s}}\nsteps: {s: {kind: measure, title: s, take: [r], branches: [{if: r > limits.l, to: f}, {if: r >= limits.l, to: f}]}}\nfindings: {f: {title: f, action: f}}\n"
	whole := strings.Replace(gap, "branches: [{if: r > limits.l, to: f}, {if: r >= limits.l, to: f}]", "to: f", 1)
	r := Try(load(t, whole), load(t, gap), nil, nil, 100)
	require.NotEmpty(t, r.Differences)
	assert.Contains(t, r.Differences[0].Is, "no finding (step \"s\": ")

	var b strings.Builder
	b.WriteString("tree: long\ntitle: long\nedition: 1\nbegin: s0\nreadings: {r: {ask: r, short: r, choices: [a, b]}}\nsteps:\n")
	for i := range 2000 {
		fmt.Fprintf(&b, "  s%d: {kind: inspect, title: s, to: s%d}\n", i, i+1)
	}
	b.WriteString("  s2000: {kind: inspect, title: s, to: f}\nfindings: {f: {title: f, action: f}}\n")
	long := load(t, b.String())
	r = Try(long, long, nil, nil, 2)
	assert.Empty(t, r.Differences)
	assert.Equal(t, 2, r.Walks)
}
