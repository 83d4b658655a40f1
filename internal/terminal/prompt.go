package terminal

import (
	"fmt"
	"slices"
	"strconv"

	"deadflat/internal/engine"
)

// Prompt lays out what the walk asks now.
func (s *session) Prompt() Prompt {
	p := s.walk.Next()
	out := Prompt{Key: pageKey(p), Label: "Step", State: kept(p), Commands: commandsAt(p)}
	out.Title, out.Where = heading(p)
	for n := few; n >= 0 && len(p.Possible) > 0 && p.Result == nil; n-- {
		out.Possible = append(out.Possible, possible(p, n))
	}
	if p.Result != nil {
		out.Result, out.Text = result(p.Result, s.o.Brief), result(p.Result, true)[1:] // the title has its name
	} else {
		out.Cautions = append(cautions(p.Cautions), putBackHere(p)...)
		out.Do = s.instruction(p)
		out.Timer, _ = stepTime(p.Step)
	}
	out.Fields = s.fields(p)
	if s.doubt != nil {
		out.Doubt = say(Trouble, "", s.doubt.thought)
		out.Fields = []Field{{Ask: s.doubt.ask + " (y or n)", Known: true, Choices: yesOrNo}}
	}
	return out
}

var yesOrNo = []Choice{{Key: "y", Name: "yes", Line: "y"}, {Key: "n", Name: "no", Line: "n"}}

// pageKey changes whenever there is something else to know.
func pageKey(p *engine.Prompt) string {
	switch {
	case p.Result != nil:
		return fmt.Sprint(p.Round, " ends in ", p.Result.Finding.ID, p.Result.PutBack)
	case p.Gate != nil:
		return fmt.Sprint(p.Round, p.Step.ID, " gate ", p.Gate.ID)
	}
	return fmt.Sprint(p.Round, p.Step.ID)
}

// commandsAt are the words that are most often wanted at a prompt.
func commandsAt(p *engine.Prompt) []Command {
	out := []Command{{Word: "back", Key: "/"}, {Word: "why", Key: "*"}}
	if len(p.Fields) > 0 && p.Fields[0].Optional {
		out = append(out, Command{Word: "skip", Key: "+"})
	}
	if p.Step != nil {
		out = append(out, Command{Word: "how"})
	}
	if len(p.Fields) > 0 && p.Gate == nil {
		out = append(out, Command{Word: "unable", Args: "REASON"})
	}
	return append(out, Command{Word: "help"})
}

// fields are what can be filled in: all open numbers of a step that is one act, else
// the first reading alone, because its answer may settle the step, and because two
// lists seldom fit on one screen.
func (s *session) fields(p *engine.Prompt) []Field {
	switch {
	case p.Result != nil:
		return []Field{{Ask: "What next", Choices: ways(p.Result)}}
	case p.Stuck != "":
		return []Field{{Ask: "What next", Line: "Type back, or pause", Known: true, Choices: []Choice{
			{Name: "back: take back the last answer", Line: "back"}, {Name: "pause: leave; everything is saved", Line: "pause"}}}}
	case p.Ack && gentle(p.Step):
		return []Field{{Ask: "When it has been done", Line: "Press Enter when done", Known: true, Enter: true, Choices: []Choice{{Name: "Done", Line: "done"}}}}
	case p.Ack:
		return []Field{{Ask: "When it has been done", Line: "Type done when done", Known: true, Hazard: true, Choices: []Choice{{Key: "1", Name: "Done", Line: "done"}}}}
	}
	open := p.Fields
	if lists := slices.ContainsFunc(open, func(f engine.Field) bool { return !f.Reading.Number() }); !p.Step.Together || p.Gate != nil || lists {
		open = open[:1]
	}
	var out []Field
	for _, f := range open {
		out = append(out, s.field(p, f))
	}
	return out
}

func (s *session) field(p *engine.Prompt, f engine.Field) Field {
	r := f.Reading
	out := Field{Name: r.ID, Ask: asks(r), Hazard: r.Hazard, Optional: f.Optional, Next: then(p, r), Place: placing(f), Expected: expected(f), Passing: passing(p, f)}
	if !s.o.Plain {
		out.Drawing = picture(r)
	}
	out.Choices, out.Many = Numbered(r.List()), r.Many()
	if out.Many {
		out.Line = out.Ask + ", one or more"
	}
	for i, c := range r.List() {
		if !s.o.Brief {
			out.Choices[i].About = r.About[c]
		}
	}
	if r.Unsure {
		n := strconv.Itoa(len(r.List()) + 1)
		out.Choices = append(out.Choices, Choice{Key: n, Name: "not sure", Line: n})
	}
	return out
}

// Answer takes a line for the reading of that name, which a bare value is for.
func (s *session) Answer(field, line string) (Reply, error) {
	var focus *engine.Reading
	for _, f := range s.walk.Next().Fields {
		if f.Reading.ID == field {
			focus = f.Reading
		}
	}
	r, err := s.answer(line, focus)
	if s.o.Brief {
		r.Told = append(r.Told, inBrief(r.decided)...)
	} else {
		r.Decided = allInFull(r.decided, false)
	}
	return r, err
}
