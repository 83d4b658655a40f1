package terminal

import "deadflat/internal/engine"

// inBrief is a decision in one line.
func inBrief(e *engine.Explanation) part { return part{slot, "", e.Brief()} }

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
