package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
	"unicode"

	"deadflat/internal/engine"
	"deadflat/internal/job"
	"deadflat/internal/journal"
)

// jobFile is the file a walk is kept in. Its header may still be on its way to the
// disk while the first question is drawn.
type jobFile struct {
	path  string
	walk  *engine.Walk
	begin job.Begin // what another file would begin with

	begun chan struct{} // closed when file and err are set
	file  *job.File
	err   error
}

// newJobFile writes the header in the background.
func newJobFile(f *journal.File, walk *engine.Walk, begin job.Begin) *jobFile {
	j := &jobFile{path: f.Path, walk: walk, begin: begin, begun: make(chan struct{})}
	go func() {
		defer close(j.begun)
		j.file, j.err = job.New(f, begin)
	}()
	return j
}

func (j *jobFile) save(ev engine.Event) error {
	if <-j.begun; j.err != nil {
		return j.err
	}
	var next *engine.Prompt
	if ev.Seq == len(j.walk.Events()) {
		next = j.walk.Next()
	}
	return j.file.Append(next, ev)
}

// another keeps the whole walk in another file from here on, and gives the command
// that takes it up again.
func (j *jobFile) another() (resume string, err error) {
	<-j.begun
	var file *job.File
	f, err := elsewhere(job.Kind, j.path, func(f *journal.File) (err error) {
		if file, err = job.New(f, j.begin); err == nil {
			err = file.Append(j.walk.Next(), j.walk.Events()...)
		}
		return err
	})
	if err != nil {
		return "", err
	}
	_ = j.file.Close() // what it holds is in the other one
	j.path, j.file, j.err = f.Path, file, nil
	return j.resume(), nil
}

func (j *jobFile) resume() string { return "deadflat walk --resume " + shown(job.Kind, j.path) }

func (j *jobFile) close() error {
	<-j.begun
	return errors.Join(j.err, j.file.Close())
}

// createKept makes the file that was named, or the next one where such files are kept;
// of is what it is about.
func createKept(k *journal.Kind, named, of string, now time.Time) (*journal.File, error) {
	if named != "" {
		return k.Create(named)
	}
	folder, err := k.Folder()
	if err != nil {
		return nil, err
	}
	return k.CreateNext(k.NewPath(folder, of, now))
}

// find turns what was typed for a job or a drill into a path.
func find(k *journal.Kind, typed string) (string, error) {
	folder, err := k.Folder()
	if err != nil {
		return "", err
	}
	return k.Find(folder, typed)
}

// elsewhere makes a file in place of one that cannot be written any more: beside it if
// that can be, else where such files are kept, else among the temporary ones.
func elsewhere(k *journal.Kind, path string, write func(*journal.File) error) (*journal.File, error) {
	folders := []string{filepath.Dir(path)}
	if kept, err := k.Folder(); err == nil {
		folders = append(folders, kept)
	}
	var all error
	for _, folder := range append(folders, os.TempDir()) {
		f, err := k.CreateNext(filepath.Join(folder, filepath.Base(path)))
		if err != nil {
			all = errors.Join(all, err)
			continue
		}
		if err = write(f); err == nil {
			return f, nil
		}
		all = errors.Join(all, err, f.Close())
	}
	return nil, all
}

// shown is the shortest way to name a file of jobs or drills on a command line.
func shown(k *journal.Kind, path string) string {
	path = k.Short(path)
	switch {
	case strings.ContainsFunc(path, func(r rune) bool { return !unicode.IsPrint(r) }):
		return "$" + "'" + strings.Trim(strings.ReplaceAll(strconv.Quote(path), "'", `\'`), `"`) + "'"
	case strings.ContainsAny(path, " '\"$&;|<>()*?[]`\\!#~"):
		return "'" + strings.ReplaceAll(path, "'", `'\''`) + "'"
	}
	return path
}

// sayWhole says on a stream what cannot be told from a file's lines.
func sayWhole(w io.Writer, k *journal.Kind, path string, torn int64, summed bool) {
	if torn > 0 {
		fmt.Fprintf(w, "the last line of %q was cut off and is left out\n", path)
	}
	if !summed {
		fmt.Fprintln(w, noChecksums(k, path))
	}
}

// noChecksums says of a file that an older program began that it has none.
func noChecksums(k *journal.Kind, path string) string {
	return fmt.Sprintf("%q was begun by an older program and has no checksums: a change in it would not be noticed", path)
}
