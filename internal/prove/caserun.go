package prove

import (
	"cmp"
	"fmt"
	"path"
	"slices"
	"strings"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/unit"
)

// run answers one walk out of a case.
type run struct {
	file   *caseFile
	c      *workedCase
	w      *engine.Walk
	used   map[string]bool
	asked  map[string]bool
	way    []string
	latest []eval.Value // the last answer of each reading, without doubt
	seen   func(*engine.Explanation, []eval.Value)
	result *engine.Result
	steps  []*engine.Step // steps that decided
}

// aNight is how long a walk is left.
const aNight = "12h"

// mostForms bounds a case's walk.
const mostForms = 400

// play walks the case; the text says what went wrong, "" that all is as the case
// says.
func (f *caseFile) play(t *engine.Tree, c *workedCase, seen func(*engine.Explanation, []eval.Value)) (*run, string) {
	w := engine.NewWalk(t, c.meter, c.kit(t))
	w.Quiet() // what comes out is held against the case, and why is not read
	return f.playOn(w, t, c, seen)
}

func (f *caseFile) playOn(w *engine.Walk, t *engine.Tree, c *workedCase, seen func(*engine.Explanation, []eval.Value)) (*run, string) {
	r := &run{file: f, c: c, w: w, used: map[string]bool{}, asked: map[string]bool{},
		latest: make([]eval.Value, t.Slots()), seen: seen}
	wrong := r.walk(t)
	if wrong == "" {
		wrong = r.hold()
	}
	return r, wrong
}

// kit is everything a tree can ask for, but for what the case says is not there.
func (c *workedCase) kit(t *engine.Tree) engine.Kit {
	kit := engine.Kit{Has: []string{}}
	for _, word := range t.Words.Equipment {
		if !slices.Contains(c.without, word) {
			kit.Has = append(kit.Has, word)
		}
	}
	return kit
}

func (r *run) walk(t *engine.Tree) string {
	for range mostForms {
		p := r.w.Next()
		switch {
		case p.Result != nil:
			r.result = p.Result
			return ""
		case p.Stuck != "":
			return "the walk is stuck: " + p.Stuck
		}
		name := p.Step.ID
		if p.Gate != nil {
			name = "hazards before " + name
		}
		if len(r.way) == 0 || r.way[len(r.way)-1] != name {
			r.way = append(r.way, name)
		}
		if step := path.Base(p.Step.ID); slices.Contains(r.c.left, step) && !r.used["left "+step] {
			r.used["left "+step] = true
			if wrong := r.send(engine.Event{Do: engine.DoResume, Step: p.Step.ID, Away: aNight}); wrong != "" {
				return wrong
			}
			continue
		}
		if wrong := r.answer(t, p); wrong != "" {
			return wrong
		}
	}
	return "the walk does not end"
}

// answer gives one answer to what is asked.
func (r *run) answer(t *engine.Tree, p *engine.Prompt) string {
	step := path.Base(p.Step.ID)
	if why, ok := r.c.readings[step+".unable"]; ok && p.Gate == nil {
		r.used[step+".unable"] = true
		return r.send(engine.Event{Do: engine.DoUnable, Step: p.Step.ID, Text: why.text})
	}
	if p.Ack {
		if _, ok := r.c.readings[step+".done"]; !ok {
			return fmt.Sprintf("step %q wants to be done, and the case has no \"%s.done\"", p.Step.ID, step)
		}
		r.used[step+".done"] = true
		return r.send(engine.Event{Do: engine.DoDone, Step: p.Step.ID})
	}
	q := p.Fields[0].Reading
	r.asked[q.ID] = true
	typed, ok := r.find(step, q.ID)
	switch {
	case ok:
	case p.Fields[0].Optional:
		return r.send(engine.Event{Do: engine.DoSkip, Step: p.Step.ID, Reading: q.ID})
	default:
		return fmt.Sprintf("step %q asks for %q, and the case does not give it", p.Step.ID, q.ID)
	}
	a, refusal := q.Parse(typed, r.c.meter)
	if refusal != nil {
		return fmt.Sprintf("%s: %q is refused: %s", q.ID, typed, refusal.Reason)
	}
	a.Sure = true
	r.note(q, &a)
	return r.send(engine.Event{Do: engine.DoAnswer, Step: p.Step.ID, Reading: q.ID, Answer: &a})
}

