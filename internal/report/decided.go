package report

import (
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// verdictOf is the reading that a finding rests on in the end, and what it was
// held against. Either may be absent.
type verdictOf struct {
	fact *engine.Fact
	rule *engine.Comparison
}

// decidedBy names what the last decision of a round rests on: a reading where
// it has one, else an answer.
func decidedBy(round engine.RoundRecord) string {
	v := settled(round)
	switch {
	case v.fact != nil && v.fact.Reading.Number():
		return "The reading that decided this was " + v.fact.Text + " (" + text.Lower(text.Clean(v.fact.Ask)) + ")"
	case v.fact != nil:
		return "What decided this was “" + text.Capital(text.Clean(v.fact.Ask)) + "”: " + v.fact.Text
	case v.rule != nil:
		return "What settled it last: " + predicate(*v.rule)
	}
	return ""
}

// settled finds what the last decision of a round rests on: the reading that
// proves the finding, where it was held against something; else, of a finding that a
// whole step proves, the last reading that was too high; else a reading that proves
// the finding and was only looked at; else the last comparison that the branch rests
// on, or the answer in words that it asks for. A comparison that only rules another
// finding out decides nothing.
func settled(round engine.RoundRecord) verdictOf {
	e := lastDecision(round)
	if e == nil {
		return verdictOf{}
	}
	var ids []string
	if round.Result != nil {
		ids = provers(round.Tree, round.Result.Finding)
	}
	if f, c := held(e, e.Rules, func(r *engine.Reading) bool { return slices.Contains(ids, r.ID) }); f != nil {
		return verdictOf{f, c}
	}
	rules := ruling(e)
	if f, c := held(e, tooHigh(rules), (*engine.Reading).Number); f != nil && len(ids) > 1 {
		return verdictOf{f, c}
	}
	for i, f := range e.Facts {
		if f.Reading != nil && f.Reading.Number() && slices.Contains(ids, f.Reading.ID) && len(e.Rules) > 0 {
			return verdictOf{fact: &e.Facts[i]}
		}
	}
	for _, c := range slices.Backward(rules) {
		if c.Drawn {
			return verdictOf{rule: &c}
		}
		if f := factOf(e, c.Reading); f != nil && !strings.Contains(c.Is, "not") {
			return verdictOf{f, &c}
		}
	}
	return verdictOf{}
}

// lastDecision is the explanation of the decision that ended a round; nil when
// that rests on no comparison, as where a hazard rule stopped the work. Steps
// after it that had only one way on decided nothing.
func lastDecision(round engine.RoundRecord) *engine.Explanation {
	for i := len(round.Steps) - 1; i >= 0; i-- {
		e := round.Steps[i].Explanation
		switch {
		case e == nil || !decided(e):
		case len(e.Rules) == 0:
			return nil
		default:
			return e
		}
	}
	return nil
}

// provers lists the ids of the readings that prove a finding: the one that its
// author names, or those of the step that he names.
func provers(t *engine.Tree, f *engine.Finding) []string {
	if f.ProveBy == "" {
		return nil
	}
	out := []string{f.ProveBy}
	if s := stepNamed(t, f.ProveBy); s != nil {
		out = append(out, each(s.Take, func(r *engine.Reading) string { return r.ID })...)
	}
	return out
}

// stepNamed finds a step by its id; nil when there is none.
func stepNamed(t *engine.Tree, id string) *engine.Step {
	for _, s := range t.Steps {
		if s.ID == id {
			return s
		}
	}
	return nil
}

// tooHigh picks the comparisons of a reading that is over its limit.
func tooHigh(rules []engine.Comparison) []engine.Comparison {
	return slices.DeleteFunc(slices.Clone(rules), func(c engine.Comparison) bool { return !strings.HasSuffix(c.Is, "above") })
}

// held finds the last of some comparisons that is clear and of a reading that is
// wanted, and what was read there.
func held(e *engine.Explanation, rules []engine.Comparison, wanted func(*engine.Reading) bool) (*engine.Fact, *engine.Comparison) {
	for _, c := range slices.Backward(rules) {
		if c.Reading != nil && c.Holds == "clear" && wanted(c.Reading) {
			if f := factOf(e, c.Reading); f != nil {
				return f, &c
			}
		}
	}
	return nil, nil
}

// ruling lists the clear comparisons that the branch taken rests on itself. Not
// among them are those of a reading that proves a finding which the branch rules
// out, and those of a branch that only catches what no other does, unless they
// are all of one reading.
func ruling(e *engine.Explanation) []engine.Comparison {
	var out []engine.Comparison
	one := true
	for _, c := range e.Rules {
		if c.Holds != "clear" || c.Value == "" || c.Reading == nil && !c.Drawn || clears(e.Branch, c.Reading) {
			continue
		}
		out = append(out, c)
		one = one && c.Left == out[0].Left
	}
	if e.Branch != nil && e.Branch.Text == "otherwise" && !one {
		return nil
	}
	return out
}

// clears reports whether a branch rules out a finding that the reading proves.
func clears(b *engine.Branch, r *engine.Reading) bool {
	return b != nil && r != nil && slices.ContainsFunc(b.Clears, func(f *engine.Finding) bool { return f.ProveBy == r.ID })
}

func factOf(e *engine.Explanation, r *engine.Reading) *engine.Fact {
	for i := range e.Facts {
		if r != nil && e.Facts[i].Reading == r {
			return &e.Facts[i]
		}
	}
	return nil
}

// deciding draws the reading that the last decision of a round rests on.
func deciding(round engine.RoundRecord) []part {
	v := settled(round)
	var parts []part
	if v.rule != nil && v.fact == nil {
		v.fact = factOf(lastDecision(round), v.rule.Reading)
	}
	if c := circuitOf(v.fact); c != nil {
		parts = append(parts, c)
	}
	if v.rule != nil {
		for _, s := range scales(lastDecision(round).Rules) {
			if s.title == text.Capital(text.Clean(v.rule.Left)) {
				parts = append(parts, s)
			}
		}
	}
	if len(parts) == 0 {
		return nil
	}
	return append([]part{para{lead: "What decided it."}}, parts...)
}
