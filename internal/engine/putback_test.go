package engine

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/source"
)

// Two trees that change the vehicle for their tests: one word has a sentence, one is
// put back by a step only.
const changing = `
tree: fuse
title: A fuse is pulled and put back
edition: 1
begin: look
undone: {fuse_out: Put the fuse back in its slot., lead_off: "Lead back on, negative last."}
readings:
  volts: {ask: Volts, short: posts, unit: V, span: [0, 15]}
  spark: {ask: "A spark?", short: spark, choices: [none, seen], hazard: true}
  fit: {ask: "Is it fit?", short: fit, yes_no: true}
limits:
  low: {is: 12 V, source: definition}
before:
  - {id: safe, kinds: [crank], holds: 'spark == "none"', else: stop, why: It may burn.}
steps:
  look: {kind: inspect, title: Look, take: [fit], branches: [{if: fit, to: pull}, {if: not fit, to: unfit}]}
  pull: {kind: inspect, title: Pull the fuse, leaves: [fuse_out], unable: {to: other}, to: crank}
  crank: {kind: crank, title: Crank, take: [volts, fit], together: true, leaves: [lead_off], unable: {to: other}, by: volts, bands: [{below: limits.low, to: weak}, {to: back}]}
  other: {kind: retest, title: Look again, take: [fit], branches: [{if: fit, to: back}, {if: not fit, to: unfit}]}
  back: {kind: measure, title: Fuse in, restores: [fuse_out], take: [volts], by: volts, bands: [{below: limits.low, to: weak}, {to: lead}]}
  lead: {kind: inspect, title: Lead on, restores: [lead_off], to: good}
findings:
  unfit: {title: Unfit, action: none}
  weak: {title: Weak, action: charge, prove_by: crank, then: {tree: fuse, keep: facts}}
  good: {title: Good, action: none}
  stop: {title: Stop, action: stop, stop: true}
`

func fuseWalk(t require.TestingT) *Walk {
	lib, faults := Load([]Source{{Name: "fuse.yaml", Data: []byte(changing)}})
	require.True(t, faults.Empty(), "%v", faults.Sorted())
	return NewWalk(lib.Tree("fuse"), FindMeter("workshop"), Kit{Meter: "workshop"})
}

func TestAFindingIsNotTheEndWhileSomethingIsOpen(t *testing.T) {
	w := fuseWalk(t)
	say(t, w, "yes", "done", "none", "posts 11")
	p := w.Next()
	require.Equal(t, "weak", p.Result.Finding.ID)
	assert.Equal(t, []string{"lead_off", "fuse_out"}, p.Result.PutBack)
	assert.Equal(t, map[string]string{"fuse_out": "Put the fuse back in its slot.", "lead_off": "Lead back on, negative last."}, p.Result.Back)
	assert.False(t, p.Closed())
	say(t, w, "put back fuse_out")
	assert.False(t, w.Next().Closed())
	say(t, w, "put back lead_off")
	assert.True(t, w.Next().Closed())
	assert.Contains(t, sayOne(t, w, "put back lead_off").Refused.Reason, "nothing to put back")
	assert.Contains(t, sayOne(t, w, "put back nothing_known").Refused.Reason, "nothing to put back")
}

func TestASaidBeforeItIsSeenPutsNothingBack(t *testing.T) {
	w := fuseWalk(t)
	answer(t, w, Event{Do: DoDone, Step: "back"}, Event{Do: DoDone, Step: "lead"}, Event{Do: DoDone, Step: "pull"})
	say(t, w, "yes", "none", "posts 12.9")
	p := w.Next()
	require.Equal(t, "back", p.Step.ID, "its reading is fresh, and still it is shown")
	assert.True(t, p.Ack)
	assert.Empty(t, p.Fields)
	say(t, w, "done")
	require.Equal(t, "lead", w.Next().Step.ID)
	assert.Equal(t, []string{"lead_off"}, w.Next().PutBack)
	say(t, w, "done")
	assert.True(t, w.Next().Closed())
}

// A step that is shown for what it puts back alone asks for no reading: what is known
// decides it.
func TestAStepThatOnlyPutsBackAsksForNoReading(t *testing.T) {
	two := strings.NewReplacer("restores: [fuse_out], take: [volts]", "restores: [fuse_out], take: [volts, warm]",
		"readings:\n", "readings:\n  warm: {ask: Warm, short: warm, yes_no: true}\n").Replace(changing)
	lib, faults := Load([]Source{{Name: "fuse.yaml", Data: []byte(two)}})
	require.True(t, faults.Empty(), "%v", faults.Sorted())
	w := NewWalk(lib.Tree("fuse"), FindMeter("workshop"), Kit{Meter: "workshop"})
	say(t, w, "yes", "done", "none", "posts 12.9")
	p := w.Next()
	require.Equal(t, "back", p.Step.ID)
	assert.True(t, p.Ack)
	assert.Empty(t, p.Fields)
	say(t, w, "done")
	assert.Equal(t, "lead", w.Next().Step.ID)
}

