package report

import (
	"fmt"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// finding tells what each round found and what to do about it, or, while the
// walk runs, what is needed next and what it can still end in.
func (d *draft) finding() section {
	s := section{title: "What was found and what to do"}
	switch {
	case len(d.rec.Rounds) < 2 && !d.done():
		s.title = "What is needed next"
	case d.several():
		s.title = "What each round found and what to do"
	}
	for i, round := range d.rec.Rounds {
		if d.several() {
			s.parts = append(s.parts, heading{3, d.roundTitle(i)})
		}
		if round.Result == nil {
			s.parts = append(s.parts, d.unfinished()...)
		} else {
			s.parts = append(s.parts, d.result(round.Tree, round.Result)...)
			s.parts = append(s.parts, deciding(round)...)
		}
	}
	if len(d.rec.Rounds) == 0 {
		s.parts = d.unfinished()
	}
	return s
}

// roundTitle names a round by its number and its tree.
func (d *draft) roundTitle(i int) string {
	return fmt.Sprintf("Round %d: %s", i+1, d.rec.Rounds[i].Tree.Title)
}

// inRound names a round inside a sentence.
func (d *draft) inRound(i int) string {
	return fmt.Sprintf("round %d (%s)", i+1, d.rec.Rounds[i].Tree.Title)
}

// result lays out the end of one round: cautions stand before the remedy that
// they belong to.
func (d *draft) result(t *engine.Tree, r *engine.Result) []part {
	f := r.Finding
	parts := []part{para{lead: text.Sentence(f.Title), text: text.Sentence(standing(r))}}
	if f.Stop {
		parts = append(parts, list{warning: true, lead: "Stop here.", items: []item{{text: "Nothing more may be done to this vehicle on the strength of these tests."}}})
	}
	if len(f.Cautions) > 0 {
		parts = append(parts, list{warning: true, lead: "Before the work:", items: items(f.Cautions)})
	}
	var more facts
	more.add("What to do", text.Sentence(r.Remedy))
	more.add("How the repair is proved", d.proof(t, r))
	more.add("What remains", text.Sentence(r.Open))
	return more.after(parts)
}

// proof says what shows whether the repair worked. A step whose title asks a
// question of a moment that is over is not named: there the finding's own words
// stand, or the tests as a whole.
func (d *draft) proof(t *engine.Tree, r *engine.Result) string {
	f := r.Finding
	if f.ProveBy == "" || f.Stop {
		return ""
	}
	for _, q := range t.Readings {
		if q.ID == f.ProveBy {
			return text.Sentence("After the work take the same reading again: " + q.Ask)
		}
	}
	if step := stepNamed(t, f.ProveBy); step != nil && !strings.HasSuffix(step.Title, "?") {
		return text.Sentence("After the work take the same test again: " + step.Title)
	}
	if strings.Contains(r.Remedy+" "+r.Open, firstCrank) {
		return text.Sentence(firstCrank)
	}
	return "Go through the tests again after the work."
}

// firstCrank is the proof of a new battery, in the words of the trees.
const firstCrank = "at the first crank on the new battery"

// unfinished says what the walk needs next and what it can still end in.
func (d *draft) unfinished() []part {
	next := d.rec.Next
	if next == nil || next.Step == nil {
		return []part{para{lead: "The tests are not finished."}}
	}
	parts := []part{para{lead: "The tests are not finished.", text: text.Sentence("What is needed next is the step “" + next.Step.Title + "”" + left(next))}}
	if len(next.Cautions) > 0 {
		parts = append(parts, list{warning: true, lead: "Before this step:", items: items(next.Cautions)})
	}
	if next.Gate != nil {
		parts = append(parts, para{lead: "A hazard check comes first.", text: text.Sentence(next.Gate.Why)})
	}
	if next.Stuck != "" {
		parts = append(parts, para{lead: "The tree cannot decide here.", text: text.Sentence(next.Stuck)})
	}
	if next.Do != "" {
		parts = append(parts, para{text: text.Sentence(next.Do)})
	}
	if next.Step.Picture != nil {
		parts = append(parts, next.Step.Picture)
	}
	parts = append(parts, asked(next)...)
	if len(next.Possible) > 0 {
		parts = append(parts, list{lead: "With what is known so far the tests can still end in one of these:", items: items(findingTitles(next.Possible))})
	}
	return parts
}

// asked lists the readings that the next step asks for.
func asked(next *engine.Prompt) []part {
	l := list{lead: "It asks for:"}
	for _, f := range next.Fields {
		under := where(f.Reading)
		if f.Before != nil {
			under = join(under, "before: "+f.Before.Text)
		}
		if f.Optional {
			under = join(under, "may be skipped")
		}
		l.items = append(l.items, item{text: f.Reading.Ask, under: under})
	}
	if len(l.items) == 0 {
		return nil
	}
	return []part{l}
}

// left says how many steps with a question are to come at least and at most.
func left(p *engine.Prompt) string {
	switch {
	case p.Most == 0:
		return ""
	case p.Fewest == p.Most:
		return "; " + text.Count(p.Most, "step") + " with a question to come"
	default:
		return fmt.Sprintf("; %d to %d steps with a question to come", p.Fewest, p.Most)
	}
}

func findingTitles(fs []*engine.Finding) []string {
	return each(fs, func(f *engine.Finding) string { return f.Title })
}

// items makes list points of texts.
func items(texts []string) []item {
	return each(texts, func(t string) item { return item{text: text.Capital(text.Clean(t))} })
}

// join puts two remarks on one line.
func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}
