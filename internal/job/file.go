package job

import (
	"fmt"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/journal"
)

// Begin says what a new job is made of.
type Begin struct {
	Library *engine.Library
	Tree    *engine.Tree
	Meter   *engine.Meter
	Kit     engine.Kit
	At      time.Time
}

// Lines are those of a job's file, for journal.Kind.Create: its header, and what was
// said in it so far. Next is what the walk asks after that.
func (b Begin) Lines(next *engine.Prompt, said ...engine.Event) []any {
	return append([]any{Header{
		Format: Kind.Format(), Version: Kind.Version,
		Tree: b.Tree.Name, Title: b.Tree.Title, Edition: b.Tree.Edition, Hash: b.Tree.Hash, Functions: Functions,
		Begun: b.At.Round(0), Kit: b.Kit, Meter: carried(b.Meter.Name, b.Meter.Text), Sources: texts(b.Library.Sources()),
	}}, lines(next, said)...)
}

// File is a job taken for writing. It is not for use by several goroutines.
type File struct{ *journal.File }

// Open takes a job for writing and reads it. A torn last line is cut off the file and
// counted in Job.Torn.
func Open(path string, functions ...*eval.Func) (File, *Job, error) {
	var j *Job
	f, err := Kind.Open(path, func(l *journal.Lines) (err error) {
		j, err = fromLines(path, l, functions)
		return err
	})
	return File{f}, j, err
}

// event is a line of a job file after the first.
type event struct {
	engine.Event
	State string `json:"state,omitempty"`
}

// lines are the lines of events. The last of them says how the job then stands, where
// next is known.
func lines(next *engine.Prompt, events []engine.Event) []any {
	out := make([]any, len(events))
	for i, ev := range events {
		line := event{Event: ev}
		if i == len(events)-1 && next != nil {
			line.State = State(next)
		}
		out[i] = line
	}
	return out
}

// Append writes events and returns when they are on disk; see journal.File.Append
// for errors. Next is what the walk asks after the last of them, nil if that is not
// known.
func (f File) Append(next *engine.Prompt, events ...engine.Event) error {
	for i, ev := range events {
		if ev.Seq != f.Len()+i {
			return fmt.Errorf("event %d cannot follow event %d", ev.Seq, f.Len()+i-1)
		}
	}
	if !f.Summed() {
		next = nil // version 1 has no states
	}
	return f.File.Append(lines(next, events)...)
}
