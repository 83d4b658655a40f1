package terminal

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// A session is the part of the wizard that both faces share: it turns a typed
// line into events, gives them to the walk, saves what was accepted, and says
// what came of it. It prints nothing.
type session struct {
	walk  Walk
	o     Options
	saved int   // how many of the walk's events are on disk
	lost  error // why the others are not

	doubt  *question             // asked before an unlikely answer is believed
	guess  *guess                // what is expected of the step that is open
	last   []*engine.Explanation // the decisions of the latest answer that made any
	paused bool
	left   bool // the person is done with the finding
}

// A question is answered by yes or no. Anything else typed drops it and counts
// as a new line, so that nobody is held at it.
type question struct {
	thought string // what speaks against the answer, said before the question
	ask     string
	yes     []engine.Event // given to the walk on yes; on no, those after the first
	line    string         // or typed on yes
	another bool           // or the walk goes on in another file on yes, and ends on no
}

func newSession(w Walk, o Options) *session {
	return &session{walk: w, o: o, saved: len(w.Events())}
}

// Over reports whether there is nothing more to ask.
func (s *session) Over() bool { return s.paused || s.left }

// answer handles one typed line. Focus is the field that has the person's
// attention: a bare value is for it. The error is a failure to save or a walk
// that cannot go on.
func (s *session) answer(line string, focus *engine.Reading) (Reply, error) {
	line = strings.TrimSpace(text.Clean(line))
	if s.doubt != nil {
		if r, done, err := s.answerDoubt(line); done || err != nil {
			return r, err
		}
	}
	p := s.walk.Next()
	if line == "" {
		return s.empty(p, focus)
	}
	if p.Result != nil {
		line = wayOn(p.Result, line)
	}
	if c, rest := findCommand(line); c != nil && !isChoice(p, line) {
		return c.run(s, p, rest, focus)
	}
	return s.readings(p, line, focus)
}

// wayOn turns the digit of a way on from a finding into its words.
func wayOn(r *engine.Result, line string) string {
	if i, ok := ordinal(line, len(ways(r))); ok {
		return ways(r)[i].Line
	}
	return line
}

// isChoice reports whether line is, word for word, a choice that is asked for
// now: then it is meant as the answer even if it is also a command.
func isChoice(p *engine.Prompt, line string) bool {
	return slices.ContainsFunc(p.Fields, func(f engine.Field) bool {
		return slices.ContainsFunc(f.Reading.Choices, func(c string) bool { return strings.EqualFold(c, line) })
	})
}

// empty handles Enter alone. It never answers; where nothing is decided and
// nothing can be hurt, it passes on.
func (s *session) empty(p *engine.Prompt, focus *engine.Reading) (Reply, error) {
	switch r := p.Result; {
	case r != nil && (r.CanGoOn || len(r.PutBack) > 0):
		return Refuse(`type one of the words above; "help" lists them all`), nil
	case r != nil:
		return Reply{}, s.Leave()
	case p.Ack && gentle(p.Step):
		return s.done(p)
	case p.Ack:
		return Refuse(`Enter alone does not say that this was done: type "done" or 1`), nil
	case focus != nil && focus.Hazard:
		return Refuse("this is about safety: Enter alone does not answer it; type the number or the word"), nil
	case focus != nil && decidesNothing(p, focus):
		return s.skip(p, focus)
	}
	return Refuse("nothing was typed: give the answer, or a word such as back, why, how"), nil
}

// gentle reports whether a step can be acknowledged by Enter alone.
func gentle(st *engine.Step) bool {
	switch st.Kind {
	case engine.Measure, engine.Inspect, engine.Retest, engine.Decide, engine.Wait:
		return len(st.Cautions) == 0
	}
	return false
}

// decidesNothing reports whether r is only kept for the report.
func decidesNothing(p *engine.Prompt, r *engine.Reading) bool {
	return p.Step != nil && p.Gate == nil && slices.Contains(p.Step.Record, r) && !slices.Contains(p.Step.Take, r)
}

