package terminal

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// A command is a word that may be typed in place of an answer.
type command struct {
	word  string
	args  string // shown after the word in the help
	key   string // the same on a numeric pad
	means string
	run   func(s *session, p *engine.Prompt, rest string, focus *engine.Reading) (Reply, error)
}

// commands lists every command in the order the help shows them. It is filled
// in init because the help itself is one of them.
var commands []command

func init() {
	commands = []command{
		{"back", "", "/", "take back the last answer; back 3 takes back three", back},
		{"why", "", "*", "why this is asked, and the last decision in full", why},
		{"how", "", "", "how to take this reading, step by step", how},
		{"expect", "VALUE", "", "say beforehand what it will show, to be told how that compares", expect},
		{"skip", "", "+", "leave out a reading that is optional", skipCommand},
		{"unable", "REASON", "", "it cannot be done here; say why", unable},
		{"done", "", "1", "the step has been done; readings that are optional are left out", doneCommand},
		{"list", "", "", "what is still possible, what is ruled out", list},
		{"noted", "", "", "answers so far, early ones and remarks", noted},
		{"change", "NAME VALUE", "", "correct an earlier answer: change rest 12.4", change},
		{"suspect", "FINDING", "", "go to the reading that proves or kills it", suspect},
		{"put back", "WORD", "", "a temporary change has been undone on the vehicle", putBack},
		{"note", "TEXT", "", "keep a remark for the report", note},
		{"kit", "LIST", "", "what is at hand; with a list, what is from now on: kit meter clamp", kitCommand},
		{"timer", "", "", "count down the time this step needs", timer},
		{"go on", "", "", "the finding was acted on: start the next round", goOn},
		{"pause", "", "", "leave; everything is saved (also: quit)", func(s *session, _ *engine.Prompt, _ string, _ *engine.Reading) (Reply, error) {
			return Reply{}, s.Leave()
		}},
		{"help", "", "?", "these words", help},
	}
}

// also lists other words for a command.
var also = map[string]string{
	"quit": "pause", "exit": "pause", "undo": "back", "i suspect": "suspect", "putback": "put back", "possible": "list",
}

// findCommand splits a line into the command it begins with and the rest; nil
// when it begins with none. A command that takes nothing must stand alone, so
// that a reading's name is not mistaken for one.
func findCommand(line string) (*command, string) {
	line = strings.Join(strings.Fields(line), " ")
	lower := strings.ToLower(line)
	for word, stands := range also {
		if lower == word || strings.HasPrefix(lower, word+" ") {
			line = stands + line[len(word):]
			lower = strings.ToLower(line)
			break
		}
	}
	for i := range commands {
		c := &commands[i]
		if lower == c.word || c.key != "1" && line == c.key && c.key != "" {
			return c, ""
		}
		if rest, ok := strings.CutPrefix(lower, c.word+" "); ok && (c.args != "" || c.word == "back" && isCount(rest)) {
			return c, line[len(line)-len(rest):]
		}
	}
	return nil, ""
}

func isCount(s string) bool { n, err := strconv.Atoi(s); return err == nil && n > 0 }

func back(s *session, p *engine.Prompt, rest string, _ *engine.Reading) (Reply, error) {
	n := 1
	if rest != "" {
		n, _ = strconv.Atoi(rest)
	}
	gone := lastAnswers(s.walk.Events(), n)
	if len(gone) == 0 {
		return Refuse("there is nothing to take back"), nil
	}
	told := each(gone, func(ev engine.Event) string { return s.said(p.Tree, ev) })
	r, err := s.apply(engine.Event{Do: engine.DoUndo, Count: len(gone)})
	if err != nil {
		return r, err
	}
	r.Told = append(say(Plain, "Taken back", strings.Join(told, "; ")), r.Told...)
	s.last = nil
	return r, nil
}

// lastAnswers are the latest n answers that stand, the last one first.
func lastAnswers(events []engine.Event, n int) []engine.Event {
	var stand []engine.Event
	for _, ev := range events {
		switch ev.Do {
		case engine.DoAnswer, engine.DoSkip, engine.DoUnable, engine.DoDone, engine.DoSuspect, engine.DoRound:
			stand = append(stand, ev)
		case engine.DoUndo:
			stand = stand[:max(len(stand)-max(ev.Count, 1), 0)]
		case engine.DoChange:
			if i := slices.IndexFunc(stand, func(e engine.Event) bool { return e.Seq == ev.Count }); i >= 0 {
				stand[i].Answer = ev.Answer
			}
		}
	}
	stand = stand[max(len(stand)-n, 0):]
	slices.Reverse(stand)
	return stand
}

