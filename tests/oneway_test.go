package tests

import (
	"fmt"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/batch"
	"deadflat/internal/engine"
	"deadflat/internal/report"
)

// What a person answers and what a row says go the same way: walks at random
// through the shipped trees, given again to decide as readings with names, end
// in the same finding by the same steps with the same certainty.
func TestARowGoesTheWayOfAPerson(t *testing.T) {
	lib, faults := engine.Load(shipped())
	require.True(t, faults.Empty())
	meter := engine.FindMeter("workshop")
	for _, tree := range lib.Trees() {
		t.Run(tree.Name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				p := &person{t: t, tree: tree, walk: engine.NewWalk(tree, meter, engine.Kit{}), given: map[string]bool{}}
				result := p.goOn()
				d := &batch.Decider{Tree: tree, Meter: meter}
				row := batch.NewRow(tree)
				for _, said := range p.said {
					require.NoError(t, row.Fix(said))
				}
				decided := d.Decide(row)
				require.NoError(t, decided.Err, "%q", p.said)
				got := report.NewDocument(decided.Record()).Rounds[0]
				require.Equal(t, result.Finding.ID, got.Result.Finding, "%q", p.said)
				require.Equal(t, string(result.Certainty), got.Result.Certainty, "%q", p.said)
				visits := p.walk.Record().Rounds[0].Steps
				require.Len(t, got.Steps, len(visits))
				for i, v := range visits {
					require.Equal(t, v.Step.ID+" "+v.Explanation.Branch.Text, got.Steps[i].ID+" "+got.Steps[i].Why.Branch, "%q", p.said)
				}
			})
		})
	}
}

// person answers a walk at random and notes what was said as decide takes it.
type person struct {
	t     *rapid.T
	tree  *engine.Tree
	walk  *engine.Walk
	said  []string
	given map[string]bool
}

func (p *person) goOn() *engine.Result {
	for range 300 {
		asks := p.walk.Next()
		switch {
		case asks.Result != nil:
			return asks.Result
		case asks.Stuck != "":
			p.t.Skip("the tree has no way on from here")
		}
		p.answer(asks)
	}
	p.t.Fatal("the walk does not end")
	return nil
}

func (p *person) answer(asks *engine.Prompt) {
	step := asks.Step.ID
	if asks.Ack {
		p.say(step+".done", "yes")
		p.send(engine.Event{Do: engine.DoDone, Step: step})
		return
	}
	if asks.Gate == nil && asks.Step.Unable != nil && rapid.IntRange(0, 9).Draw(p.t, "unable") == 9 && len(asks.Taken) == 0 {
		p.say(step+".unable", "no room")
		p.send(engine.Event{Do: engine.DoUnable, Step: step, Text: "no room"})
		return
	}
	field := asks.Fields[0]
	r := field.Reading
	if field.Optional && rapid.Bool().Draw(p.t, "skip") {
		p.send(engine.Event{Do: engine.DoSkip, Step: step, Reading: r.ID})
		return
	}
	text := p.text(r)
	name := step + "." + r.ID
	if asks.Gate != nil {
		name = r.ID
	}
	p.say(name, text)
	a, refusal := r.Parse(text, p.walk.Meter())
	require.Nil(p.t, refusal, "%s is %q", r.ID, text)
	a.Sure = true
	p.send(engine.Event{Do: engine.DoAnswer, Step: step, Reading: r.ID, Answer: &a})
}

// text is something that can be typed for a reading; the first choices, where
// nothing is wrong, are the likelier.
func (p *person) text(r *engine.Reading) string {
	if r.Number() {
		lo, hi := r.Unit.From(r.Span[0]), r.Unit.From(r.Span[1])
		if rapid.IntRange(0, 3).Draw(p.t, "anywhere") > 0 && lo < 12.8 && hi > 11.8 {
			lo, hi = max(lo, 11.8), min(hi, 12.8)
		}
		v := rapid.Float64Range(lo, hi).Draw(p.t, r.ID)
		return strconv.FormatFloat(v, 'f', 3, 64)
	}
	if r.Hazard && rapid.IntRange(0, 9).Draw(p.t, "hazard") > 0 {
		for _, good := range []string{"yes", r.Choices[0]} {
			for _, c := range r.Choices {
				if c == good {
					return c
				}
			}
		}
	}
	return rapid.SampledFrom(r.Choices).Draw(p.t, r.ID)
}

func (p *person) say(name, value string) {
	if p.given[name] {
		p.t.Skip(fmt.Sprintf("%q is asked for twice under one name", name))
	}
	p.given[name] = true
	p.said = append(p.said, name+"="+value)
}

func (p *person) send(ev engine.Event) {
	ev.At = time.Unix(int64(len(p.walk.Events())), 0).UTC()
	out, err := p.walk.Answer(ev)
	require.NoError(p.t, err)
	require.Nil(p.t, out.Refused)
}
