package engine

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/eval"
)

func small(t testing.TB) *Walk {
	return NewWalk(load(t, "small").Tree("small"), FindMeter("workshop"), Kit{Meter: "workshop"})
}

// picture is everything a walk shows, as text, for comparing two of them.
func picture(w *Walk) string {
	r := w.Record()
	var b strings.Builder
	for _, round := range r.Rounds {
		for _, v := range round.Steps {
			fmt.Fprintln(&b, v.Step.ID, strings.Join(v.Explanation.Lines(), " / "))
		}
		if round.Result != nil {
			fmt.Fprintln(&b, "found", round.Result.Finding.ID, round.Result.Certainty, round.Result.PutBack)
		}
	}
	for _, t := range r.Takes {
		fmt.Fprintln(&b, t.Reading.ID, t.Text, t.Stale, t.Round)
	}
	p := r.Next
	if p.Step != nil {
		fmt.Fprint(&b, "asks ", p.Step.ID)
		for _, f := range p.Fields {
			fmt.Fprint(&b, " ", f.Reading.ID)
		}
	}
	return b.String()
}

func TestUndoTakesBackTheLastStepsAnswers(t *testing.T) {
	w := small(t)
	say(t, w, "rest 11.9", "ice none")
	before := picture(w)
	say(t, w, "done")
	require.Equal(t, "again", w.Next().Step.ID)
	say(t, w, "undo")
	require.Equal(t, before, picture(w), "undo gives back what was")
	say(t, w, "undo", "undo")
	require.Equal(t, "first", w.Next().Step.ID)
	say(t, w, "undo")
	require.Equal(t, "first", w.Next().Step.ID, "there is nothing before the beginning")
}

func TestCrankAttemptsAreCountedAcrossUndo(t *testing.T) {
	w := atCrank(t, "workshop")
	say(t, w, "temp 20 turned normally crank 11.3")
	require.Equal(t, 1, w.Next().Cranks)
	say(t, w, "undo")
	require.Equal(t, "crank", w.Next().Step.ID)
	require.Equal(t, 1, w.Next().Cranks, "the starter has been run whatever is taken back")
	say(t, w, "temp 20 turned normally crank 11.4")
	require.Equal(t, 2, w.Next().Cranks)
}

func TestAChangedAnswerKeepsWhatStillHoldsAndNamesTheRest(t *testing.T) {
	w := small(t)
	say(t, w, "rest 12.7", "ice none", "temp 20 turned normally crank 11.3")
	require.Equal(t, "earth", w.Next().Step.ID)
	a, ref := w.Next().Tree.byShort("rest").Parse("11.9", w.Meter())
	require.Nil(t, ref)
	out, err := w.Answer(Event{At: noon, Do: DoChange, Count: 1, Answer: &a})
	require.NoError(t, err)
	require.Equal(t, "charge", w.Next().Step.ID, "the walk now leads to the charger")
	require.Empty(t, w.Next().Fields, "the answer about ice is kept")
	var dropped []string
	for _, d := range out.Dropped {
		dropped = append(dropped, d.Reading.ID)
	}
	require.ElementsMatch(t, []string{"battery_temp", "turned", "crank_voltage"}, dropped)
	back, _ := w.Next().Tree.byShort("rest").Parse("12.7", w.Meter())
	_, err = w.Answer(Event{At: noon, Do: DoChange, Count: 1, Answer: &back})
	require.NoError(t, err)
	require.Equal(t, "earth", w.Next().Step.ID, "changed back, everything still holds")
}

func TestEarlyAnswersWaitForTheirStepAndGoStaleWithTheVehicle(t *testing.T) {
	w := small(t)
	out := say(t, w, "rest 12.7 crank 11.3 earth .15")
	require.Nil(t, out.Refused)
	require.Len(t, out.Early, 2)
	require.Len(t, w.Next().Waiting, 2)
	say(t, w, "ice none", "temp 20 turned normally")
	require.Equal(t, "earth", w.Next().Step.ID, "the crank figure was taken up")

	w = small(t)
	say(t, w, "rest 11.9 crank 9.9")
	out = say(t, w, "ice none", "done", "12.7", "ice none", "temp 20 turned normally")
	require.Equal(t, "crank", w.Next().Step.ID, "a figure from before the charge is not used")
	require.Contains(t, strings.Join(out.Said, " "), "crank is from before the vehicle changed")
}

