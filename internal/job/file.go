package job

import (
	"fmt"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/journal"
)

// File is a job taken for writing. It is not for use by several goroutines.
type File struct {
	*journal.File
	last int // Seq of the last event written
}

// Begin says what a new job is made of.
type Begin struct {
	Library *engine.Library
	Tree    *engine.Tree
	Meter   Text
	Kit     engine.Kit
	At      time.Time
}

// New writes the header of a job into a file that was just created.
func New(f *journal.File, b Begin) (*File, error) {
	meter := b.Meter
	meter.Hash = hash(meter.Text)
	return &File{File: f}, f.Append(Header{
		Format: Kind.Format(), Version: Kind.Version,
		Tree: b.Tree.Name, Title: b.Tree.Title, Edition: b.Tree.Edition, Hash: b.Tree.Hash, Functions: Functions,
		Begun: b.At.Round(0), Kit: b.Kit, Meter: meter, Sources: texts(b.Library.Sources()),
	})
}

// Open takes a job for writing and reads it. A torn last line is cut off the file and
// counted in Job.Torn.
func Open(path string, functions ...*eval.Func) (*File, *Job, error) {
	var j *Job
	f, err := Kind.Open(path, func(l *journal.Lines) (err error) {
		j, err = fromLines(path, l, functions)
		return err
	})
	if err != nil {
		return nil, nil, err
	}
	return &File{f, len(j.Events)}, j, nil
}

// event is a line of a job file after the first.
type event struct {
	engine.Event
	State string `json:"state,omitempty"`
}

// Append writes events and returns when they are on disk; see journal.File.Append
// for errors. Next is what the walk asks after the last of them, nil if that is not
// known.
func (f *File) Append(next *engine.Prompt, events ...engine.Event) error {
	lines := make([]any, len(events))
	for i, ev := range events {
		if ev.Seq != f.last+1+i {
			return fmt.Errorf("event %d cannot follow event %d", ev.Seq, f.last+i)
		}
		line := event{Event: ev}
		if i == len(events)-1 && next != nil && f.Summed() {
			line.State = State(next)
		}
		lines[i] = line
	}
	if err := f.File.Append(lines...); err != nil {
		return err
	}
	f.last += len(events)
	return nil
}
