package main

import (
	"bytes"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"deadflat/internal/drill"
	"deadflat/internal/job"
	"deadflat/internal/report"
)

const outputHelp = "write to this `FILE` instead of the screen"

// Permissions of what is written, before the umask.
const (
	forAll   fs.FileMode = 0o666
	forOwner fs.FileMode = 0o600 // what holds a customer's readings, and what is remembered
)

// output is where a command writes what came of it.
type output struct {
	path  string      // "" for the screen
	mode  fs.FileMode // of a new file
	reads []string    // files that the command read: none of them is written over
}

// write puts what is printed on the screen, or into the file as a whole: what stood
// there before stays until all of it is on disk, and is then named on s.err. Into a
// pipe or a device it writes straight.
func (o output) write(s streams, print func(io.Writer) error) error {
	if o.path == "" {
		return print(s.out)
	}
	if err := o.check(); err != nil {
		return err
	}
	var text bytes.Buffer
	if err := print(&text); err != nil {
		return err
	}
	old, err := os.Stat(o.path)
	if err == nil {
		// /dev/stdout is whatever the shell made of it, a file as well.
		for _, stream := range []*os.File{s.out, s.err} {
			if is, err := stream.Stat(); err == nil && os.SameFile(old, is) {
				_, err := stream.Write(text.Bytes())
				return err
			}
		}
		if !old.Mode().IsRegular() {
			return os.WriteFile(o.path, text.Bytes(), o.mode)
		}
	}
	if err := replaceFile(o.path, text.Bytes(), o.mode); err != nil {
		return err
	}
	if old != nil {
		fmt.Fprintf(s.err, "%q is replaced: %d bytes of %s stood there\n", o.path, old.Size(), old.ModTime().Format("2006-01-02 15:04"))
	}
	return nil
}

// check refuses a file that cannot be written or must not be, before any work is done.
func (o output) check() error {
	if o.path == "" {
		return nil
	}
	if os.IsPathSeparator(o.path[len(o.path)-1]) {
		return fmt.Errorf("%q is the name of a folder: name a file", o.path)
	}
	info, err := os.Stat(o.path)
	if errors.Is(err, fs.ErrNotExist) {
		if _, err := os.Lstat(o.path); err == nil {
			return fmt.Errorf("%q is a link to something that is not there: name another file", o.path)
		}
		if folder := filepath.Dir(o.path); !isFolder(folder) {
			return fmt.Errorf("%q: there is no folder %q", o.path, folder)
		}
		return nil
	}
	if err != nil {
		return err
	}
	if info.IsDir() {
		return fmt.Errorf("%q is a folder: name a file", o.path)
	}
	if !info.Mode().IsRegular() {
		return nil
	}
	for _, path := range o.reads {
		if read, err := os.Stat(path); err == nil && os.SameFile(read, info) {
			return fmt.Errorf("%q is read for this and is not written over: name another file", o.path)
		}
	}
	if kept := keptIn(o.path); kept != "" {
		return fmt.Errorf("%q is a %s and is not written over: name another file", o.path, kept)
	}
	return nil
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// keptIn says what a file keeps for good ("job", "drill", "book"), or "". The first line
// tells, and where that is damaged, the end of its name.
func keptIn(path string) string {
	begin := make([]byte, 256)
	if f, err := os.Open(path); err == nil {
		n, _ := io.ReadFull(f, begin) // what is shorter is told by what there is
		begin = begin[:n]
		f.Close()
	}
	if _, after, found := strings.Cut(string(begin), `"format":"deadflat `); found {
		if kept, _, _ := strings.Cut(after, `"`); slices.Contains([]string{"job", "drill", "book"}, kept) {
			return kept
		}
	}
	real, _ := filepath.EvalSymlinks(path)
	return map[string]string{job.Kind.Ending(): "job", drill.Kind.Ending(): "drill"}[filepath.Ext(real)]
}

// replaceFile writes a file beside the one that is named, puts it on disk and in its
// place, so that there is the old one or the new one, whole, whenever the power goes.
// A link stays and what it leads to is replaced. A file that is there keeps its
// permissions, unless mode is for the owner alone. Nothing is left of what failed; a kill
// leaves the hidden file, which nothing reads.
func replaceFile(path string, text []byte, mode fs.FileMode) error {
	place := path
	if real, err := filepath.EvalSymlinks(path); err == nil {
		place = real
	}
	beside := filepath.Join(filepath.Dir(place), ".deadflat-"+rand.Text())
	f, err := os.OpenFile(beside, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return fmt.Errorf("%q: no new file can be made in its folder: %w", path, bare(err))
	}
	if old, missing := os.Stat(place); missing == nil && mode != forOwner {
		err = f.Chmod(old.Mode().Perm())
	}
	if err == nil {
		_, err = f.Write(text)
	}
	if err == nil {
		err = f.Sync()
	}
	err = errors.Join(err, f.Close())
	if err == nil {
		err = os.Rename(beside, place)
	}
	if err != nil {
		os.Remove(beside)
		return fmt.Errorf("%q: %w", path, bare(err))
	}
	return nil
}

// bare takes from a file error the name of the file and what was tried with it.
func bare(err error) error {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		return path.Err
	case errors.As(err, &link):
		return link.Err
	}
	return err
}

// writeJSON writes a value for other programs, indented for a person.
func writeJSON(w io.Writer, v any) error {
	var text bytes.Buffer
	e := json.NewEncoder(&text)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		return err
	}
	_, err := w.Write(report.EscapeJSON(text.Bytes()))
	return err
}