func TestAHazardAnswerLapsesWithTheVehicleAndStopsTheWalk(t *testing.T) {
	w := small(t)
	say(t, w, "rest 11.9", "ice none", "done", "12.7")
	p := w.Next()
	require.Equal(t, "crank", p.Step.ID)
	require.NotNil(t, p.Gate, "after a charge the ice is looked for again")
	out := say(t, w, "ice seen")
	require.Equal(t, "frozen_stop", w.Next().Result.Finding.ID)
	require.Contains(t, out.Decided[0].Sure, "frozen battery can burst")
	require.Zero(t, w.Next().Cranks)
}

func TestAHazardCheckCannotBePassedOver(t *testing.T) {
	w := small(t)
	say(t, w, "rest 11.9")
	require.NotNil(t, w.Next().Gate)
	require.NotNil(t, say(t, w, "unable too dark").Refused)
	require.NotNil(t, say(t, w, "not sure").Refused)
}

func TestALongPauseMakesReadingsOld(t *testing.T) {
	w := small(t)
	say(t, w, "rest 12.7", "ice none")
	say(t, w, "away 10m")
	require.Nil(t, w.Next().Gate, "ten minutes change nothing")
	out := say(t, w, "away 9h")
	require.NotEmpty(t, out.Stale)
	require.NotNil(t, w.Next().Gate)
}

func TestASkippedOrMissingReadingIsNotZero(t *testing.T) {
	w := atCrank(t, "workshop")
	say(t, w, "temp 20 turned slowly crank 11.3", "earth 0.15")
	require.NotNil(t, say(t, w, "skip earth_drop").Refused, "what is needed cannot be skipped")
	say(t, w, "engine small")
	out := say(t, w, "skip crank_current")
	require.NotNil(t, w.Next().Result)
	require.Equal(t, "no_fault", w.Next().Result.Finding.ID)
	require.Contains(t, strings.Join(out.Decided[0].Lines(), "\n"), "100 A to 200 A, assumed")
}

func TestUnableTakesItsOwnWayAndIsReported(t *testing.T) {
	w := atCrank(t, "workshop")
	require.NotNil(t, say(t, w, "unable no helper").Refused, "the crank step has no other way on")
	say(t, w, "temp 20 turned slowly crank 11.3")
	say(t, w, "unable cannot reach the block")
	r := w.Next().Result
	require.Equal(t, "no_fault", r.Finding.ID)
	for _, n := range r.NotTested {
		if n.Finding.ID == "strap" {
			require.Equal(t, "could not be taken: cannot reach the block", n.Why)
		}
	}
}

func TestASuspicionGoesToItsTestAndComesBackWhenDead(t *testing.T) {
	w := small(t)
	say(t, w, "suspect strap")
	require.Equal(t, "earth", w.Next().Step.ID)
	say(t, w, "ice none")
	say(t, w, "earth 0.1 engine big current 200 A")
	require.Equal(t, "first", w.Next().Step.ID, "the strap is good: back in order")
	require.Len(t, w.Record().Suspected, 1)
	say(t, w, "suspect strap")
	say(t, w, "undo")
	require.Equal(t, "first", w.Next().Step.ID)
}

func TestANextRoundKeepsFactsOnly(t *testing.T) {
	w := atCrank(t, "workshop")
	say(t, w, "temp 20 turned slowly crank 11.3", "earth 2.4 engine small current 150")
	require.Equal(t, "strap", w.Next().Result.Finding.ID)
	require.True(t, w.Next().Result.CanGoOn)
	say(t, w, "round")
	p := w.Next()
	require.Equal(t, 2, p.Round)
	require.Equal(t, "earth", p.Step.ID, "first the reading that proved it")
	say(t, w, "ice none")
	require.Len(t, w.Next().Fields, 2, "the engine's class is a fact and is not asked again")
	require.NotNil(t, w.Next().Fields[0].Before, "the reading from before the repair stands beside the new one")
	out := say(t, w, "earth .15 current 160")
	require.Contains(t, strings.Join(out.Said, " "), "the walk goes on where it was")
	require.Equal(t, "first", w.Next().Step.ID, "the strap is proved good: from the beginning")
	say(t, w, "rest 12.7")
	require.Len(t, w.Next().Fields, 2, "the temperature is a fact and is not asked again")
	rec := w.Record()
	require.Len(t, rec.Rounds, 2)
	require.NotNil(t, rec.Rounds[0].Result)
}

