package terminal

import "deadflat/internal/engine"

// inBrief tells the decisions of one answer in a line each: the first, which
// the answer made, and the last, which says where that leads. Those between
// follow from what was known; "why" tells them all.
func inBrief(decided []*engine.Explanation) []part {
	var parts []part
	for i, e := range decided {
		if i == 0 || i == len(decided)-1 {
			parts = append(parts, say(slot, "", e.Brief())...)
		}
	}
	return parts
}

// allInFull tells the decisions of one answer slot by slot, each under the name
// of its step.
func allInFull(decided []*engine.Explanation) []part {
	var parts []part
	for i, e := range decided {
		if i > 0 {
			parts = append(parts, part{kind: gap})
		}
		parts = append(append(parts, say(title, "", sentence(e.Step.Title))...), inFull(e)...)
	}
	return parts
}

// inFull is a decision slot by slot, the claim first.
func inFull(e *engine.Explanation) []part {
	var parts []part
	for i, l := range e.Lines() {
		k := slot
		if i == 0 {
			k = title
		}
		parts = append(parts, say(k, "", l)...)
	}
	return parts
}
