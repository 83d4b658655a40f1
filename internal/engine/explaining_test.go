package engine

import (
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// exactMeter is never out.
var exactMeter = &Meter{Name: "exact", Title: "a meter that is never out", Source: "definition"}

// TestAFlipLeadsWhereItSays replays each walk with the one answer changed as the
// explanation says, on a meter that is never out, and must take the other branch.
func TestAFlipLeadsWhereItSays(t *testing.T) {
	lib := load(t, "small")
	tested := 0
	rapid.Check(t, func(t *rapid.T) {
		w := NewWalk(lib.Tree("small"), exactMeter, Kit{})
		for i := 0; i < 30 && w.Next().Result == nil; i++ {
			p := w.Next()
			ev := Event{At: noon, Step: p.Step.ID, Do: DoDone}
			if !p.Ack {
				f := p.Fields[0]
				ev.Do, ev.Reading, ev.Answer = DoAnswer, f.Reading.ID, drawAnswer(t, f.Reading)
				ev.Answer.Held = ""
			}
			_, err := w.Answer(ev)
			require.NoError(t, err)
		}
		for i, v := range w.visits {
			flip := v.Explanation.FlipTo
			if flip == nil || flip.Reading.AlsoOutBy > 0 || v.Step.field(flip.Reading.ID) == nil {
				continue
			}
			again := NewWalk(lib.Tree("small"), exactMeter, Kit{})
			for _, ev := range w.events {
				if len(again.visits) > i {
					break
				}
				if len(again.visits) == i && ev.Reading == flip.Reading.ID {
					a := Answer{Value: flip.Reading.unitFrom(flip.Value), Choice: []string{flip.Choice}, Sure: true}
					ev.Answer = &a
				}
				_, err := again.Answer(ev)
				require.NoError(t, err)
			}
			require.Greater(t, len(again.visits), i)
			got := again.visits[i].Explanation
			if got.Provisional || len(deciding(&again.s.decisions[i])) > 0 && again.s.decisions[i].how != byVerdict {
				continue // another answer of the step is in doubt
			}
			require.Equal(t, flip.Branch.Text, got.Branch.Text, "%s: %s", v.Step.ID, v.Explanation.Flip)
			tested++
		}
	})
	require.Greater(t, tested, 50)
}

func (r *Reading) unitFrom(base float64) float64 {
	if r.Unit == nil {
		return 0
	}
	return r.Unit.From(base)
}

var numberText = regexp.MustCompile(`-?\d+(\.\d+)?`)

// TestEveryNumberInAnExplanationIsInItsTrace: a number that a sentence shows is an
// answer, an end of its doubt, a limit, a margin, or stands in a text of the
// author's.
func TestEveryNumberInAnExplanationIsInItsTrace(t *testing.T) {
	lib := load(t, "small")
	rapid.Check(t, func(t *rapid.T) {
		w := NewWalk(lib.Tree("small"), FindMeter("workshop"), Kit{Meter: "workshop"})
		randomWalk(t, w, 20)
		for _, v := range w.visits {
			known := traceText(w, v.Explanation)
			for _, line := range v.Explanation.Lines() {
				if strings.HasPrefix(line, "Held against") {
					line, _, _ = strings.Cut(line, " Source:")
				}
				for _, n := range numberText.FindAllString(line, -1) {
					require.Contains(t, known, n, "%s in %q", n, line)
				}
			}
		}
	})
}

// traceText is every number that an explanation may show, as it would be printed.
func traceText(w *Walk, x *Explanation) string {
	var b strings.Builder
	add := func(base float64, r *Reading) {
		b.WriteString(" " + showPlain(base, r.Unit) + " " + show(base, r.Unit) + " " + showWidth(base, r.Unit))
	}
	for _, f := range x.Facts {
		if f.Reading.Number() {
			add(f.Best, f.Reading)
			add(f.Lo, f.Reading)
			add(f.Hi, f.Reading)
			add(f.Best-f.Lo, f.Reading)
			add(f.Hi-f.Best, f.Reading)
			add(f.Reading.Span[0], f.Reading)
			add(f.Reading.Span[1], f.Reading)
		}
	}
	for _, c := range x.Rules {
		if !c.Drawn {
			continue
		}
		r := c.Reading
		for _, v := range []float64{c.Best, c.Lo, c.Hi, c.LimitLo, c.LimitHi, (c.LimitLo + c.LimitHi) / 2} {
			add(v, r)
		}
		b.WriteString(" " + c.Margin + " " + c.Limit)
	}
	if x.FlipTo != nil && x.FlipTo.Reading.Number() {
		add(x.FlipTo.Value, x.FlipTo.Reading)
		for _, f := range x.Facts {
			if f.Reading == x.FlipTo.Reading {
				b.WriteString(" " + showWidth2(abs(f.Best-x.FlipTo.Value), f.Reading.Unit))
			}
		}
	}
	b.WriteString(x.Sure[strings.LastIndex(x.Sure, "margin")+1:])
	b.WriteString(" " + strconv.Itoa(x.Round))
	return b.String()
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}

// What two readings of a step cannot tell, in the same words, is said once.
func TestWhatIsNotShownIsSaidOnce(t *testing.T) {
	text := `tree: lamps
title: Lamps
edition: 1
begin: read
readings:
  left: {ask: Left, short: left, unit: V, span: [0, 16], cannot: A low drop proves nothing.}
  right: {ask: Right, short: right, unit: V, span: [0, 16], cannot: A low drop proves nothing.}
steps:
  read: {kind: measure, title: Read, take: [left, right], branches: [{if: left < limits.low or right < limits.low, to: low}, {otherwise: good}]}
findings:
  low: {title: Low, action: wire}
  good: {title: Good, action: none}
limits: {low: {is: 11 V, source: definition}}
`
	lib, faults := Load([]Source{{Name: "lamps.yaml", Data: []byte(text)}})
	require.Zero(t, faults.Len())
	w := NewWalk(lib.Tree("lamps"), FindMeter("workshop"), Kit{Meter: "workshop"})
	for _, id := range []string{"left", "right"} {
		_, err := w.Answer(Event{At: noon, Do: DoAnswer, Step: "read", Reading: id, Answer: &Answer{Value: 12, Unit: "V"}})
		require.NoError(t, err)
	}
	require.Len(t, w.visits, 1)
	require.Equal(t, "A low drop proves nothing.", w.visits[0].Explanation.NotYet)
}