// readings takes a line of one or more readings.
func (s *session) readings(p *engine.Prompt, line string, focus *engine.Reading) (Reply, error) {
	if p.Ack && line == "1" {
		return s.done(p)
	}
	typed, refusal := p.Tree.ParseLine(focusFirst(p.Fields, focus), line, p.Meter)
	if refusal != nil {
		return s.refused(refusal, nil, line), nil
	}
	var events []engine.Event
	for _, t := range typed {
		events = append(events, engine.Event{Do: engine.DoAnswer, Step: askedAt(p, t.Reading), Reading: t.Reading.ID, Answer: &t.Answer})
	}
	return s.apply(events...)
}

func focusFirst(fields []engine.Field, focus *engine.Reading) []engine.Field {
	i := slices.IndexFunc(fields, func(f engine.Field) bool { return f.Reading == focus })
	if i <= 0 {
		return fields
	}
	out := []engine.Field{fields[i]}
	return append(append(out, fields[:i]...), fields[i+1:]...)
}

// askedAt is the id of the step that asks for r now, "" when r comes early.
func askedAt(p *engine.Prompt, r *engine.Reading) string {
	if p.Step == nil || !slices.ContainsFunc(p.Fields, func(f engine.Field) bool { return f.Reading == r }) {
		return ""
	}
	return p.Step.ID
}

// apply gives events to the walk, stamped with the time, and saves those that
// were accepted.
func (s *session) apply(events ...engine.Event) (Reply, error) {
	now := s.o.Clock()
	for i := range events {
		events[i].At = now
	}
	before := len(s.walk.Events())
	out, err := s.walk.Answer(events...)
	if err != nil {
		return Reply{}, err
	}
	taken := len(s.walk.Events()) - before
	r := s.tell(out)
	r.Told = append(s.held(out), r.Told...)
	if out.Refused != nil {
		r.Refused = s.refused(out.Refused, events[min(taken, len(events)):], "").Refused
	}
	if s.keep(); s.lost != nil {
		return s.offerAnother(r)
	}
	return r, nil
}

// keep saves the events that the walk has accepted since the last time.
func (s *session) keep() {
	s.lost = nil
	for _, ev := range s.walk.Events()[s.saved:] {
		if err := s.o.Save(ev); err != nil {
			s.lost = fmt.Errorf("the answer is not saved: %w", err)
			return
		}
		s.saved++
	}
}

// offerAnother asks whether the walk goes on in another file.
func (s *session) offerAnother(r Reply) (Reply, error) {
	if s.o.Another == nil {
		return Reply{}, s.lost
	}
	s.doubt = &question{thought: text.Sentence(s.lost.Error()), ask: "Go on in another file, with every answer so far in it?", another: true}
	return r, nil
}

// another goes on in another file.
func (s *session) another() (Reply, error) {
	resume, err := s.o.Another()
	if err != nil {
		s.lost = fmt.Errorf("the answers are not saved in another file either: %w", err)
		return s.offerAnother(Reply{})
	}
	s.o.Resume, s.saved, s.lost = resume, len(s.walk.Events()), nil
	return Reply{Told: say(Plain, "", "Every answer so far is saved in another file. To go on later: "+resume)}, nil
}

// refused says why something was not taken, and keeps the question that may
// still let it through. Rest are the events not taken, line the text typed.
func (s *session) refused(ref *engine.Refusal, rest []engine.Event, line string) Reply {
	switch {
	case ref.Odd != "" && len(rest) > 0 && rest[0].Answer != nil:
		sure := *rest[0].Answer
		sure.Sure = true
		rest[0].Answer = &sure
		// The tree's own question is something to think about: a yes to it may
		// speak for the answer or against it. What y and n mean is asked plainly.
		s.doubt = &question{thought: text.Sentence(given(&sure)+" is unlikely here") + " " + text.Sentence(ref.Odd), ask: "Take it all the same?", yes: rest}
	case ref.Suggest != "" && suggested(ref, line) != "":
		s.doubt = &question{thought: text.Sentence(ref.Reason), ask: "Is " + ref.Suggest + " meant?", line: suggested(ref, line)}
	default:
		return Refuse(quoteLess(ref.Reason, line))
	}
	return Reply{}
}

// suggested is the line that a yes stands for: what was typed, with the value
// that was refused replaced by the one suggested. It is "" when the refused
// value cannot be told from others on the line.
func suggested(ref *engine.Refusal, line string) string {
	words := strings.Fields(line)
	if len(words) == 1 {
		return ref.Reading.Short + " " + ref.Suggest
	}
	i := slices.IndexFunc(words, func(w string) bool { return strings.EqualFold(w, ref.Reading.Short) })
	if i < 0 || i+1 >= len(words) {
		return ""
	}
	words[i+1] = ref.Suggest
	return strings.Join(words, " ")
}

