package report

import (
	"fmt"
	"slices"
	"strings"

	"deadflat/internal/engine"
)

// steps goes through the walk step by step: what was read, the drawing of each
// deciding reading, the limit it was held against with its source, and why the
// step led where it did.
func (d *draft) steps() section {
	s := section{title: "How it was reached, step by step"}
	for i, round := range d.rec.Rounds {
		if len(round.Steps) == 0 {
			continue
		}
		level := 3
		if d.several() {
			s.parts = append(s.parts, heading{3, d.roundTitle(i)})
			level = 4
		}
		drawn := map[[2]string]bool{}
		for n, visit := range round.Steps {
			s.parts = append(s.parts, heading{level, d.visitTitle(n, visit)})
			s.parts = append(s.parts, d.visit(visit, drawn)...)
		}
	}
	return s
}

// visitTitle numbers a step and says when it was done.
func (d *draft) visitTitle(n int, v engine.Visit) string {
	title := fmt.Sprintf("%d. %s", n+1, v.Step.Title)
	if at := d.clock.at(v.At); at != "" {
		title += ", " + at
	}
	return title
}

// visit lays out one step. A circuit already drawn in this round is not drawn
// again.
func (d *draft) visit(v engine.Visit, drawn map[[2]string]bool) []part {
	e := v.Explanation
	if e == nil {
		return []part{para{text: "Done."}}
	}
	var parts []part
	if e.Claim != "" {
		parts = append(parts, para{lead: sentence(e.Claim)})
	}
	if len(e.Facts) > 0 {
		parts = append(parts, list{items: factItems(e.Facts)})
	}
	parts = append(parts, circuits(e.Facts, drawn)...)
	for _, s := range scales(e.Rules) {
		parts = append(parts, s)
	}
	if len(e.Rules) > 0 {
		parts = append(parts, list{lead: "Held against:", items: ruleItems(e.Rules)})
	}
	return slots(e).after(parts)
}

// factItems lists what was read, and where and how. What has no place is told
// in one line.
func factItems(fs []engine.Fact) []item {
	var out []item
	for _, f := range fs {
		how := f.How
		if f.Assumed {
			how = join(how, "assumed, not measured")
		}
		i := item{text: told(clean(f.Ask), f.Text), under: join(f.Place, how)}
		if f.Place == "" && how != "" {
			i = item{text: i.text + " (" + clean(how) + ")"}
		}
		out = append(out, i)
	}
	return out
}

// ruleItems says of each limit, in a sentence, on which side of it the reading
// lay, by how much, and who set it.
func ruleItems(rules []engine.Comparison) []item {
	var out []item
	for _, c := range rules {
		out = append(out, item{text: verdict(c), under: source(c.Source)})
	}
	return out
}

// verdict is one comparison as a sentence.
func verdict(c engine.Comparison) string {
	left := named(c.Left)
	if c.Value != "" && c.Value != c.Limit {
		left += " (" + c.Value + ")"
	}
	switch {
	case c.Is == "":
		return sentences("How " + left + " compares with " + c.Limit + " is not known")
	case c.Holds == "too close to call":
		return sentences(left+" "+c.Is+" "+c.Limit+", but too close to it to call", margin(c.Margin))
	default:
		return sentences(left+" "+c.Is+" "+c.Limit, margin(c.Margin))
	}
}

// named makes words that can stand in a sentence of what was asked: a question
// becomes the answer to it.
func named(ask string) string {
	if strings.HasSuffix(ask, "?") {
		return "the answer to “" + capital(ask) + "”"
	}
	return ask
}

// told is what was asked and what came of it.
func told(ask, text string) string {
	if strings.HasSuffix(ask, "?") {
		return capital(ask) + " " + sentence(text)
	}
	return sentence(ask + ": " + text)
}

func margin(m string) string {
	if m == "" {
		return ""
	}
	return "The margin is " + m
}

func source(s string) string {
	if s == "" {
		return ""
	}
	return "Source: " + s
}

// decided reports whether a step had more than one way on: of the only way
// there is nothing to be sure.
func decided(e *engine.Explanation) bool {
	b := e.Branch
	return b == nil || b.Guard != nil || !slices.Contains(e.Step.Branches, b)
}

// slots are the rest of an explanation, each under its name.
func slots(e *engine.Explanation) *facts {
	f := &facts{}
	f.add("Why not otherwise", sentence(e.Foil))
	f.add("What would change it", sentence(e.Flip))
	if decided(e) {
		f.add("How sure", sentence(e.Sure))
	}
	f.add("Ruled out by this", sentence(strings.Join(e.Clears, "; ")))
	f.add("Says nothing about", sentence(e.NotYet))
	f.add("Next", sentence(strings.TrimPrefix(e.Next, "Next: ")))
	return f
}
