package prove

import (
	"math/rand/v2"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// sample tries both editions with the same answers, at limits and beside them.
func (c *Compared) sample(j *product) {
	random := rand.New(rand.NewPCG(1, 2)) // the same answers on every run
	seen := map[[2]int]bool{}
	for c.Tried < mostSamples {
		c.Tried++
		at, doms := j.draw(random)
		was, a := j.wayFor(0, at)
		is, b := j.wayFor(1, at)
		if a < 0 || b < 0 || was.leadsTo(is) || seen[[2]int{a, b}] {
			continue
		}
		seen[[2]int{a, b}] = true
		for slot, d := range doms {
			at[slot].Answer = j.drawn(slot, d)
		}
		c.Divergences = append(c.Divergences, Divergence{Was: was, Is: is, Shown: at})
	}
}

// draw makes up one answer for each variable; the domains are what it lies in, to be
// put into words.
func (j *product) draw(random *rand.Rand) (at []Shown, doms []domain) {
	for slot, v := range j.vars {
		d := j.stands(slot)
		s := Shown{Title: v.v.Title, Of: v.of, Words: v.v.Choices, Value: eval.Value{State: eval.Skipped}}
		if d.modes&known != 0 && (d.modes&passed == 0 || random.IntN(6) > 0) {
			d.modes = known
			s.Value = j.m.draw(random, v.v, &d)
		} else {
			d = domain{modes: passed}
		}
		at, doms = append(at, s), append(doms, d)
	}
	for _, step := range j.done {
		set := j.wasDone(step)
		is := "not done"
		if set&yes != 0 && (set&no == 0 || random.IntN(2) == 0) {
			is = "done"
		}
		at = append(at, Shown{Answer: Answer{Step: step, Is: is}})
	}
	return at, doms
}

// drawn words an answer that was drawn.
func (j *product) drawn(slot int, d domain) Answer {
	if d.modes&known == 0 {
		return j.m.answer(slot, d, nil, false)
	}
	return j.m.answerAt(j.vars[slot].v, d)
}

// wayFor works out the way that one edition takes with some answers; its place among
// the step's branches is -1 when they take none or several, or cannot be told.
func (j *product) wayFor(e int, at []Shown) (Way, int) {
	ed := j.eds[e]
	env := &eval.Env{Values: make([]eval.Value, ed.tree.Slots()), Done: make([]bool, len(ed.tree.Steps))}
	for slot, b := range j.vars {
		v := at[slot].Value
		if v.Known() && !b.v.Number() {
			i, _ := v.Certain()
			v = eval.One(b.words[e][i])
		}
		for _, own := range b.vars[e] {
			env.Values[own.Slot] = v
		}
	}
	for _, s := range ed.tree.Steps {
		if i := slices.Index(j.done, s.ID); i >= 0 {
			env.Done[s.DoneIndex()] = at[len(j.vars)+i].Is == "done"
		}
	}
	trace := make([]eval.Trace, len(ed.prog.Atoms))
	ed.prog.Run(env, trace)
	if r := ed.rule; r != nil {
		if r.Holds.Verdict(trace) == eval.True {
			return Way{Passes: true}, 0
		}
		return Way{To: engine.Target{Finding: r.Else}}, 1
	}
	way, missing := -1, false
	for i, b := range ed.step.Branches {
		v := verdictOf(b, trace)
		if v == eval.True && way >= 0 {
			return Way{}, -1
		}
		if missing = missing || v == eval.Unknown; v == eval.True {
			way = i
		}
	}
	switch u := ed.step.Unable; {
	case way >= 0: // what another branch cannot know does not matter then
		return Way{Branch: ed.step.Branches[way], To: ed.step.Branches[way].To}, way
	case missing && u != nil && slices.ContainsFunc(ed.step.Fields(), func(f engine.FieldOf) bool { return !env.Values[f.Reading.Index].Known() && j.has(f.Reading) }):
		return Way{Branch: u, To: u.To}, len(ed.step.Branches) + 1
	case missing:
		return Way{}, -1
	}
	return Way{}, len(ed.step.Branches)
}

// has reports whether a guard of either edition looks at a reading.
func (j *product) has(r *engine.Reading) bool {
	return slices.ContainsFunc(j.vars, func(b *pairedVar) bool { return b.v.ID == r.ID })
}

func verdictOf(b *engine.Branch, trace []eval.Trace) eval.Verdict {
	if b.Guard == nil {
		return eval.True
	}
	return b.Guard.Verdict(trace)
}
