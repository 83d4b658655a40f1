// Package job keeps jobs on disk, one file a job, so that nothing that was answered
// is lost and a decision can be replayed years later with the tree it was made by.
//
// A file holds what was said, in order, and the state of the walk is worked out from
// that by package engine; how files are kept is package journal's. It knows nothing
// of terminals, reports or commands. Only cmd/deadflat may import it.
//
// The first line of a file is the Header, every later one an engine.Event, with
// "state" behind it: how the job then stood, in the words of State, for lists only.
// Version 1 has neither checksums nor states. A job of it still opens, and goes on
// without them.
//
// What always holds: a job is refused with the reason, never half read; what breaks
// the program in one job is an error of that job alone; what an answer is said to
// have been typed as reads as that answer.
package job

import (
	"bytes"
	"errors"
	"fmt"
	"reflect"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/journal"
	"deadflat/internal/source"
)

// ErrTree is why a job is refused whose tree or meter is not what its header says.
var ErrTree = errors.New("the tree does not fit")

// Job is a job file that was read and found to fit together.
type Job struct {
	Path    string
	Header  Header
	Events  []engine.Event
	Summed  bool  // its lines carry checksums
	Torn    int64 // bytes of a last line that was cut off, left out of Events
	Library *engine.Library
	Tree    *engine.Tree
	Meter   *engine.Meter
}

// Read reads a job without taking it for writing: for reports and lists.
func Read(path string, functions ...*eval.Func) (*Job, error) {
	l, err := Kind.Read(path)
	if err != nil {
		return nil, err
	}
	j, err := fromLines(path, l, functions)
	if err != nil {
		return nil, fmt.Errorf("%q: %w", path, err)
	}
	return j, nil
}

// fromLines reads the lines of a file and loads what it carries.
func fromLines(path string, l *journal.Lines, functions []*eval.Func) (*Job, error) {
	j, err := decode(path, l)
	if err == nil {
		err = bounded(func() error { return j.load(functions) })
	}
	return j, err
}

// decode reads the lines of a file.
func decode(path string, l *journal.Lines) (*Job, error) {
	j := &Job{Path: path, Summed: l.Summed, Torn: l.Torn}
	if err := l.Decode(1, &j.Header); err != nil {
		return nil, err
	}
	if f := j.Header.Functions; f > Functions {
		return nil, fmt.Errorf("%w of this program: its tree calls functions of version %d and this program has those up to %d", journal.ErrNewer, f, Functions)
	}
	for n := 2; n <= l.Len(); n++ {
		var ev event
		if err := l.Decode(n, &ev); err != nil {
			return nil, err
		}
		if ev.Seq != n-1 {
			return nil, journal.Damaged(n, fmt.Errorf("it holds event %d where event %d was expected", ev.Seq, n-1))
		}
		j.Events = append(j.Events, ev.Event)
	}
	return j, nil
}

// load loads the tree and the meter that the job carries and checks that they are
// the ones its header names.
func (j *Job) load(functions []*eval.Func) error {
	h := &j.Header
	if err := h.fits(); err != nil {
		return err
	}
	lib, faults := engine.Load(h.sources(), functions...)
	j.Library, j.Tree = lib, lib.Tree(h.Tree)
	if j.Tree == nil {
		if !faults.Empty() {
			return fmt.Errorf("%w: the tree it carries has faults: %s", ErrTree, printed(faults))
		}
		return fmt.Errorf("%w: it carries no tree %q", ErrTree, h.Tree)
	}
	if j.Tree.Hash != h.Hash || j.Tree.Edition != h.Edition {
		return fmt.Errorf("%w: it was made with %q edition %d, %s, and carries edition %d, %s: one of them was changed afterwards",
			ErrTree, h.Tree, h.Edition, h.Hash, j.Tree.Edition, j.Tree.Hash)
	}
	var err error
	j.Meter, err = h.Meter.meter()
	return err
}

// meter is the meter a job carries, or the shipped one that it only names.
func (t Text) meter() (*engine.Meter, error) {
	if t.Text == "" {
		m := engine.FindMeter(t.Name)
		if m == nil {
			return nil, fmt.Errorf("%w: this program has no meter %q and the job does not carry it", ErrTree, t.Name)
		}
		return m, nil
	}
	faults := &source.Faults{}
	m := engine.ReadMeter(t.Name, []byte(t.Text), faults)
	if m == nil {
		return nil, fmt.Errorf("%w: the meter it carries has faults: %s", ErrTree, printed(faults))
	}
	return m, nil
}

func printed(faults *source.Faults) string {
	var b bytes.Buffer
	faults.Print(&b)
	return b.String()
}

// Replay gives the walk as it stands after every event of the job.
func (j *Job) Replay() (*engine.Walk, error) {
	w := engine.NewWalk(j.Tree, j.Meter, j.Header.Kit)
	for i, ev := range j.Events {
		if err := bounded(func() error { return replay(w, ev) }); err != nil {
			// Line 1 is the header, so event i stands on line i+2.
			return nil, fmt.Errorf("%q: line %d does not follow from the lines before it: %w", j.Path, i+2, err)
		}
	}
	// What is asked next, and the record for a report, are worked out from the state.
	err := bounded(func() error { w.Next(); w.Record(); return nil })
	if err != nil {
		return nil, fmt.Errorf("%q: what it comes to cannot be worked out: %w", j.Path, err)
	}
	return w, nil
}

func replay(w *engine.Walk, ev engine.Event) error {
	if err := heldAgainstTyped(w.Next(), ev); err != nil {
		return err
	}
	out, err := w.Answer(ev)
	if err == nil && out.Refused != nil {
		err = fmt.Errorf("the answer is refused: %s", out.Refused.Reason)
	}
	return err
}

// heldAgainstTyped reads what was typed once more and holds it against the answer
// that was kept of it.
func heldAgainstTyped(p *engine.Prompt, ev engine.Event) error {
	r := p.Tree.ReadingNamed(ev.Reading)
	if ev.Answer == nil || ev.Answer.Typed == "" || r == nil {
		return nil // the walk has its own word on a reading that is not there
	}
	kept := *ev.Answer
	read, refused := r.Parse(kept.Typed, p.Meter)
	if refused != nil {
		return fmt.Errorf("%q was typed, which is no answer: %s", kept.Typed, refused.Reason)
	}
	read.Sure, read.Assumed = kept.Sure, kept.Assumed // said apart from what was typed
	if !reflect.DeepEqual(read, kept) {
		typed := kept.Typed
		read.Typed, kept.Typed = "", ""
		return fmt.Errorf("%q was typed, which reads as %+v, and %+v is kept: one of them was changed", typed, read, kept)
	}
	return nil
}

// bounded turns a panic into an error. What a damaged or hostile job brings about
// ends the reading of that job, and nothing else.
func bounded(do func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("it breaks this program, which is a mistake in the program: %v", p)
		}
	}()
	return do()
}

// Last is when something was last said in the job.
func (j *Job) Last() time.Time {
	if len(j.Events) == 0 {
		return j.Header.Begun
	}
	return j.Events[len(j.Events)-1].At
}