// said is an answer in a few words: "current 82 A", "odometer left out".
func (s *session) said(t *engine.Tree, ev engine.Event) string {
	name := text.Spoken(ev.Reading)
	if r := t.ReadingNamed(ev.Reading); r != nil {
		name = r.Short
	}
	step := text.Spoken(ev.Step)
	if i := slices.IndexFunc(t.Steps, func(st *engine.Step) bool { return st.ID == ev.Step }); i >= 0 {
		step = t.Steps[i].Title
	}
	switch ev.Do {
	case engine.DoSkip:
		return name + " left out"
	case engine.DoUnable:
		return fmt.Sprintf("unable at %q", step)
	case engine.DoDone:
		return fmt.Sprintf("%q done", step)
	case engine.DoSuspect:
		return "suspect " + text.Spoken(ev.Text)
	case engine.DoRound:
		return "the beginning of this round"
	}
	return name + " " + given(ev.Answer)
}

func skipCommand(s *session, p *engine.Prompt, _ string, focus *engine.Reading) (Reply, error) {
	if focus == nil && len(p.Fields) > 0 {
		focus = p.Fields[0].Reading
	}
	if focus == nil {
		return Refuse("there is nothing here to skip"), nil
	}
	return s.skip(p, focus)
}

func (s *session) skip(p *engine.Prompt, r *engine.Reading) (Reply, error) {
	for _, f := range p.Fields {
		if f.Reading == r && f.Optional {
			return s.apply(engine.Event{Do: engine.DoSkip, Step: p.Step.ID, Reading: r.ID})
		}
	}
	return Refuse(fmt.Sprintf(`%q decides this step and cannot be skipped; if it cannot be taken, type unable and the reason`, r.Short)), nil
}

// skipAll leaves out every open reading of a step that can do without them.
func (s *session) skipAll(p *engine.Prompt) (Reply, error) {
	var events []engine.Event
	for _, f := range p.Fields {
		events = append(events, engine.Event{Do: engine.DoSkip, Step: p.Step.ID, Reading: f.Reading.ID})
	}
	return s.apply(events...)
}

func unable(s *session, p *engine.Prompt, reason string, focus *engine.Reading) (Reply, error) {
	if p.Step == nil {
		return Refuse("no step is open"), nil
	}
	if reason == "" {
		return Refuse(`say why in a few words, for the report: unable starter stud cannot be reached`), nil
	}
	ev := engine.Event{Do: engine.DoUnable, Step: p.Step.ID, Text: reason}
	if focus != nil {
		ev.Reading = focus.ID
	}
	return s.apply(ev)
}

func doneCommand(s *session, p *engine.Prompt, _ string, _ *engine.Reading) (Reply, error) {
	switch {
	case p.Ack:
		return s.done(p)
	case p.CanSkip:
		return s.skipAll(p)
	case p.Result != nil && len(p.Result.PutBack) > 0:
		return Refuse("not yet; still changed on the vehicle: " + spokenAll(p.Result.PutBack)), nil
	case p.Result != nil:
		return Reply{}, s.Leave()
	}
	i := slices.IndexFunc(p.Fields, func(f engine.Field) bool { return !f.Optional })
	if i < 0 {
		return Refuse("this step needs an answer"), nil
	}
	return Refuse(fmt.Sprintf("this step needs an answer to %q", p.Fields[i].Reading.Short)), nil
}

// change replaces the latest take of the reading named first in rest.
func change(s *session, p *engine.Prompt, rest string, _ *engine.Reading) (Reply, error) {
	name, value, _ := strings.Cut(rest, " ")
	i := slices.IndexFunc(p.Tree.Readings, func(r *engine.Reading) bool {
		return strings.EqualFold(r.Short, name) || strings.EqualFold(r.ID, name)
	})
	if i < 0 || value == "" {
		return Refuse(`give the short name and the right value: change rest 12.4; "noted" lists the names`), nil
	}
	r := p.Tree.Readings[i]
	takes := s.walk.Record().Takes
	for i := len(takes) - 1; i >= 0; i-- {
		if takes[i].Reading != r {
			continue
		}
		a, refusal := r.Parse(value, p.Meter)
		if refusal != nil {
			return Refuse(refusal.Reason), nil
		}
		out, err := s.apply(engine.Event{Do: engine.DoChange, Count: takes[i].Seq, Reading: r.ID, Answer: &a})
		if err == nil && len(out.Refused) == 0 && s.doubt == nil {
			out.Told = append(say(Plain, "Changed", r.Short+" "+value), out.Told...)
		}
		return out, err
	}
	return Refuse(fmt.Sprintf("%q has no answer yet", r.Short)), nil
}