func TestOddAnswersAreAskedAboutOnce(t *testing.T) {
	w := small(t)
	out := say(t, w, "rest -12.6")
	require.NotNil(t, out.Refused)
	require.Equal(t, "Are the meter leads the right way round?", out.Refused.Odd)
	require.Equal(t, "first", w.Next().Step.ID)
	a, _ := w.Next().Tree.byShort("rest").Parse("-12.6", w.Meter())
	a.Sure = true
	out, err := w.Answer(Event{At: noon, Do: DoAnswer, Step: "first", Reading: "rest_voltage", Answer: &a})
	require.NoError(t, err)
	require.Nil(t, out.Refused)
	require.Equal(t, "charge", w.Next().Step.ID)
}

// randomWalk says random things to a walk until it has ended or n were said.
func randomWalk(t *rapid.T, w *Walk, n int) {
	for i := 0; i < n; i++ {
		p := w.Next()
		ev := Event{At: noon.Add(time.Duration(i) * time.Minute)}
		if p.Result != nil {
			if !p.Result.CanGoOn || rapid.Bool().Draw(t, "stop") {
				return
			}
			ev.Do = DoRound
			_, err := w.Answer(ev)
			require.NoError(t, err)
			continue
		}
		require.Empty(t, p.Stuck)
		ev.Step = p.Step.ID
		switch k := rapid.IntRange(0, 19).Draw(t, "what"); {
		case k == 0:
			ev.Do, ev.Count = DoUndo, rapid.IntRange(0, 3).Draw(t, "count")
		case k == 1:
			ev.Do, ev.Text = DoUnable, "random"
		case k == 2:
			ev.Do, ev.Away = DoResume, rapid.SampledFrom([]string{"5m", "7h"}).Draw(t, "away")
		case k == 3:
			ev.Do, ev.Text = DoSuspect, rapid.SampledFrom([]string{"strap", "worn", "nonsense"}).Draw(t, "suspect")
		case p.Ack:
			ev.Do = DoDone
		default:
			f := rapid.SampledFrom(p.Fields).Draw(t, "field")
			ev.Do, ev.Reading = DoAnswer, f.Reading.ID
			ev.Answer = drawAnswer(t, f.Reading)
			if f.Optional && rapid.Bool().Draw(t, "skip") {
				ev.Do, ev.Answer = DoSkip, nil
			}
		}
		_, err := w.Answer(ev)
		require.NoError(t, err)
	}
}

func drawAnswer(t *rapid.T, r *Reading) *Answer {
	if !r.Number() {
		return &Answer{Choice: []string{rapid.SampledFrom(r.Choices).Draw(t, r.ID)}, Sure: true}
	}
	lo, hi := r.Unit.From(r.Span[0]), r.Unit.From(r.Span[1])
	a := &Answer{Unit: r.Unit.Name, Sure: true}
	a.Value = float64(int(rapid.Float64Range(lo, hi).Draw(t, r.ID)*100)) / 100
	a.Held = rapid.SampledFrom([]string{"", "", "", "lowest", "highest"}).Draw(t, r.ID+" held")
	return a
}

func TestReplayingTheEventsGivesTheSameWalk(t *testing.T) {
	lib := load(t, "small")
	rapid.Check(t, func(t *rapid.T) {
		w := NewWalk(lib.Tree("small"), FindMeter("workshop"), Kit{Meter: "workshop"})
		randomWalk(t, w, 40)
		written, err := json.Marshal(w.Events())
		require.NoError(t, err)
		var events []Event
		require.NoError(t, json.Unmarshal(written, &events))
		again := NewWalk(lib.Tree("small"), FindMeter("workshop"), Kit{Meter: "workshop"})
		for _, ev := range events {
			_, err := again.Answer(ev)
			require.NoError(t, err)
		}
		require.Equal(t, picture(w), picture(again))
		rewritten, err := json.Marshal(again.Events())
		require.NoError(t, err)
		require.Equal(t, string(written), string(rewritten))
	})
}

func TestUndoThenTheSameAnswersIsTheSameWalk(t *testing.T) {
	lib := load(t, "small")
	rapid.Check(t, func(t *rapid.T) {
		w := NewWalk(lib.Tree("small"), FindMeter("workshop"), Kit{Meter: "workshop"})
		randomWalk(t, w, rapid.IntRange(1, 25).Draw(t, "length"))
		before, live := picture(w), append([]living{}, w.live...)
		n := rapid.IntRange(1, 5).Draw(t, "undone")
		_, err := w.Answer(Event{At: noon, Do: DoUndo, Count: n})
		require.NoError(t, err)
		for i := range w.live {
			if w.live[i].Seq != live[i].Seq {
				return // a pause in between is not taken back, and then the order differs
			}
		}
		for _, ev := range live[len(w.live):] {
			_, err := w.Answer(ev.Event)
			require.NoError(t, err)
		}
		require.Equal(t, before, picture(w))
	})
}