// note keeps what was answered, without doubt.
func (r *run) note(q *engine.Reading, a *engine.Answer) {
	v := &r.latest[q.Index]
	*v = eval.Value{State: eval.Skipped}
	switch {
	case a.State != "" || a.Unsure:
	case q.Number():
		u := q.Unit
		if a.Unit != "" && a.Unit != u.Name {
			u, _ = unit.Lookup(a.Unit)
		}
		*v = eval.Exact(u.Base(a.Value))
	case len(a.Choice) == 1:
		*v = eval.One(slices.Index(q.Choices, a.Choice[0]))
	}
}

// find looks for the value of a reading at a step: the step's own, the bare name
// once, then what is usual.
func (r *run) find(step, reading string) (string, bool) {
	if v, ok := r.c.readings[step+"."+reading]; ok {
		r.used[step+"."+reading] = true
		return v.text, true
	}
	if v, ok := r.c.readings[reading]; ok && !r.used[reading] {
		r.used[reading] = true
		return v.text, true
	}
	v, ok := r.file.usual[reading]
	r.used["usual "+reading] = ok
	return v.text, ok
}

// begun is when every worked case begins; a walk needs some time and has no clock.
var begun = time.Date(2026, time.March, 3, 8, 0, 0, 0, time.UTC)

func (r *run) send(ev engine.Event) string {
	ev.At = begun
	out, err := r.w.Answer(ev)
	switch {
	case err != nil:
		return err.Error()
	case out.Refused != nil:
		return fmt.Sprintf("%s at %s is refused: %s %s", ev.Reading, ev.Step, out.Refused.Reason, out.Refused.Odd)
	}
	for _, x := range out.Decided {
		r.steps = append(r.steps, x.Step)
		if r.seen != nil {
			r.seen(x, r.latest)
		}
	}
	return ""
}

// hold compares what came out with what the case says.
func (r *run) hold() string {
	c := r.c
	var wrong []string
	say := func(format string, args ...any) { wrong = append(wrong, fmt.Sprintf(format, args...)) }
	if r.result.Finding.ID != c.finding {
		say("it ends in %q, not in %q", r.result.Finding.ID, c.finding)
	}
	if c.certainty != "" && string(r.result.Certainty) != c.certainty {
		say("the finding is %q, not %q", r.result.Certainty, c.certainty)
	}
	if c.way != nil && !slices.Equal(c.way, r.way) {
		say("it asks at %s", strings.Join(r.way, ", "))
	}
	if c.forms > 0 && len(r.way) > c.forms {
		say("it takes %d forms: %s", len(r.way), strings.Join(r.way, ", "))
	}
	for _, id := range c.clears {
		if !slices.ContainsFunc(r.result.Cleared, func(x *engine.Finding) bool { return x.ID == id }) {
			say("%q is not ruled out", id)
		}
	}
	for _, id := range c.asksNot {
		if r.asked[id] {
			say("%q is asked for", id)
		}
	}
	for _, step := range c.left {
		if !r.used["left "+step] {
			say("it never comes to step %q, at which it is to be left", step)
		}
	}
	for _, g := range r.unused() {
		say("%q is given and never asked for", g.name)
	}
	slices.Sort(wrong)
	return strings.Join(wrong, "; ")
}

// unused are the case's own readings that no step of its walk asks for.
func (r *run) unused() []given {
	var out []given
	for name, g := range r.c.readings {
		if !r.used[name] {
			out = append(out, g)
		}
	}
	slices.SortFunc(out, func(a, b given) int {
		return cmp.Or(a.place.Line-b.place.Line, a.place.Col-b.place.Col)
	})
	return out
}