func TestWhatWasTakenBackIsStillOpenOnTheVehicle(t *testing.T) {
	w := fuseWalk(t)
	say(t, w, "yes", "done")
	out := say(t, w, "undo")
	assert.Contains(t, strings.Join(out.Said, " "), "fuse out")
	require.Equal(t, "pull", w.Next().Step.ID)
	say(t, w, "unable no puller", "no")
	require.Equal(t, "unfit", w.Next().Result.Finding.ID)
	assert.Equal(t, []string{"fuse_out"}, w.Next().PutBack)
	assert.False(t, w.Next().Closed())
	again := NewWalk(w.s.t, w.Meter(), Kit{Meter: "workshop"})
	answer(t, again, w.Events()...)
	assert.Equal(t, w.Next().PutBack, again.Next().PutBack, "a job that is read again knows it too")
	say(t, w, "undo", "undo")
	say(t, w, "put back fuse_out", "unable", "no")
	assert.True(t, w.Next().Closed())
}

func TestAChangedAnswerLeavesNothingBehind(t *testing.T) {
	w := fuseWalk(t)
	say(t, w, "yes", "done")
	no := Answer{Choice: []string{"no"}}
	answer(t, w, Event{Do: DoChange, Count: 1, Answer: &no})
	require.Equal(t, "unfit", w.Next().Result.Finding.ID)
	assert.Equal(t, []string{"fuse_out"}, w.Next().PutBack)
}

func TestOpenChangesGoAlongIntoTheNextRound(t *testing.T) {
	w := fuseWalk(t)
	say(t, w, "yes", "done", "none", "posts 11", "put back lead_off", "round")
	assert.Equal(t, []string{"fuse_out"}, w.Next().PutBack)
	assert.Equal(t, "Put the fuse back in its slot.", w.Next().Back["fuse_out"])
}

func answer(t testing.TB, w *Walk, events ...Event) {
	for _, ev := range events {
		ev.At = noon
		out, err := w.Answer(ev)
		require.NoError(t, err)
		require.Nil(t, out.Refused)
	}
}

// TestNoOrderOfEventsClosesOverAChange gives events in any order, sensible or not,
// and keeps account of the vehicle: changed from the first answer at a step that
// leaves it so, put back by that word or by a step that puts it back once it was
// shown. However it goes, a job is closed over no change.
func TestNoOrderOfEventsClosesOverAChange(t *testing.T) {
	closed, open := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		w := fuseWalk(t)
		vehicle := map[string]bool{}
		for range rapid.IntRange(1, 30).Draw(t, "length") {
			p := w.Next()
			ev := hostile(t, p)
			out, err := w.Answer(ev)
			if err != nil || out.Refused != nil {
				continue
			}
			at := p.Step != nil && p.Gate == nil && (ev.Step == "" || ev.Step == p.Step.ID)
			if at && (ev.Do == DoDone && p.Ack || ev.Do == DoAnswer && asks(p, ev.Reading)) {
				for _, word := range p.Step.Leaves {
					vehicle[word] = true
				}
			}
			if p.Step != nil && p.Gate == nil && (ev.Do == DoDone || ev.Do == DoAnswer) && w.Next().Step != p.Step {
				for _, word := range p.Step.Restores {
					delete(vehicle, word)
				}
			}
			if ev.Do == DoPutBack {
				delete(vehicle, ev.Text)
			}
			next := w.Next()
			for word := range vehicle {
				require.Contains(t, next.PutBack, word, "after %v", w.Events())
			}
			require.Equal(t, next.Closed(), next.Result != nil && len(next.PutBack) == 0)
			if next.Result != nil && next.Closed() {
				closed++
			} else if next.Result != nil {
				open++
			}
		}
	})
	require.Positive(t, closed)
	require.Positive(t, open)
}

func asks(p *Prompt, reading string) bool {
	return slices.ContainsFunc(p.Fields, func(f Field) bool { return f.Reading.ID == reading })
}