// answerDoubt handles a line typed while a question stands. Done is false when the
// line is something else, which then counts as a new answer.
func (s *session) answerDoubt(line string) (r Reply, done bool, err error) {
	q := s.doubt
	switch strings.ToLower(line) {
	case "":
		return Refuse("type y or n"), true, nil
	case "y", "yes", "1":
		s.doubt = nil
		switch {
		case q.another:
			r, err = s.another()
		case q.line != "":
			r, err = s.readings(s.walk.Next(), q.line, nil)
		default:
			r, err = s.apply(q.yes...)
		}
		return r, true, err
	case "n", "no", "2", "back", "/":
		if q.another {
			return Reply{}, true, s.lost
		}
		s.doubt = nil
		r, err = s.refusedByPerson(q)
		return r, true, err
	}
	s.doubt = nil
	return Reply{}, false, nil
}

// refusedByPerson drops an answer that its giver thought better of. What else
// stood on the line is taken.
func (s *session) refusedByPerson(q *question) (Reply, error) {
	told := "Not taken; it is asked again."
	var r Reply
	if len(q.yes) > 0 {
		ev := q.yes[0]
		told = fmt.Sprintf("Not taken: %s. It is asked again.", given(ev.Answer))
		switch rd := s.walk.Next().Tree.ReadingNamed(ev.Reading); {
		case rd != nil && ev.Do == engine.DoChange:
			told = fmt.Sprintf("Not changed: %s stays as it was.", rd.Short)
		case rd != nil && ev.Step == "":
			told = fmt.Sprintf("Not taken: %s. %s is asked at its own step.", given(ev.Answer), text.Capital(rd.Short))
		}
	}
	if len(q.yes) > 1 {
		var err error
		if r, err = s.apply(q.yes[1:]...); err != nil {
			return r, err
		}
	}
	r.Told = append(say(Plain, "", told), r.Told...)
	return r, nil
}

// tell says what an outcome brought, apart from the branches taken.
func (s *session) tell(out *engine.Outcome) Reply {
	r := Reply{decided: out.Decided}
	if len(out.Decided) > 0 {
		s.last = out.Decided
	}
	for _, t := range out.Early {
		r.Told = append(r.Told, Part{Label: "Noted for later", Text: t.Reading.Short + " " + t.Text})
	}
	dropped := each(out.Dropped, func(t engine.Take) string { return t.Reading.Short + " " + t.Text })
	r.Told = append(r.Told, say(Plain, "No longer applies", strings.Join(dropped, "; "))...)
	stale := each(out.Stale, func(rd *engine.Reading) string { return rd.Short })
	r.Told = append(r.Told, say(Plain, "Old news now, asked again where it matters", strings.Join(stale, ", "))...)
	for _, t := range out.Said {
		r.Told = append(r.Told, Part{Text: text.Sentence(t)})
	}
	return r
}

var quoted = regexp.MustCompile(`"(?:[^"\\]|\\.)*"`)

// quoteLess cuts what a reason says back of a long line.
func quoteLess(reason, line string) string {
	if len([]rune(line)) <= echoed {
		return reason
	}
	return quoted.ReplaceAllStringFunc(reason, func(q string) string { return `"` + short(q[1:len(q)-1]) + `"` })
}

func (s *session) done(p *engine.Prompt) (Reply, error) {
	return s.apply(engine.Event{Do: engine.DoDone, Step: p.Step.ID})
}

// Leave ends the session: at a finding with nothing to put back there is
// nothing to pause; anywhere else the job records that it was left.
func (s *session) Leave() error {
	if s.Over() {
		return nil
	}
	if s.left = s.walk.Next().Closed(); !s.left {
		s.paused = true
		if _, err := s.apply(engine.Event{Do: engine.DoPause}); err != nil {
			return err
		}
	}
	if s.lost == nil || s.o.Another == nil {
		return s.lost
	}
	// Nobody is asked any more: what is not saved where it should be is saved elsewhere.
	_, err := s.another()
	return errors.Join(err, s.lost)
}
