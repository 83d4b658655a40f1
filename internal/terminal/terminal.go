// Package terminal is the wizard: it asks a person at a terminal what a walk
// wants to know, hands the answers to the walk, and shows what they led to.
//
// It has two faces over one session. The screen draws each step as a form at
// up to 80x24; the plain face prints and reads lines, for a pipe, a terminal
// that cannot move its cursor, or a screen reader. Both take the same typed
// words and say the same things. What a face shows is a Dialog; the walk is one, the
// question for the kit another, and Converse carries on any.
//
// It is not a judge: it knows nothing of how a tree decides, and words no
// verdict of its own. It imports the engine and unit packages and is imported
// by the command only.
//
// What always holds: each accepted event has been saved before the next
// question shows; no control code from a tree, a job or a keyboard reaches the
// terminal; an empty line never answers a question; every distinction that a
// colour makes is also made by a word or a mark.
package terminal

import (
	"context"
	"fmt"
	"io"
	"strings"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// Walk is what the wizard needs of an engine.Walk.
type Walk interface {
	Next() *engine.Prompt
	Answer(events ...engine.Event) (*engine.Outcome, error)
	Suppose(events ...engine.Event) (*engine.Outcome, error)
	Events() []engine.Event
	Record() *engine.Record
}

// Options says where the wizard runs and how much it tells.
type Options struct {
	In  io.Reader
	Out io.Writer // the finding, once it is reached
	Err io.Writer // everything else: questions, explanations, complaints

	Plain  bool     // lines instead of forms; see WantsPlain
	Brief  bool     // for somebody who knows the tests: number, Enter, next
	Width  int      // columns to use; 0 for the terminal's own, never more than 80
	Resume string   // the command that takes the job up again, shown when it is paused
	Notes  []string // told on the first page, before anything is asked

	Clock func() time.Time
	Save  func(engine.Event) error // writes one accepted event to the job
	// Another writes every event of the walk into another file, for when Save fails,
	// and goes on saving there. It gives the command that takes that job up again. Nil:
	// a Save that fails ends the session.
	Another func() (resume string, err error)
}

// End is how a session of the wizard ended.
type End struct {
	Result *engine.Result // the finding reached, nil when there is none yet
	Paused bool           // a question is open, or something is still to be put back
}

// Run walks a person through w until a finding is reached or the job is
// paused, by the person, by the end of the input or by ctx. Whatever was
// answered until then is saved. It fails when an event cannot be saved anywhere,
// when the terminal fails, or when the walk refuses an event as senseless.
func Run(ctx context.Context, w Walk, o Options) (End, error) {
	s := newSession(w, o)
	if err := Converse(ctx, s, o); err != nil {
		return End{}, fmt.Errorf("wizard: %w", err)
	}
	return s.finish()
}

// notes are what is to be told before the first question.
func notes(o Options) []Part {
	var parts []Part
	for _, n := range o.Notes {
		parts = append(parts, say(Plain, "", text.Sentence(n))...)
	}
	return parts
}

// Tell prints paragraphs, one a string, to the width of the terminal or of o. A
// paragraph is set in by the blanks that it begins with.
func Tell(w io.Writer, paragraphs []string, o Options) error {
	return print(w, lay(Paragraphs(paragraphs), columns(o)))
}

// finish words how the session ended.
func (s *session) finish() (End, error) {
	o := s.o
	p := s.walk.Next()
	e := End{Result: p.Result, Paused: !p.Closed()}
	if !e.Paused {
		return e, nil
	}
	told := "Paused. Everything answered so far is saved."
	if o.Resume != "" {
		told += " Go on with: " + o.Resume
	}
	parts := append(say(Plain, "", told), toPutBack("Still to be put back", p.PutBack, p.Back)...)
	return e, print(o.Err, lay(parts, columns(o)))
}

func print(w io.Writer, lines []string) error {
	for _, l := range lines {
		if _, err := fmt.Fprintln(w, strings.TrimRight(l, " ")); err != nil {
			return fmt.Errorf("cannot write to the terminal: %w", err)
		}
	}
	return nil
}