// hostile makes up an event, mostly one that fits what is asked.
func hostile(t *rapid.T, p *Prompt) Event {
	ev := Event{At: noon, Step: rapid.SampledFrom([]string{"", "look", "pull", "crank", "other", "back", "lead"}).Draw(t, "step")}
	if p.Step != nil && rapid.IntRange(0, 2).Draw(t, "fits") > 0 {
		ev.Step = p.Step.ID
		if p.Ack {
			ev.Do = DoDone
			return ev
		}
	}
	ev.Do = rapid.SampledFrom([]Do{DoAnswer, DoAnswer, DoAnswer, DoAnswer, DoDone, DoUnable, DoSkip, DoUndo, DoChange, DoSuspect, DoPutBack, DoRound, DoResume, DoPause, DoNote, doStillOpen}).Draw(t, "do")
	switch ev.Do {
	case DoAnswer, DoChange, DoSkip:
		ev.Reading = rapid.SampledFrom([]string{"volts", "spark", "fit"}).Draw(t, "reading")
		if len(p.Fields) > 0 && ev.Do == DoAnswer {
			ev.Reading = p.Fields[0].Reading.ID
		}
		ev.Count = rapid.IntRange(1, 20).Draw(t, "of")
		switch ev.Reading {
		case "volts":
			ev.Answer = &Answer{Value: rapid.SampledFrom([]float64{11, 12, 12.9}).Draw(t, "volts"), Unit: "V"}
		case "spark":
			ev.Answer = &Answer{Choice: []string{rapid.SampledFrom([]string{"none", "none", "none", "seen"}).Draw(t, "spark")}}
		default:
			ev.Answer = &Answer{Choice: []string{rapid.SampledFrom([]string{"yes", "yes", "no"}).Draw(t, "fit")}}
		}
	case DoUndo:
		ev.Count = rapid.IntRange(0, 3).Draw(t, "back")
	case DoSuspect:
		ev.Text = rapid.SampledFrom([]string{"weak", "good", "stop", "nothing"}).Draw(t, "finding")
	case DoPutBack, doStillOpen:
		ev.Text = rapid.SampledFrom([]string{"fuse_out", "lead_off", "nothing"}).Draw(t, "word")
	case DoResume:
		ev.Away = (time.Duration(rapid.IntRange(0, 5).Draw(t, "hours")) * time.Hour).String()
	}
	return ev
}

// A second charge is not passed over because the first has left its reading fresh:
// nobody would have charged, and no hazard rule been held.
func TestAChargeIsNeverPassedOver(t *testing.T) {
	lib, faults := Load([]Source{{Name: "two.yaml", Data: []byte(`tree: two
title: Two charges
edition: 1
begin: first
readings:
  end: {ask: "How did it end?", short: end, choices: [full, early]}
  hot: {ask: "Is it hot?", short: hot, choices: [cold, hot], hazard: true}
before:
  - {id: cool, kinds: [charge], holds: 'hot == "cold"', else: stop, why: It may burst.}
steps:
  first: {kind: charge, title: Charge, take: [end], by: end, cases: {full: good, early: again}}
  again: {kind: charge, title: Charge on, take: [end], by: end, cases: {full: good, early: bad}}
findings:
  good: {title: Good, action: none}
  bad: {title: Bad, action: replace}
  stop: {title: Stop, action: stop, stop: true}
`)}})
	require.True(t, faults.Empty(), "%v", faults.Sorted())
	w := NewWalk(lib.Tree("two"), FindMeter("workshop"), Kit{Meter: "workshop"})
	say(t, w, "cold", "early")
	p := w.Next()
	require.NotNil(t, p.Step, "it is not at %v", p.Result)
	require.Equal(t, "again", p.Step.ID)
	require.NotNil(t, p.Gate, "the first charge made the hazard answer old")
	say(t, w, "cold")
	require.Equal(t, "end", w.Next().Fields[0].Reading.ID)
	say(t, w, "full")
	require.Equal(t, "good", w.Next().Result.Finding.ID)
}

func TestHowItIsPutBackIsSaidOnce(t *testing.T) {
	shared := "shared: words\ntitle: Words\nundone: {fuse_out: Put it back.}\n"
	tree := strings.Replace(changing, "begin: look", "use: [words]\nbegin: look", 1)
	load := func(shared string) *source.Faults {
		_, faults := Load([]Source{{Name: "fuse.yaml", Data: []byte(tree)}, {Name: "words.yaml", Data: []byte(shared)}})
		return faults
	}
	faults := load(shared)
	require.Equal(t, 1, faults.Len(), "%v", faults.Sorted())
	assert.Equal(t, "duplicate-name", faults.Sorted()[0].Rule)
	assert.Zero(t, load(strings.Replace(shared, "Put it back.", "Put the fuse back in its slot.", 1)).Len())
	assert.Zero(t, load(strings.Replace(shared, "{fuse_out: Put it back.}", "[fuse_out]", 1)).Len())
}
