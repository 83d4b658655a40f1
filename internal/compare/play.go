package compare

import (
	"hash/fnv"
	"math"
	"slices"
	"strconv"
	"time"

	"deadflat/internal/engine"
)

// answers are what a vehicle would show, whoever asks: by reading and how often
// it was asked for before. What is not in it is made up, the same for both
// editions.
type answers map[string]answer

// answer is one answer that both editions can be given.
type answer struct {
	number float64 // base units
	choice string
	unsure bool
	skip   bool
	unable bool // of a step: it cannot be done
}

func keyOf(reading string, asked int) string { return reading + "#" + strconv.Itoa(asked) }

func unableKey(step string) string { return "unable " + step }

// walk is what one edition made of some answers.
type walk struct {
	finding *engine.Finding // nil: it is stuck, or does not end
	stuck   string
	given   []given
	path    []*engine.Branch // with the steps they leave
	steps   []*engine.Step
}

// given is one answer as it was given.
type given struct {
	key     string
	step    string
	reading *engine.Reading // nil: the step could not be done
	answer  answer
	asked   int  // how often the reading was asked for before
	canFail bool // the step has a way on when it cannot be done
}

// mostAsked bounds one walk.
const mostAsked = 300

// play walks a tree with answers. Equipment is all there; the meter is the
// workshop's.
func (t *trial) play(tree *engine.Tree, a answers) *walk {
	w := engine.NewWalk(tree, t.meter, engine.Kit{})
	w.Quiet()
	out := &walk{}
	asked := map[string]int{}
	for range mostAsked {
		p := w.Next()
		switch {
		case p.Result != nil:
			out.finding = p.Result.Finding
			return out
		case p.Stuck != "":
			out.stuck = p.Stuck
			return out
		}
		ev := t.event(p, a, asked, out)
		o, err := w.Answer(ev)
		if err != nil || o.Refused != nil {
			out.stuck = "an answer is refused"
			return out
		}
		t.work += len(tree.Steps) + decisionWork*len(o.Decided)
		for _, x := range o.Decided {
			out.steps, out.path = append(out.steps, x.Step), append(out.path, x.Branch)
		}
	}
	out.stuck = "it does not end"
	return out
}

var begun = time.Date(2026, time.March, 3, 8, 0, 0, 0, time.UTC)

// event answers what is asked.
func (t *trial) event(p *engine.Prompt, a answers, asked map[string]int, out *walk) engine.Event {
	step := base(p.Step)
	if p.Gate == nil && p.Step.Unable != nil && a[unableKey(step)].unable {
		out.given = append(out.given, given{key: unableKey(step), step: step, answer: answer{unable: true}})
		return engine.Event{At: begun, Do: engine.DoUnable, Step: p.Step.ID, Text: "tried"}
	}
	if p.Ack {
		return engine.Event{At: begun, Do: engine.DoDone, Step: p.Step.ID}
	}
	f := p.Fields[0]
	r := f.Reading
	n := asked[r.ID]
	key := keyOf(r.ID, n)
	asked[r.ID]++
	said, ok := a[key]
	if !ok {
		said = t.madeUp(key, r)
	}
	ev := engine.Event{At: begun, Do: engine.DoSkip, Step: p.Step.ID, Reading: r.ID}
	if !said.skip || !f.Optional {
		ev.Do = engine.DoAnswer
		said, ev.Answer = fit(said, r)
	}
	out.given = append(out.given, given{key, step, r, said, n, p.Gate == nil && p.Step.Unable != nil})
	return ev
}

// fit makes an answer one that the reading takes: the editions may differ in span
// and choices.
func fit(a answer, r *engine.Reading) (answer, *engine.Answer) {
	a.skip, a.unable = false, false
	if r.Number() {
		a.unsure, a.choice = false, ""
		a.number = math.Max(r.Span[0], math.Min(r.Span[1], a.number))
		return a, &engine.Answer{Value: r.Unit.From(a.number), Unit: r.Unit.Name, Sure: true}
	}
	if a.unsure && r.Unsure {
		return answer{unsure: true}, &engine.Answer{Unsure: true, Sure: true}
	}
	if !slices.Contains(r.Choices, a.choice) {
		a = answer{choice: r.Choices[0]}
	}
	return answer{choice: a.choice}, &engine.Answer{Choice: []string{a.choice}, Sure: true}
}

// madeUp is an answer that nobody gave in these answers: what the worked cases
// usually say, else any of those worth trying, chosen by its name so that it is
// the same in both editions.
func (t *trial) madeUp(key string, r *engine.Reading) answer {
	for _, k := range []string{key, r.ID} {
		if a, ok := t.usual[k]; ok {
			return a
		}
	}
	h := fnv.New32a()
	h.Write([]byte(key))
	all := t.worth[r.ID]
	return all[int(h.Sum32())%len(all)]
}

// remembered are the answers that a walk was given, as far as they can be told
// from its record.
func remembered(rec *engine.Record) answers {
	a := answers{}
	asked := map[string]int{}
	for _, t := range rec.Takes {
		if t.State == "assumed" || t.Seq == 0 {
			continue
		}
		key := keyOf(t.Reading.ID, asked[t.Reading.ID])
		asked[t.Reading.ID]++
		switch {
		case t.State == "skipped":
			a[key] = answer{skip: true}
		case t.State != "taken":
		case t.Reading.Number():
			a[key] = answer{number: t.Best}
		case t.Answer.Unsure:
			a[key] = answer{unsure: true}
		case len(t.Answer.Choice) == 1:
			a[key] = answer{choice: t.Answer.Choice[0]}
		}
	}
	for _, round := range rec.Rounds {
		for _, v := range round.Steps {
			if v.Explanation.Branch == v.Step.Unable {
				a[unableKey(base(v.Step))] = answer{unable: true}
			}
		}
	}
	return a
}
