package job

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/source"
)

// Job is a job file that was read and found to fit together.
type Job struct {
	Path    string
	Header  Header
	Events  []engine.Event
	Torn    int64 // bytes of a last line that was cut off, left out of Events
	Library *engine.Library
	Tree    *engine.Tree
	Meter   *engine.Meter
}

// Read reads a job without taking it for writing: for reports and lists. A torn
// last line is left out and counted in Torn; the file stays as it is.
func Read(path string, functions ...*eval.Func) (*Job, error) {
	f, err := openRegular(path, os.O_RDONLY)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	p, err := readFile(f)
	if err != nil {
		return nil, fmt.Errorf("%q: %w", path, err)
	}
	j, err := resolve(p, functions)
	if err != nil {
		return nil, fmt.Errorf("%q: %w", path, err)
	}
	j.Path = path
	return j, nil
}

// openRegular opens a file after a look at what it is: opening a pipe would
// wait for somebody to write into it.
func openRegular(path string, flag int) (*os.File, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%q is %w: it is not a regular file", path, ErrNotJob)
	}
	return os.OpenFile(path, flag, 0)
}

// readFile takes a file of bounded size apart.
func readFile(f *os.File) (*parsed, error) {
	data, err := io.ReadAll(io.LimitReader(f, maxFile+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxFile {
		return nil, fmt.Errorf("%w: it is larger than %d MB", ErrNotJob, maxFile>>20)
	}
	return parse(data)
}

// resolve loads the tree and the meter a job carries and checks that they are
// the ones its header names.
func resolve(p *parsed, functions []*eval.Func) (*Job, error) {
	h := &p.header
	lib, faults := engine.Load(h.sources(), functions...)
	tree := lib.Tree(h.Tree)
	if tree == nil {
		if !faults.Empty() {
			return nil, fmt.Errorf("%w: the tree it carries has faults: %s", ErrTree, printed(faults))
		}
		return nil, fmt.Errorf("%w: it carries no tree %q", ErrTree, h.Tree)
	}
	if tree.Hash != h.Hash || tree.Edition != h.Edition {
		return nil, fmt.Errorf("%w: it was made with %q edition %d, %s, and carries edition %d, %s: one of them was changed afterwards",
			ErrTree, h.Tree, h.Edition, h.Hash, tree.Edition, tree.Hash)
	}
	meter, err := h.Meter.meter()
	if err != nil {
		return nil, err
	}
	return &Job{Header: *h, Events: p.events, Torn: p.torn, Library: lib, Tree: tree, Meter: meter}, nil
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
	if !faults.Empty() {
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
		out, err := w.Answer(ev)
		if err == nil && out.Refused != nil {
			err = fmt.Errorf("the answer is refused: %s", out.Refused.Reason)
		}
		if err != nil {
			// Line 1 is the header, so event i stands on line i+2.
			return nil, fmt.Errorf("%q: line %d does not follow from the lines before it: %w", j.Path, i+2, err)
		}
	}
	return w, nil
}

// Last is when something was last said in the job.
func (j *Job) Last() time.Time {
	if len(j.Events) == 0 {
		return j.Header.Begun
	}
	return j.Events[len(j.Events)-1].At
}
