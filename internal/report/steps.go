package report

import (
	"fmt"

	"deadflat/internal/engine"
)

// steps goes through the walk step by step: what was read, the drawing of each
// deciding reading, the limit it was held against with its source, and why the
// step led where it did.
func (d *draft) steps() section {
	s := section{title: "How it was reached, step by step"}
	for i, round := range d.rec.Rounds {
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

// factItems lists what was read, and where and how.
func factItems(fs []engine.Fact) []item {
	var out []item
	for _, f := range fs {
		under := join(f.Place, f.How)
		if f.Assumed {
			under = join(under, "assumed, not measured")
		}
		out = append(out, item{text: sentence(f.Ask + ": " + f.Text), under: under})
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
	left := c.Left
	if c.Value != "" && c.Value != c.Left {
		left += " (" + c.Value + ")"
	}
	switch c.Holds {
	case "yes":
		return sentences(left+" is "+trimIs(c.Is)+c.Limit, margin(c.Margin))
	case "no":
		return sentences(left+" is not "+trimIs(c.Is)+c.Limit, margin(c.Margin))
	default:
		return sentences("Whether "+left+" is "+trimIs(c.Is)+c.Limit+" is too close to call", margin(c.Margin))
	}
}

// trimIs leaves the relation without its verb, ready to stand after "is" or
// "is not".
func trimIs(relation string) string {
	switch relation {
	case "is", "":
		return ""
	default:
		return relation + " "
	}
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

// slots are the rest of an explanation, each under its name.
func slots(e *engine.Explanation) *facts {
	f := &facts{}
	f.add("Why not otherwise", sentence(e.Foil))
	f.add("What would have changed it", sentence(e.Flip))
	sure := sentence(e.Sure)
	if e.Provisional {
		sure = sentences(e.Sure, "This branch is provisional")
	}
	f.add("How sure", sure)
	f.add("Ruled out by this", sentence(series(e.Clears)))
	f.add("Says nothing about", sentence(e.NotYet))
	f.add("Next", sentence(e.Next))
	return f
}