// suspect finds the one finding meant by rest: by its id, or by words that
// stand in a single title.
func suspect(s *session, p *engine.Prompt, rest string, _ *engine.Reading) (Reply, error) {
	if rest == "" {
		return Refuse(`say which finding: suspect strap; "list" names them`), nil
	}
	var hits []*engine.Finding
	want := strings.ToLower(text.Spoken(rest))
	for _, f := range p.Tree.Findings {
		switch id, name := strings.ToLower(text.Spoken(f.ID)), strings.ToLower(f.Title); {
		case id == want || name == want:
			return s.suspected(f)
		case strings.Contains(id, want) || strings.Contains(name, want):
			hits = append(hits, f)
		}
	}
	switch len(hits) {
	case 0:
		return Refuse(fmt.Sprintf(`no finding has %q in its name; "list" names them`, short(rest))), nil
	case 1:
		return s.suspected(hits[0])
	}
	return Refuse(fmt.Sprintf("%q may be %s: type more of it", short(rest), strings.Join(titles(hits), "; or "))), nil
}

// suspected goes to the step that proves or kills f, and says what that skips.
func (s *session) suspected(f *engine.Finding) (Reply, error) {
	r, err := s.apply(engine.Event{Do: engine.DoSuspect, Text: f.ID})
	if err != nil || len(r.Refused) > 0 {
		return r, err
	}
	if st := s.walk.Next().Step; st != nil {
		// On a page of its own, because it is longer than a small screen leaves
		// room for beside the step.
		r.Page = &Page{Head: "Suspected: " + f.Title}
		r.Page.Parts = append(say(Plain, "This test proves or kills it", text.Sentence(st.Title)),
			say(Plain, "", "What the steps before it would have shown stays open.")...)
	}
	return r, nil
}

func putBack(s *session, p *engine.Prompt, rest string, _ *engine.Reading) (Reply, error) {
	hits := slices.DeleteFunc(slices.Clone(p.PutBack), func(w string) bool {
		return rest == "" || !strings.Contains(text.Spoken(w), strings.ToLower(text.Spoken(rest)))
	})
	switch {
	case len(p.PutBack) == 0:
		return Refuse("nothing is changed on the vehicle"), nil
	case len(hits) == 1:
		r, err := s.apply(engine.Event{Do: engine.DoPutBack, Text: hits[0]})
		r.Told = append(say(Plain, "Put back", text.Spoken(hits[0])+" is no longer so."), r.Told...)
		return r, err
	}
	r := Refuse(fmt.Sprintf("still changed on the vehicle: %s. Say which is as it was: put back %s", spokenAll(p.PutBack), text.Spoken(p.PutBack[0])))
	r.Refused = append(r.Refused, toPutBack("How", p.PutBack, p.Back)...)
	return r, nil
}

func note(s *session, p *engine.Prompt, rest string, _ *engine.Reading) (Reply, error) {
	if rest == "" {
		return Refuse("give the remark after the word: note owner says it was fine yesterday"), nil
	}
	ev := engine.Event{Do: engine.DoNote, Text: rest}
	if p.Step != nil {
		ev.Step = p.Step.ID
	}
	r, err := s.apply(ev)
	r.Told = append(r.Told, Part{Label: "Noted", Text: rest})
	return r, err
}

func timer(s *session, p *engine.Prompt, _ string, _ *engine.Reading) (Reply, error) {
	if _, ok := stepTime(p.Step); !ok {
		return Refuse("this step needs no time of its own"), nil
	}
	return Reply{Timer: true}, nil
}

func goOn(s *session, p *engine.Prompt, _ string, _ *engine.Reading) (Reply, error) {
	if p.Result == nil || !p.Result.CanGoOn {
		return Refuse("there is no finding to go on from"), nil
	}
	s.last = nil
	return s.apply(engine.Event{Do: engine.DoRound})
}
