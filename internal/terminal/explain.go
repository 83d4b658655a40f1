package terminal

import (
	"cmp"
	"math"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// inBrief tells the decisions of one answer in a line each: the first, which
// the answer made, and the last, which says where that leads. Those between
// follow from what was known; "why" tells them all.
func inBrief(decided []*engine.Explanation) []Part {
	var parts []Part
	for i, e := range decided {
		if i == 0 || i == len(decided)-1 {
			parts = append(parts, say(Slot, "", e.Brief())...)
		}
	}
	return parts
}

// allInFull tells the decisions of one answer slot by slot, each under the name
// of its step; whole tells every comparison, else the nearest ones.
func allInFull(decided []*engine.Explanation, whole bool) []Part {
	var parts []Part
	for i, e := range decided {
		if i > 0 {
			parts = append(parts, Part{Kind: Gap})
		}
		parts = append(append(parts, say(Title, "", text.Sentence(e.Step.Title))...), inFull(e, whole)...)
	}
	return parts
}

// compared is how many comparisons are told before they are asked for, and
// recited how many readings.
const compared, recited = 2, 3

// certain is what the engine says of a decision that no doubt touches; it is told
// on request only.
const certain = "It holds for everything that can be true of these readings."

// inFull is a decision slot by slot, the claim first.
func inFull(e *engine.Explanation, whole bool) []Part {
	told := *e
	told.Clears = each(e.Clears, text.Lower)
	if !whole {
		told.Rules = nearest(e.Rules)
		told.Facts = behind(told.Rules, e.Facts)
		if e.Sure == certain {
			told.Sure = ""
		}
	}
	var parts []Part
	for i, l := range told.Lines() {
		k := Slot
		if i == 0 {
			k = Title
		}
		parts = append(parts, say(k, "", l)...)
	}
	if more := len(e.Rules) + len(e.Facts) - len(told.Rules) - len(told.Facts); more > 0 {
		parts = append(parts, Part{Kind: Slot, Text: "More was looked at: type why."})
	}
	return parts
}

// behind picks the readings that stand behind comparisons, where there are too
// many to tell them all.
func behind(rules []engine.Comparison, facts []engine.Fact) []engine.Fact {
	if len(facts) <= recited {
		return facts
	}
	return slices.DeleteFunc(slices.Clone(facts), func(f engine.Fact) bool {
		return !slices.ContainsFunc(rules, func(c engine.Comparison) bool { return c.Reading == f.Reading })
	})
}

// nearest picks the comparisons that come nearest to falling the other way.
func nearest(rules []engine.Comparison) []engine.Comparison {
	picked := slices.Clone(rules)
	slices.SortStableFunc(picked, func(a, b engine.Comparison) int { return cmp.Compare(farness(a), farness(b)) })
	return picked[:min(len(picked), compared)]
}

// farness is the distance to the limit in widths of what can be true; a
// comparison that is not of numbers is not near to anything.
func farness(c engine.Comparison) float64 {
	if !c.Drawn {
		return math.Inf(1)
	}
	return math.Abs(c.Best-(c.LimitLo+c.LimitHi)/2) / math.Max(c.Hi-c.Lo, 1e-9)
}