// TestARunnerDecidesAsAWalk feeds the same answers to both.
func TestARunnerDecidesAsAWalk(t *testing.T) {
	lib := load(t, "small")
	tree := lib.Tree("small")
	run := tree.NewRunner(FindMeter("workshop"))
	run.Explain(true)
	rapid.Check(t, func(t *rapid.T) {
		w := NewWalk(tree, FindMeter("workshop"), Kit{Meter: "workshop"})
		run.Reset()
		for {
			p := w.Next()
			if p.Result != nil {
				break
			}
			ev := Event{At: noon, Step: p.Step.ID, Do: DoDone}
			if p.Ack {
				c, err := tree.Column(p.Step.ID + ".done")
				require.NoError(t, err)
				require.Nil(t, run.Give(c, []byte("yes")))
			} else {
				f := p.Fields[0]
				ev.Do, ev.Reading, ev.Answer = DoAnswer, f.Reading.ID, drawAnswer(t, f.Reading)
				name := p.Step.ID + "." + f.Reading.ID
				c, err := tree.Column(name)
				require.NoError(t, err)
				require.Nil(t, run.Put(c, ev.Answer))
			}
			_, err := w.Answer(ev)
			require.NoError(t, err)
		}
		end := run.Run()
		require.NotNil(t, end.Finding)
		require.Equal(t, w.Next().Result.Finding.ID, end.Finding.ID)
		require.Equal(t, w.Next().Result.Certainty, run.Certainty())
		mine, theirs := run.Record().Rounds[0].Steps, w.Record().Rounds[0].Steps
		require.Equal(t, len(theirs), len(mine))
		for i := range mine {
			require.Equal(t, theirs[i].Explanation.Lines(), mine[i].Explanation.Lines())
		}
	})
}

// A number chooses by its place; one that is no place chooses what begins with it.
func TestANumberThatBeginsAChoice(t *testing.T) {
	lamp := &Reading{Short: "watts", Domain: eval.Domain{Kind: eval.Choice, Choices: []string{"21 watts", "55 watts"}}}
	for typed, want := range map[string]string{"1": "21 watts", "2": "55 watts", "21": "21 watts", "55": "55 watts", "5": "55 watts"} {
		a, ref := lamp.parseChoice(Answer{}, typed)
		require.Nil(t, ref, typed)
		require.Equal(t, []string{want}, a.Choice, typed)
	}
	for _, typed := range []string{"0", "3", "22", "-1"} {
		_, ref := lamp.parseChoice(Answer{}, typed)
		require.NotNil(t, ref, typed)
		require.Equal(t, "there are choices 1 to 2", ref.Reason)
	}
}

// What a good one reads is told once everything that it depends on is known.
func TestWhatAGoodOneReads(t *testing.T) {
	text := `tree: rest
title: Rest
edition: 1
begin: look
readings:
  sort: {ask: Type, short: sort, choices: [flooded, agm]}
  rest: {ask: Voltage, short: rest, unit: V, span: [0, 16], good: "{limits.full} or more"}
steps:
  look: {kind: measure, title: Look, take: [sort, rest], branches: [{if: rest < limits.full, to: low}, {otherwise: high}]}
findings:
  low: {title: Low, action: charge}
  high: {title: High, action: none}
limits: {full: {by: sort, cases: {flooded: 12.4 V, agm: 12.6 V}, source: definition}}
`
	lib, faults := Load([]Source{{Name: "rest.yaml", Data: []byte(text)}})
	require.Zero(t, faults.Len())
	w := NewWalk(lib.Tree("rest"), FindMeter("workshop"), Kit{Meter: "workshop"})
	good := func() (out []string) {
		for _, f := range w.Next().Fields {
			out = append(out, f.Good)
		}
		return out
	}
	require.Equal(t, []string{"", ""}, good())
	_, err := w.Answer(Event{At: noon, Do: DoAnswer, Step: "look", Reading: "sort", Answer: &Answer{Choice: []string{"agm"}}})
	require.NoError(t, err)
	require.Equal(t, []string{"12.60 V or more"}, good())
}
