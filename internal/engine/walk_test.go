package engine

import (
	"bytes"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// load reads the fixture trees of one folder under testdata.
func load(t testing.TB, folder string) *Library {
	t.Helper()
	lib, faults := Load(sources(t, folder))
	var b bytes.Buffer
	faults.Print(&b)
	require.True(t, faults.Empty(), b.String())
	return lib
}

func sources(t testing.TB, folder string) []Source {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("testdata", folder, "*.yaml"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	var src []Source
	for _, f := range files {
		b, err := os.ReadFile(f)
		require.NoError(t, err)
		src = append(src, Source{filepath.Base(f), b})
	}
	return src
}

var noon = time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)

// say answers open fields by short name, "rest 12.1", or steps: "done", "skip x",
// "unable why", "undo".
func say(t testing.TB, w *Walk, lines ...string) *Outcome {
	t.Helper()
	var all Outcome
	for _, line := range lines {
		out := sayOne(t, w, line)
		all.Decided = append(all.Decided, out.Decided...)
		all.Stale, all.Said, all.Early, all.Dropped = append(all.Stale, out.Stale...), append(all.Said, out.Said...), append(all.Early, out.Early...), append(all.Dropped, out.Dropped...)
		if out.Refused != nil {
			all.Refused = out.Refused
			break
		}
	}
	return &all
}

func sayOne(t testing.TB, w *Walk, line string) *Outcome {
	t.Helper()
	p := w.Next()
	ev := Event{At: noon.Add(time.Duration(len(w.Events())) * time.Minute)}
	if p.Step != nil {
		ev.Step = p.Step.ID
	}
	verb, rest, _ := strings.Cut(line, " ")
	switch verb {
	case "done", "undo", "round":
		ev.Do = Do(verb)
	case "skip":
		ev.Do, ev.Reading = DoSkip, rest
	case "unable", "note", "suspect":
		ev.Do, ev.Text = Do(verb), rest
	case "put":
		ev.Do, ev.Text = DoPutBack, strings.TrimPrefix(rest, "back ")
	case "away":
		ev.Do, ev.Away = DoResume, rest
	default:
		typed, ref := p.Tree.ParseLine(p.Fields, line, p.Meter)
		if ref != nil {
			return &Outcome{Refused: ref}
		}
		var evs []Event
		for _, a := range typed {
			e := ev
			e.Do, e.Reading, e.Answer = DoAnswer, a.Reading.ID, &a.Answer
			evs = append(evs, e)
		}
		out, err := w.Answer(evs...)
		require.NoError(t, err)
		return out
	}
	out, err := w.Answer(ev)
	require.NoError(t, err)
	return out
}

func TestAChargeMakesReadingsStale(t *testing.T) {
	w := NewWalk(load(t, "small").Tree("small"), FindMeter("workshop"), Kit{Meter: "workshop"})
	require.Equal(t, "first", w.Next().Step.ID)
	out := say(t, w, "rest 11.9")
	require.Nil(t, out.Refused)
	require.Len(t, out.Decided, 1)
	t.Log(strings.Join(out.Decided[0].Lines(), "\n"))
	t.Log(out.Decided[0].Brief())
	p := w.Next()
	require.Equal(t, "charge", p.Step.ID)
	require.NotNil(t, p.Gate)
	say(t, w, "none")
	require.Nil(t, w.Next().Gate)
	out = say(t, w, "done")
	require.NotEmpty(t, out.Stale)
	require.Equal(t, "again", w.Next().Step.ID)
	require.NotNil(t, w.Next().Fields[0].Before)
	out = say(t, w, "12.65")
	t.Log(strings.Join(out.Decided[0].Lines(), "\n"))
	require.Equal(t, "crank", w.Next().Step.ID)
}

// reach walks to the crank step of the small tree.
func atCrank(t testing.TB, meter string) *Walk {
	w := NewWalk(load(t, "small").Tree("small"), FindMeter(meter), Kit{Meter: meter})
	say(t, w, "rest 12.7", "ice none")
	require.Equal(t, "crank", w.Next().Step.ID)
	return w
}

func TestALowestHoldOfAPlateauConvictsNothing(t *testing.T) {
	w := atCrank(t, "workshop")
	out := say(t, w, "temp 20 turned normally crank 8.8 lowest")
	require.Nil(t, out.Refused)
	x := out.Decided[0]
	t.Log(strings.Join(x.Lines(), "\n"))
	require.Equal(t, "earth", w.Next().Step.ID, "8.8 V as a lowest hold may be any plateau above it")
	require.True(t, x.Provisional)
}

func TestADropIsHeldAgainstAnAssumedCurrentOnlyWhenTheEngineTurned(t *testing.T) {
	for _, c := range []struct{ turned, earth, want string }{
		{"slowly", "earth 2.4 engine small skip amps", "strap"},
		{"not at all", "earth 2.4 engine small skip amps", "no_fault"},
	} {
		w := atCrank(t, "workshop")
		w.kit.Has = []string{} // no clamp
		say(t, w, "temp 20 turned "+c.turned+" crank 11.3")
		out := say(t, w, "earth 2.4 engine small")
		require.Nil(t, out.Refused)
		require.NotNil(t, w.Next().Result, w.Next().Fields)
		require.Equal(t, c.want, w.Next().Result.Finding.ID)
		t.Log(strings.Join(out.Decided[0].Lines(), "\n"))
	}
}

// tiny loads a tree of two steps over two voltages.
func tiny(t *testing.T, steps string) *Walk { return tinyWith(t, "", steps) }

func tinyWith(t *testing.T, limits, steps string) *Walk {
	t.Helper()
	lib, faults := Load([]Source{{"tiny.yaml", []byte(`tree: tiny
title: Tiny
edition: 1
begin: first
readings:
  volts: {ask: Volts, short: rest, unit: V, span: [0, 18]}
  extra: {ask: Extra, short: extra, unit: V, span: [0, 18], optional: true}
limits:
  low: {is: 12 V, source: definition, safer: below}
` + limits + `findings:
  good: {title: Good, action: none}
  bad: {title: Bad, action: replace}
  stop: {title: Stop here, action: stop, stop: true}
steps:
` + steps)}})
	var b bytes.Buffer
	faults.Print(&b)
	require.True(t, faults.Empty(), b.String())
	return NewWalk(lib.Tree("tiny"), FindMeter("workshop"), Kit{})
}

func TestARetestTakesItsReadingAgain(t *testing.T) {
	w := tiny(t, `
  first: {kind: measure, title: First, take: [volts], by: volts, bands: [{below: limits.low, to: again}, {to: good}]}
  again: {kind: retest, title: Again, take: [volts], by: volts, bands: [{below: limits.low, to: bad}, {to: good}]}
`)
	say(t, w, "rest 11")
	require.Equal(t, "again", w.Next().Step.ID)
	say(t, w, "rest 12.6")
	require.Equal(t, "good", w.Next().Result.Finding.ID)
}

func TestAnOptionalReadingIsOfferedBeforeAGuardAsksWhetherItIsKnown(t *testing.T) {
	w := tiny(t, `
  first: {kind: measure, title: First, take: [extra], branches: [{if: known(extra) and extra < limits.low, to: bad}, {otherwise: good}]}
`)
	require.Equal(t, "first", w.Next().Step.ID)
	say(t, w, "extra 11")
	require.Equal(t, "bad", w.Next().Result.Finding.ID)
}

func TestACloseCallThatMattersIsLikely(t *testing.T) {
	w := tiny(t, `
  first: {kind: measure, title: First, take: [volts], by: volts, bands: [{below: limits.low, to: bad}, {to: good}]}
`)
	say(t, w, "rest 12.02 ± 0.05")
	r := w.Next().Result
	require.Equal(t, "bad", r.Finding.ID, "the safer side")
	require.Equal(t, Likely, r.Certainty)
	require.Len(t, r.Close, 1)
	require.True(t, r.Close[0].Matters)

	w = tiny(t, `
  first: {kind: measure, title: First, take: [volts], by: volts, bands: [{below: limits.low, to: second}, {to: good}]}
  second: {kind: measure, title: Second, take: [extra], branches: [{if: known(extra) and extra < limits.low, to: bad}, {otherwise: good}]}
`)
	say(t, w, "rest 12.02 ± 0.05", "skip extra")
	require.Equal(t, Firm, w.Next().Result.Certainty, "the other side ends in the same action")
}

func TestAnEarlyAnswerDoesNotSatisfyARetest(t *testing.T) {
	w := tiny(t, `
  first: {kind: measure, title: First, take: [volts, extra], by: volts, together: true, bands: [{below: limits.low, to: stand}, {to: good}]}
  stand: {kind: wait, title: Let it stand, to: again}
  again: {kind: retest, title: Again, take: [volts], by: volts, bands: [{below: limits.low, to: bad}, {to: good}]}
`)
	say(t, w, "rest 11")
	out := say(t, w, "rest 11.5")
	require.Nil(t, out.Refused)
	require.Empty(t, out.Early, "said again on the same page it is a correction")
	say(t, w, "skip extra")
	require.Equal(t, "stand", w.Next().Step.ID)
	say(t, w, "rest 12.6")
	out = say(t, w, "done")
	require.Equal(t, "again", w.Next().Step.ID)
	require.Contains(t, strings.Join(out.Said, " "), "from before this retest")
	say(t, w, "rest 11.2")
	require.Equal(t, "bad", w.Next().Result.Finding.ID)
	require.InDelta(t, 11.5, w.Record().Takes[1].Best, 1e-9, "the correction counted")
}

func TestABareWordIsForTheFieldThatIsAsked(t *testing.T) {
	w := atCrank(t, "workshop")
	say(t, w, "temp 20")
	require.Equal(t, "turned", w.Next().Fields[0].Reading.ID)
	out := say(t, w, "none")
	require.NotNil(t, out.Refused, "none is a word of another reading")
	require.Contains(t, out.Refused.Reason, "normally; slowly")
	require.NotNil(t, say(t, w, "crank 11.3 crank 11.4").Refused, "one reading twice in a line")
}

func TestAHazardStopShowsTheReadingAndTheLimit(t *testing.T) {
	w := small(t)
	say(t, w, "rest 11.9")
	out := say(t, w, "ice seen")
	require.Len(t, out.Decided[0].Rules, 1)
	require.Contains(t, out.Decided[0].Rules[0].sentence(), "seen (not none)")
}

func TestEachProbedReadingOfACrankStepIsACrank(t *testing.T) {
	w := atCrank(t, "workshop")
	say(t, w, "temp 20 turned slowly crank 11.3")
	require.Equal(t, 1, w.Next().Cranks, "taken together")
	say(t, w, "earth 2.4 engine small current 160")
	require.Equal(t, 2, w.Next().Cranks)
}

func TestAReadingForTheReportIsAskedForHoweverClearTheDecision(t *testing.T) {
	w := tiny(t, `
  first: {kind: measure, title: First, take: [volts], record: [extra], by: volts, bands: [{below: limits.low, to: bad}, {to: good}]}
`)
	say(t, w, "rest 12.6")
	require.Nil(t, w.Next().Result)
	require.Equal(t, "extra", w.Next().Fields[0].Reading.ID)
	require.True(t, w.Next().CanSkip)
	say(t, w, "skip extra")
	require.Equal(t, "good", w.Next().Result.Finding.ID)
}

func TestAStepMayHaveManyBranches(t *testing.T) {
	var b strings.Builder
	b.WriteString("  first:\n    kind: measure\n    title: Many\n    take: [volts]\n    by: volts\n    bands:\n")
	var limits strings.Builder
	for i := 1; i <= 150; i++ {
		to := "bad"
		if i > 100 {
			to = "good"
		}
		b.WriteString("      - {below: limits.l" + itoa(i) + ", to: " + to + "}\n")
		limits.WriteString("  l" + itoa(i) + ": {is: " + itoa(i*100) + " mV, source: definition}\n")
	}
	b.WriteString("      - {to: good}\n")
	w := tinyWith(t, limits.String(), b.String())
	say(t, w, "rest 12.15")
	require.Equal(t, "good", w.Next().Result.Finding.ID)
}

func itoa(i int) string { return strconv.Itoa(i) }

func TestAnUnsteadyReadingTakesTheWayOfOneThatCannotBeTaken(t *testing.T) {
	w := atCrank(t, "workshop")
	say(t, w, "temp 20 turned slowly crank 11.3")
	out := say(t, w, "earth unsteady engine small current 160")
	require.Nil(t, out.Refused)
	require.Equal(t, "no_fault", w.Next().Result.Finding.ID)
	require.Contains(t, out.Decided[0].Sure, "unsteady")
}

func TestABranchThatLeadsNowhereIsAFaultAndNoPanic(t *testing.T) {
	lib, faults := Load([]Source{{"t.yaml", []byte("tree: t\ntitle: T\nedition: 1\nbegin: first\nreadings:\n  volts: {ask: Volts, short: rest, unit: V, span: [0, 18]}\nlimits:\n  low: {is: 12 V, source: definition}\nfindings:\n  good: {title: Good, action: none}\nsteps:\n  first: {kind: measure, title: First, take: [volts], branches: [{if: volts < limits.low, to: }, {otherwise: good}]}\n")}})
	require.False(t, faults.Empty())
	require.Empty(t, lib.Trees())
}

func TestAStopEndsAPageAtOnce(t *testing.T) {
	w := tiny(t, `
  first: {kind: measure, title: First, together: true, take: [volts, extra], by: volts, bands: [{below: limits.low, to: stop}, {to: good}]}
`)
	say(t, w, "rest 11")
	require.NotNil(t, w.Next().Result, "nothing more is asked")
	require.Equal(t, "stop", w.Next().Result.Finding.ID)

	w = tiny(t, `
  first: {kind: measure, title: First, together: true, take: [volts, extra], by: volts, bands: [{below: limits.low, to: stop}, {to: good}]}
`)
	say(t, w, "rest 12.6")
	require.Nil(t, w.Next().Result, "the page is finished first")
}
