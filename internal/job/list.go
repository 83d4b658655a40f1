package job

import (
	"crypto/sha256"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"deadflat/internal/eval"
	"deadflat/internal/text"
)

// Entry is one job of a list.
type Entry struct {
	Name  string // the file's name without its ending
	Title string // of the tree
	Begun time.Time
	Last  time.Time // when something was last said
	State string    // "paused at: Rest voltage", "finding: ...", "not closed, finding: ...", or why the file cannot be read
}

// List gives the jobs of a folder, the one worked on last first. A file that
// cannot be read is listed with the reason. A folder that does not exist is an
// empty list.
func List(folder string, functions ...*eval.Func) ([]Entry, error) {
	names, err := jobNames(folder)
	if err != nil {
		return nil, err
	}
	libraries := map[[sha256.Size]byte]*loaded{}
	var entries []Entry
	for _, name := range names {
		path := filepath.Join(folder, name)
		e := Entry{Name: strings.TrimSuffix(name, Ending)}
		if err := e.read(path, libraries, functions); err != nil {
			e.State = "cannot be read: " + text.Clean(unwrapPath(err))
			if info, err := os.Stat(path); err == nil && e.Begun.IsZero() {
				e.Begun, e.Last = info.ModTime(), info.ModTime()
			}
		}
		entries = append(entries, e)
	}
	slices.SortStableFunc(entries, func(a, b Entry) int { return b.Last.Compare(a.Last) })
	return entries, nil
}

// loaded is a tree and a meter shared by the jobs that carry the same ones:
// loading takes longer than all else in a list.
type loaded struct {
	job Job
	err error
}

func (e *Entry) read(path string, libraries map[[sha256.Size]byte]*loaded, functions []*eval.Func) error {
	f, err := openRegular(path, os.O_RDONLY)
	if err != nil {
		return err
	}
	defer f.Close()
	p, err := readFile(f)
	if err != nil {
		return err
	}
	e.Begun, e.Title = p.header.Begun, p.header.Tree
	key, err := carried(&p.header)
	if err != nil {
		return err
	}
	l := libraries[key]
	if l == nil {
		l = &loaded{}
		if j, err := resolve(p, functions); err != nil {
			l.err = err
		} else {
			l.job = *j
		}
		libraries[key] = l
	}
	j := l.job
	j.Path, j.Header, j.Events = path, p.header, p.events
	e.Last = j.Last()
	if l.err != nil {
		return l.err
	}
	e.Title = text.Clean(j.Tree.Title)
	w, err := j.Replay()
	if err != nil {
		return err
	}
	next := w.Next()
	switch {
	case next.Result == nil:
		e.State = "paused at: " + text.Clean(next.Step.Title)
	case next.Closed():
		e.State = "finding: " + text.Clean(next.Result.Finding.Title)
	default:
		e.State = "not closed, finding: " + text.Clean(next.Result.Finding.Title) + "; to be put back: " + text.Clean(text.Spoken(strings.Join(next.PutBack, ", ")))
	}
	return nil
}

// carried is the same for jobs that carry the same tree and meter.
func carried(h *Header) ([sha256.Size]byte, error) {
	same := *h
	same.Begun = time.Time{}
	text, err := json.Marshal(same)
	return sha256.Sum256(text), err
}

// unwrapPath leaves out the file's name, which the list shows already.
func unwrapPath(err error) string {
	var p *os.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}
