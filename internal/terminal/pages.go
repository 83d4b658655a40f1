package terminal

import (
	"fmt"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// why explains the step that is asked, and in full what was decided last.
func why(s *session, p *engine.Prompt, _ string, _ *engine.Reading) (reply, error) {
	pg := &page{head: "Why"}
	switch {
	case p.Result != nil:
	case p.Gate != nil:
		pg.parts = say(plainText, "This safety check", text.Sentence(p.Gate.Why))
	default:
		pg.parts = say(plainText, "This step", text.Sentence(p.Why))
		if len(pg.parts) == 0 {
			pg.parts = say(plainText, "", "Nothing more is written about this step.")
		}
	}
	if s.last != nil {
		pg.parts = append(pg.parts, part{kind: gap}, part{plainText, "", "What was decided last:"})
		pg.parts = append(pg.parts, allInFull(s.last, true)...)
	}
	return reply{page: pg}, nil
}

// how is the long text: the instruction and everything known of each field.
func how(s *session, p *engine.Prompt, _ string, focus *engine.Reading) (reply, error) {
	if p.Step == nil {
		return refuse("no step is open"), nil
	}
	pg := &page{head: "How: " + p.Step.Title, parts: append(append(cautions(p), putBackHere(p)...), instruction(p, false)...)}
	for _, f := range focusFirst(p.Fields, focus) {
		r := f.Reading
		pg.parts = append(pg.parts, part{kind: gap}, part{title, "", asks(r)})
		pg.parts = append(pg.parts, say(plainText, "", text.Sentence(f.How))...)
		pg.parts = append(pg.parts, placing(f)...)
		if !s.o.Plain {
			for _, row := range picture(r) {
				pg.parts = append(pg.parts, part{drawn, "", row})
			}
		}
		pg.parts = append(pg.parts, expected(f)...)
		pg.parts = append(pg.parts, say(plainText, "Usual slips", text.Sentence(f.Slips))...)
		pg.parts = append(pg.parts, say(plainText, "This reading cannot tell", text.Sentence(f.Cannot))...)
		for _, c := range r.Choices {
			if about := r.About[c]; about != "" {
				pg.parts = append(pg.parts, part{plainText, c, about})
			}
		}
	}
	return reply{page: pg}, nil
}

// list names what is still possible, likelier first, what would stop the walk,
// and what has been ruled out, and where.
func list(s *session, p *engine.Prompt, _ string, _ *engine.Reading) (reply, error) {
	pg := &page{head: fmt.Sprintf("Still possible: %d", len(p.Possible))}
	if r := p.Result; r != nil {
		pg.head, pg.parts = "Ruled out, and not", notTested(r.NotTested)
	} else {
		pg.parts = stillPossible(p.Possible)
	}
	pg.parts = append(pg.parts, part{kind: gap})
	ruled := false
	for _, round := range s.walk.Record().Rounds {
		for _, v := range round.Steps {
			if v.Explanation != nil && len(v.Explanation.Clears) > 0 {
				pg.parts = append(pg.parts, say(plainText, fmt.Sprintf("Ruled out at %q", v.Step.Title), inOneList(v.Explanation.Clears))...)
				ruled = true
			}
		}
	}
	if !ruled {
		pg.parts = append(pg.parts, part{plainText, "", "Nothing has been ruled out yet."})
	}
	return reply{page: pg}, nil
}

// stillPossible names findings in two groups: what may be wrong, and what would
// end the walk.
func stillPossible(findings []*engine.Finding) []part {
	var parts []part
	for _, f := range likely(findings) {
		parts = append(parts, part{plainText, "", "- " + f.Title})
	}
	var stops []part
	for _, f := range findings {
		if f.Stop {
			stops = append(stops, part{plainText, "", "- " + f.Title})
		}
	}
	if len(stops) > 0 {
		parts = append(append(parts, part{kind: gap}, part{plainText, "", "Would stop the walk:"}), stops...)
	}
	return parts
}

// noted lists the answers given, those that wait for their step, and remarks.
func noted(s *session, p *engine.Prompt, _ string, _ *engine.Reading) (reply, error) {
	rec := s.walk.Record()
	pg := &page{head: "Noted"}
	for _, t := range rec.Takes {
		where := ""
		if t.Step != nil {
			where = ", at: " + t.Step.Title
		}
		if t.Stale {
			where += " (old news)"
		}
		pg.parts = append(pg.parts, part{plainText, t.Reading.Short, t.Text + where})
	}
	for _, t := range p.Waiting {
		pg.parts = append(pg.parts, part{plainText, t.Reading.Short, t.Text + ", kept for a later step"})
	}
	for _, n := range rec.Notes {
		pg.parts = append(pg.parts, part{plainText, "Remark", n.Text})
	}
	if len(pg.parts) == 0 {
		pg.parts = say(plainText, "", "Nothing yet.")
	}
	return reply{page: pg}, nil
}

func help(_ *session, p *engine.Prompt, _ string, _ *engine.Reading) (reply, error) {
	pg := &page{head: "What can be typed"}
	pg.parts = say(plainText, "A reading", `the number, with or without a unit: 12.55, 12,55 V, 150 mV. Words after it are understood too: 8.8 lowest, unsteady, over range`)
	pg.parts = append(pg.parts, part{plainText, "A choice", "its number, or the first letters of it"})
	pg.parts = append(pg.parts, part{plainText, "Several at once, in any order", "each after its short name: rest 12.6 crank 11.4. What belongs to a later step is kept for it"})
	pg.parts = append(pg.parts, part{kind: gap})
	for _, c := range commands {
		word := strings.TrimSpace(c.word + " " + c.args)
		if c.key != "" {
			word += " or " + c.key
		}
		pg.parts = append(pg.parts, part{plainText, word, c.means})
	}
	return reply{page: pg}, nil
}
