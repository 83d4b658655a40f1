package report

import (
	"fmt"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// steps goes through the walk step by step, in short: what each came to, the
// comparison that says so, and the drawing of each deciding reading that is not
// drawn above already. The annex has the rest.
func (d *draft) steps() section {
	s := section{title: "How it was reached, step by step", role: tight}
	for i, round := range d.rec.Rounds {
		if len(round.Steps) == 0 {
			continue
		}
		level := 3
		if d.several() {
			s.parts = append(s.parts, heading{3, d.roundTitle(i)})
			level = 4
		}
		var drawn drawings
		if round.Result != nil {
			drawn.add(deciding(round))
		}
		for n, visit := range round.Steps {
			title := visitTitle(n, visit)
			if at := d.clock.at(visit.At); at != "" {
				title += " (" + at + ")"
			}
			s.parts = append(s.parts, heading{level, title})
			if p := visit.Step.Picture; p != nil && !slices.Contains(s.parts, part(p)) {
				s.parts = append(s.parts, p)
			}
			s.parts = append(s.parts, drawn.add(brief(visit))...)
		}
	}
	return s
}

// pictured says what a picture shows, where it cannot be shown.
func pictured(p *engine.Picture) para { return para{lead: "Picture:", text: text.Sentence(p.Text)} }

// visitTitle numbers a step.
func visitTitle(n int, v engine.Visit) string { return fmt.Sprintf("%d. %s", n+1, v.Step.Title) }

// brief lays out one step as a first reader needs it.
func brief(v engine.Visit) []part {
	e := v.Explanation
	if e == nil {
		return []part{para{text: "Done."}}
	}
	parts := []part{para{lead: text.Sentence(e.Claim), text: because(e)}}
	for _, s := range scales(e.Rules) {
		parts = append(parts, s)
	}
	return parts
}

// drawings are the scales drawn so far.
type drawings []*scale

// add keeps the scales among some parts, and gives the parts back without those
// that an earlier one shows already.
func (d *drawings) add(parts []part) []part {
	var out []part
	for _, p := range parts {
		s, is := p.(*scale)
		if is && slices.ContainsFunc(*d, func(earlier *scale) bool { return earlier.shows(s) }) {
			continue
		}
		if is {
			*d = append(*d, s)
		}
		out = append(out, p)
	}
	return out
}

// because is what a decision rests on: its comparisons, or where it made none
// what was read; and how it was settled where it was not clear.
func because(e *engine.Explanation) string {
	out := compared(e.Rules, predicate)
	if len(out) == 0 {
		for _, f := range e.Facts {
			out = append(out, told(text.Clean(f.Ask), f.Text))
		}
	}
	if e.Provisional || len(e.Rules) == 0 && decided(e) {
		out = append(out, e.Sure)
	}
	return sentences(out...)
}

// compared says of each reading in one sentence how it compares with all that it
// was held against; say says one comparison.
func compared(rules []engine.Comparison, say func(engine.Comparison) string) []string {
	var out []string
	sentence := map[string]int{}
	for _, c := range rules {
		start := subject(c) + " "
		text, follows := strings.CutPrefix(say(c), start)
		if at, begun := sentence[start]; begun && follows {
			out[at] += "; " + text
			continue
		}
		if follows {
			sentence[start] = len(out)
		}
		out = append(out, say(c))
	}
	return out
}

// subject is what was held against something, with what it was.
func subject(c engine.Comparison) string {
	left := named(text.Clean(c.Left))
	if c.Value != "" && c.Value != c.Limit {
		left += " (" + text.Clean(c.Value) + ")"
	}
	return left
}

// predicate is one comparison without its margin.
func predicate(c engine.Comparison) string {
	switch {
	case c.Is == "":
		return "how " + subject(c) + " compares with " + c.Limit + " is not known"
	case !c.Drawn && c.Holds == "too close to call":
		return subject(c) + " may or may not be " + c.Limit
	default:
		return strings.TrimSpace(subject(c) + " " + c.Is + " " + text.Clean(c.Limit))
	}
}

// verdict is one comparison whole: on which side of the limit the reading lay,
// by how much, and who set the limit.
func verdict(c engine.Comparison) string {
	return predicate(c) + labelled(", by ", c.Margin) + labelled(" – source: ", c.Source)
}

// labelled puts a label before a text, unless there is none.
func labelled(label, s string) string {
	if s = text.Clean(s); s == "" {
		return ""
	}
	return label + s
}

// named makes words that can stand in a sentence of what was asked: a question
// becomes the answer to it.
func named(ask string) string {
	if strings.HasSuffix(ask, "?") {
		return "the answer to “" + text.Capital(ask) + "”"
	}
	return ask
}

// told is what was asked and what came of it.
func told(ask, answer string) string {
	if strings.HasSuffix(ask, "?") {
		return text.Capital(ask) + " " + text.Sentence(answer)
	}
	return text.Sentence(ask + ": " + answer)
}

// decided reports whether a step had more than one way on: of the only way
// there is nothing to be sure.
func decided(e *engine.Explanation) bool {
	b := e.Branch
	return b == nil || b.Guard != nil || !slices.Contains(e.Step.Branches, b)
}

// annex sets out every explanation whole, one table a round.
func (d *draft) annex() section {
	s := section{title: "Annex: every step in full"}
	for i, round := range d.rec.Rounds {
		t := table{caption: "What each step was held against, and how sure it is", small: true, head: []string{"Step", "Held against", "What would change it", "How sure, and what comes of it"}}
		if d.several() {
			t.caption += ", " + d.inRound(i)
		}
		for n, visit := range round.Steps {
			if e := visit.Explanation; e != nil {
				t.rows = append(t.rows, slots(visitTitle(n, visit), e))
			}
		}
		s.parts = append(s.parts, t.unlessEmpty()...)
	}
	return s
}

// slots are what an explanation says beside its claim.
func slots(title string, e *engine.Explanation) []item {
	var held []string
	for _, f := range e.Facts {
		if f.Assumed {
			held = append(held, told(text.Clean(f.Ask), f.Text+" ("+f.How+")"))
		}
	}
	held = append(held, compared(e.Rules, verdict)...)
	sure := ""
	if decided(e) {
		sure = e.Sure
	}
	return []item{
		{text: title},
		{text: sentences(held...)},
		{text: sentences(e.Foil, e.Flip)},
		{text: sentences(sure, labelled("Ruled out by this: ", titles(e.Clears)), labelled("Says nothing about this: ", text.Lower(e.NotYet)), e.Next)},
	}
}

// titles joins titles in a sentence: the first as it is, the others small.
func titles(words []string) string {
	out := slices.Clone(words)
	for i := 1; i < len(out); i++ {
		out[i] = text.Lower(text.Clean(out[i]))
	}
	return strings.Join(out, "; ")
}
