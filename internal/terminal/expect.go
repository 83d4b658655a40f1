package terminal

import (
	"fmt"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// A guess is what somebody says beforehand that a step will show. It decides
// nothing: it is held against what is found, and kept as a remark.
type guess struct {
	step    *engine.Step
	events  []engine.Event
	decides *engine.Explanation // where it would lead; nil if it does not say enough for that
}

func expect(s *session, p *engine.Prompt, rest string, focus *engine.Reading) (Reply, error) {
	if p.Step == nil || p.Gate != nil || len(p.Fields) == 0 {
		return Refuse("nothing is measured or looked at here"), nil
	}
	if rest == "" {
		return Refuse("say what you expect this step to show: expect " + p.Fields[0].Reading.Short + " and the value"), nil
	}
	typed, refusal := p.Tree.ParseLine(focusFirst(p.Fields, focus), rest, p.Meter)
	if refusal != nil {
		return Refuse(quoteLess(refusal.Reason, rest)), nil
	}
	g := &guess{step: p.Step}
	var words []string
	for _, t := range typed {
		if askedAt(p, t.Reading) == "" {
			return Refuse(fmt.Sprintf("%q is not asked at this step", t.Reading.Short)), nil
		}
		a := t.Answer
		a.Sure = true
		g.events = append(g.events, engine.Event{Do: engine.DoAnswer, Step: p.Step.ID, Reading: t.Reading.ID, Answer: &a})
		words = append(words, t.Reading.Short+" "+given(&a))
	}
	out, err := s.walk.Suppose(g.events...)
	if err != nil {
		return Reply{}, err
	}
	if out.Refused != nil {
		return Refuse(out.Refused.Reason), nil
	}
	g.decides = decisionAt(p.Step, out.Decided)
	r, err := s.apply(engine.Event{Do: engine.DoNote, Step: p.Step.ID, Text: "expected: " + strings.Join(words, ", ")})
	s.guess = g
	r.Told = append(r.Told, say(Plain, "Expected", strings.Join(words, ", ")+". Now find out.")...)
	return r, err
}

func decisionAt(st *engine.Step, decided []*engine.Explanation) *engine.Explanation {
	i := slices.IndexFunc(decided, func(x *engine.Explanation) bool { return x.Step == st })
	if i < 0 {
		return nil
	}
	return decided[i]
}

// held says how the guess compares with what its step has shown, once that is
// decided, and drops it.
func (s *session) held(out *engine.Outcome) []Part {
	if s.guess == nil {
		return nil
	}
	found := decisionAt(s.guess.step, out.Decided)
	if found == nil {
		return nil
	}
	g := s.guess
	s.guess = nil
	var parts []Part
	for _, ev := range g.events {
		for _, f := range found.Facts {
			if f.Reading.ID == ev.Reading {
				parts = append(parts, say(Plain, "", fmt.Sprintf("You expected %s %s and found %s.", f.Reading.Short, given(ev.Answer), f.Text))...)
			}
		}
	}
	switch {
	case g.decides == nil:
	case g.decides.Branch == found.Branch:
		parts = append(parts, say(Plain, "", "That leads where you expected.")...)
	default:
		parts = append(parts, say(Plain, "What you expected would have led elsewhere", text.Sentence(g.decides.Claim))...)
	}
	return parts
}
