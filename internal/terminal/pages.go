package terminal

import (
	"fmt"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// why explains the step that is asked, and in full what was decided last.
func why(s *session, p *engine.Prompt, _ string, _ *engine.Reading) (Reply, error) {
	pg := &Page{Head: "Why"}
	switch {
	case p.Result != nil:
	case p.Gate != nil:
		pg.Parts = say(Plain, "This safety check", text.Sentence(p.Gate.Why))
	default:
		pg.Parts = say(Plain, "This step", text.Sentence(p.Why))
		if len(pg.Parts) == 0 {
			pg.Parts = say(Plain, "", "Nothing more is written about this step.")
		}
	}
	if s.last != nil {
		pg.Parts = append(pg.Parts, Part{Kind: Gap}, Part{Text: "What was decided last:"})
		pg.Parts = append(pg.Parts, allInFull(s.last, true)...)
	}
	return Reply{Page: pg}, nil
}

// how is the long text: the instruction and everything known of each field.
func how(s *session, p *engine.Prompt, _ string, focus *engine.Reading) (Reply, error) {
	if p.Step == nil {
		return Refuse("no step is open"), nil
	}
	pg := &Page{Head: "How: " + p.Step.Title, Parts: append(append(cautions(p.Cautions), putBackHere(p)...), instructed(p, text.Sentence(p.Do), false)...)}
	for _, f := range focusFirst(p.Fields, focus) {
		r := f.Reading
		pg.Parts = append(pg.Parts, Part{Kind: Gap}, Part{Kind: Title, Text: asks(r)})
		pg.Parts = slices.Concat(pg.Parts, say(Plain, "", text.Sentence(f.How)), placing(f))
		if !s.o.Plain {
			pg.Parts = append(pg.Parts, drawn(picture(r))...)
		}
		pg.Parts = slices.Concat(pg.Parts, expected(f), say(Plain, "Usual slips", text.Sentence(f.Slips)),
			say(Plain, "This reading cannot tell", text.Sentence(f.Cannot)))
		for _, c := range r.List() {
			if about := r.About[c]; about != "" {
				pg.Parts = append(pg.Parts, Part{Label: c, Text: about})
			}
		}
	}
	return Reply{Page: pg}, nil
}

// list names what is still possible, likelier first, what would stop the walk,
// and what has been ruled out, and where.
func list(s *session, p *engine.Prompt, _ string, _ *engine.Reading) (Reply, error) {
	pg := &Page{Head: fmt.Sprintf("Still possible: %d", len(p.Possible))}
	if r := p.Result; r != nil {
		pg.Head, pg.Parts = "Ruled out, and not", notTested(r.NotTested)
	} else {
		pg.Parts = stillPossible(p.Possible)
	}
	pg.Parts = append(pg.Parts, Part{Kind: Gap})
	ruled := false
	for _, round := range s.walk.Record().Rounds {
		for _, v := range round.Steps {
			if v.Explanation != nil && len(v.Explanation.Clears) > 0 {
				pg.Parts = append(pg.Parts, say(Plain, fmt.Sprintf("Ruled out at %q", v.Step.Title), inOneList(v.Explanation.Clears))...)
				ruled = true
			}
		}
	}
	if !ruled {
		pg.Parts = append(pg.Parts, Part{Text: "Nothing has been ruled out yet."})
	}
	return Reply{Page: pg}, nil
}

// stillPossible names findings in two groups: what may be wrong, and what would
// end the walk.
func stillPossible(findings []*engine.Finding) []Part {
	dashed := func(findings []*engine.Finding) []Part {
		return Paragraphs(each(findings, func(f *engine.Finding) string { return "- " + f.Title }))
	}
	parts := dashed(likely(findings))
	if stops := slices.DeleteFunc(slices.Clone(findings), func(f *engine.Finding) bool { return !f.Stop }); len(stops) > 0 {
		parts = append(append(parts, Part{Kind: Gap}, Part{Text: "Would stop the walk:"}), dashed(stops)...)
	}
	return parts
}

// noted lists the answers given, those that wait for their step, and remarks.
func noted(s *session, p *engine.Prompt, _ string, _ *engine.Reading) (Reply, error) {
	rec := s.walk.Record()
	pg := &Page{Head: "Noted"}
	for _, t := range rec.Takes {
		where := ""
		if t.Step != nil {
			where = ", at: " + t.Step.Title
		}
		if t.Stale {
			where += " (old news)"
		}
		pg.Parts = append(pg.Parts, Part{Label: t.Reading.Short, Text: t.Text + where})
	}
	for _, t := range p.Waiting {
		pg.Parts = append(pg.Parts, Part{Label: t.Reading.Short, Text: t.Text + ", kept for a later step"})
	}
	for _, n := range rec.Notes {
		pg.Parts = append(pg.Parts, Part{Label: "Remark", Text: n.Text})
	}
	if len(pg.Parts) == 0 {
		pg.Parts = say(Plain, "", "Nothing yet.")
	}
	return Reply{Page: pg}, nil
}

func help(_ *session, p *engine.Prompt, _ string, _ *engine.Reading) (Reply, error) {
	pg := &Page{Head: "What can be typed", Parts: []Part{
		{Label: "A reading", Text: "the number, with or without a unit: 12.55, 12,55 V, 150 mV. Words after it are understood too: 8.8 lowest, unsteady, over range"},
		{Label: "A choice", Text: "its number, or the first letters of it"},
		{Label: "Several at once, in any order", Text: "each after its short name: rest 12.6 crank 11.4. What belongs to a later step is kept for it"},
		{Kind: Gap},
	}}
	for _, c := range commands {
		word := strings.TrimSpace(c.word + " " + c.args)
		if c.key != "" {
			word += " or " + c.key
		}
		pg.Parts = append(pg.Parts, Part{Label: word, Text: c.means})
	}
	return Reply{Page: pg}, nil
}
