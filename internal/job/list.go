package job

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/text"
)

// Entry is one job of a list. Its texts are fit for one line of a terminal.
type Entry struct {
	Name  string // the file's name without its ending
	Title string // of the tree
	Begun time.Time
	Last  time.Time // when something was last said
	State string    // see State, or why the file cannot be read

	Unsummed bool // it carries no checksums
}

// State says how a job stands: "paused at: Rest voltage", "finding: ...", "not
// closed, finding: ...; to be put back: ...".
func State(next *engine.Prompt) string {
	switch {
	case next.Result == nil:
		return "paused at: " + next.Step.Title
	case next.Closed():
		return "finding: " + next.Result.Finding.Title
	}
	return "not closed, finding: " + next.Result.Finding.Title + "; to be put back: " + strings.ReplaceAll(strings.Join(next.PutBack, ", "), "_", " ")
}

// mostRead bounds what a list reads of jobs that the ends of their files do not tell
// of, in bytes: some hundred of version 1. Modelling choice.
const mostRead = 32 << 20

// List gives the jobs of a folder, the one worked on last first. A file that cannot
// be read is listed with the reason. A folder that does not exist is an empty list.
//
// Where the last line says how the job stood that is taken for true, and the lines
// before it are not looked at: opening the job does that. Otherwise the job is
// replayed; of a great many without it, only the latest by name.
func List(folder string, functions ...*eval.Func) ([]Entry, error) {
	names, err := Kind.Names(folder)
	if err != nil {
		return nil, err
	}
	entries := make([]Entry, 0, len(names))
	l, read := lister{functions, map[[sha256.Size]byte]Job{}}, int64(0)
	for _, name := range slices.Backward(names) {
		path := filepath.Join(folder, name+Kind.Ending())
		e, size := atAGlance(path)
		if e.State == "" {
			if read += size; read > mostRead {
				e.State = "not worked out: deadflat report tells"
			} else if err := l.read(&e, path); err != nil {
				e.State = "cannot be read: " + reason(path, err)
			}
		}
		e.Name, e.Title, e.State = text.Clean(name), text.Clean(e.Title), text.Clean(e.State)
		entries = append(entries, e)
	}
	slices.SortStableFunc(entries, func(a, b Entry) int { return b.Last.Compare(a.Last) })
	return entries, nil
}

// atAGlance is what the two ends of a job's file tell, and its size in bytes. State is
// empty where they do not tell that.
func atAGlance(path string) (e Entry, size int64) {
	if info, err := os.Stat(path); err == nil {
		e.Begun, e.Last, size = info.ModTime(), info.ModTime(), info.Size()
	}
	head, last, ok := Kind.Ends(path)
	// What stands before the meter is short, and what is inside a text cannot look
	// like this: quotes are escaped there.
	head, _, found := bytes.Cut(head, []byte(`,"meter":`))
	var h Header
	var ev event
	if ok && found && json.Unmarshal(append(head, '}'), &h) == nil && json.Unmarshal(last, &ev) == nil {
		e = Entry{Title: cmp.Or(h.Title, h.Tree), Begun: h.Begun, Last: ev.At, State: ev.State, Unsummed: h.Version < Kind.Sums}
	}
	return e, size
}

// lister reads whole jobs. Loading takes longer than all else, so jobs that carry the
// same tree and meter share what was loaded.
type lister struct {
	functions []*eval.Func
	loaded    map[[sha256.Size]byte]Job
}

func (l lister) read(e *Entry, path string) error {
	lines, err := Kind.Read(path)
	if err != nil {
		return err
	}
	j, err := decode(path, lines)
	if err != nil {
		return err
	}
	*e = Entry{Title: cmp.Or(j.Header.Title, j.Header.Tree), Begun: j.Header.Begun, Last: j.Last(), Unsummed: !j.Summed}
	same := j.Header
	same.Begun = time.Time{}
	carried, err := json.Marshal(same)
	if err != nil {
		return err
	}
	key := sha256.Sum256(carried)
	if was, ok := l.loaded[key]; ok {
		j.Library, j.Tree, j.Meter = was.Library, was.Tree, was.Meter
	} else if err := bounded(func() error { return j.load(l.functions) }); err != nil {
		return err
	}
	l.loaded[key] = Job{Library: j.Library, Tree: j.Tree, Meter: j.Meter}
	e.Title = j.Tree.Title
	w, err := j.Replay()
	if err == nil {
		e.State = State(w.Next())
	}
	return err
}

// reason leaves out the file's name, which the list shows already.
func reason(path string, err error) string {
	var p *os.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return strings.TrimPrefix(err.Error(), strconv.Quote(path)+": ")
}
