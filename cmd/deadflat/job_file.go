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

	"deadflat/internal/drill"
	"deadflat/internal/engine"
	"deadflat/internal/job"
	"deadflat/internal/journal"
)

// jobFile is the file a walk is kept in.
type jobFile struct {
	job.File
	walk  *engine.Walk
	begin job.Begin // what another file would begin with
}

func (j *jobFile) save(ev engine.Event) error {
	var next *engine.Prompt
	if ev.Seq == len(j.walk.Events()) {
		next = j.walk.Next()
	}
	return j.Append(next, ev)
}

// another keeps the whole walk in another file from here on, and gives the command
// that takes it up again.
func (j *jobFile) another() (resume string, err error) {
	f, err := elsewhere(job.Kind, j.Path, j.begin.Lines(j.walk.Next(), j.walk.Events()...))
	if err != nil {
		return "", err
	}
	_ = j.Close() // what it holds is in the other one
	j.File = job.File{File: f}
	return j.resume(), nil
}

func (j *jobFile) resume() string { return "deadflat walk --resume " + shown(job.Kind, j.Path) }

// createKept makes the file that was named, or the next one where such files are kept;
// of is what it is about.
func createKept(k *journal.Kind, named, of string, now time.Time, lines ...any) (*journal.File, error) {
	if named != "" {
		return k.Create(named, lines...)
	}
	folder, err := k.Folder()
	if err != nil {
		return nil, err
	}
	return k.CreateNext(k.NewPath(folder, of, now), lines...)
}

// elsewhere makes a file in place of one that cannot be written any more: beside it if
// that can be, else where such files are kept, else among the temporary ones.
func elsewhere(k *journal.Kind, path string, lines []any) (*journal.File, error) {
	folders := []string{filepath.Dir(path)}
	if kept, err := k.Folder(); err == nil {
		folders = append(folders, kept)
	}
	var all error
	for _, folder := range append(folders, os.TempDir()) {
		f, err := k.CreateNext(filepath.Join(folder, filepath.Base(path)), lines...)
		if err == nil {
			return f, nil
		}
		all = errors.Join(all, err)
	}
	return nil, all
}

// find turns what was typed for a job or a drill into a path.
func find(k *journal.Kind, typed string) (string, error) {
	folder, err := k.Folder()
	if err != nil {
		return "", err
	}
	path, err := k.Find(folder, typed)
	if config, noConfig := os.UserConfigDir(); err != nil && noConfig == nil && k == drill.Kind {
		// Drills of version 2 were kept here.
		if old, none := k.Find(filepath.Join(config, "deadflat", "drills"), typed); none == nil {
			return old, nil
		}
	}
	return path, err
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
