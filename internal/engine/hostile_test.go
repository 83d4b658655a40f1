package engine

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A damaged job brings any list of events to a walk. None of them panics, and the walk
// that is left can be shown, recorded, and come to again by the events it accepted.
func TestNoListOfEventsBreaksAWalk(t *testing.T) { rapid.Check(t, hostileWalk(t)) }

func FuzzWalk(f *testing.F) { f.Fuzz(rapid.MakeFuzz(hostileWalk(f))) }

func hostileWalk(t testing.TB) func(*rapid.T) {
	trees := []*Tree{load(t, "small").Tree("small"), shipped(t).Tree("no-start"), shipped(t).Tree("key-off-draw")}
	return func(t *rapid.T) {
		tree := rapid.SampledFrom(trees).Draw(t, "tree")
		w := NewWalk(tree, FindMeter("workshop"), Kit{Meter: "workshop"})
		for range rapid.IntRange(1, 60).Draw(t, "events") {
			ev := asked(t, w)
			if rapid.IntRange(0, 2).Draw(t, "hostile") == 0 {
				ev = anyEvent(t, w)
			}
			written, err := json.Marshal(ev)
			require.NoError(t, err)
			var read Event
			require.NoError(t, json.Unmarshal(written, &read))
			_, _ = w.Answer(read)
			w.Next()
		}
		w.Record()
		again := NewWalk(tree, FindMeter("workshop"), Kit{Meter: "workshop"})
		for i, ev := range w.Events() {
			out, err := again.Answer(ev)
			require.NoError(t, err, "event %d: %+v", i, ev)
			require.Nil(t, out.Refused, "event %d: %+v", i, ev)
		}
		require.Equal(t, picture(w), picture(again))
	}
}

// asked is an answer to what the walk asks for.
func asked(t *rapid.T, w *Walk) Event {
	p := w.Next()
	ev := Event{At: noon, Do: DoDone}
	switch {
	case p.Result != nil:
		ev.Do = DoRound
	case len(p.Fields) > 0:
		r := p.Fields[0].Reading
		ev.Do, ev.Step, ev.Reading, ev.Answer = DoAnswer, p.Step.ID, r.ID, drawAnswer(t, r)
	}
	return ev
}

// anyEvent has in every field what belongs there, belongs elsewhere, or belongs nowhere.
func anyEvent(t *rapid.T, w *Walk) Event {
	tree := w.Next().Tree
	word := func(name string, of ...string) string {
		return rapid.SampledFrom(append(of, "", "x", "\xff\x00", "a/b/c")).Draw(t, name)
	}
	step := rapid.SampledFrom(tree.Steps).Draw(t, "step")
	r := rapid.SampledFrom(tree.Readings).Draw(t, "reading")
	if len(step.Take) > 0 && rapid.Bool().Draw(t, "there") {
		r = rapid.SampledFrom(step.Take).Draw(t, "taken there")
	}
	ev := Event{At: noon, Step: word("at", step.ID, step.ID, step.ID), Reading: word("of", r.ID, r.ID, r.ID),
		Count: rapid.SampledFrom([]int{0, 1, 2, 7, -1, math.MaxInt32}).Draw(t, "count"),
		Away:  word("away", "9h", "1m", "-9h", "9999999h"),
		Do: rapid.SampledFrom([]Do{DoAnswer, DoAnswer, DoAnswer, DoSkip, DoUnable, DoUnable, DoDone, DoUndo, DoChange, DoNote, DoSuspect, DoPause,
			DoResume, DoPutBack, DoRound, DoKit, doStillOpen, "", "x"}).Draw(t, "do"),
	}
	texts := append([]string{rapid.SampledFrom(tree.Findings).Draw(t, "finding").ID}, tree.Words.Undone...)
	ev.Text = word("text", texts...)
	if rapid.IntRange(0, 9).Draw(t, "answered") > 0 {
		ev.Answer = &Answer{
			Value:  rapid.SampledFrom([]float64{0, 12.6, -1, 1e-320, math.MaxFloat64, -math.MaxFloat64, 3}).Draw(t, "value"),
			OutBy:  rapid.SampledFrom([]float64{0, 0, 0.1, -5, math.MaxFloat64}).Draw(t, "out by"),
			Unit:   word("unit", "V", "mV", "A", "°C"),
			Held:   word("held", "lowest", "highest", "recording"),
			State:  word("state", "", "", "", "unsteady", "over range", "taken"),
			Unsure: rapid.Bool().Draw(t, "unsure"), Sure: rapid.Bool().Draw(t, "sure"), Assumed: rapid.Bool().Draw(t, "assumed"),
			Choice: append(rapid.SliceOfN(rapid.SampledFrom(append(r.Choices, "x", "")), 0, 3).Draw(t, "choice"), r.Choices...)[:rapid.IntRange(0, 1).Draw(t, "one")],
		}
	}
	if ev.Do == DoKit && rapid.Bool().Draw(t, "kit") {
		ev.Kit = &Kit{Meter: word("meter", "workshop"), Has: rapid.SliceOfN(rapid.SampledFrom(append(tree.Words.Equipment, "x")), 0, 3).Draw(t, "has"), Hold: word("hold", "yes")}
	}
	return ev
}
