package job

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// File is a job taken for writing. It is not for use by several goroutines.
type File struct {
	file *os.File
	size int64 // bytes that are whole and on disk
	last int   // Seq of the last event written
}

// Begin says what a new job is made of.
type Begin struct {
	Library *engine.Library
	Tree    *engine.Tree
	Meter   Text
	Kit     engine.Kit
	At      time.Time
}

// Create begins a job in a file that must not exist yet and takes it for
// writing. Folders on the way to it are made.
func Create(path string, b Begin) (*File, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, err
	}
	line, err := encode(Header{
		Format: Format, Version: Version,
		Tree: b.Tree.Name, Edition: b.Tree.Edition, Hash: b.Tree.Hash, Functions: Functions,
		Begun: b.At.Round(0), Kit: b.Kit, Meter: b.Meter, Sources: texts(b.Library.Sources()),
	})
	if err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return nil, fmt.Errorf("%q exists already: resume it, or name another file: %w", path, fs.ErrExist)
	}
	if err != nil {
		return nil, err
	}
	j := &File{file: f}
	if err := lock(f); err != nil {
		return nil, errors.Join(fmt.Errorf("%q: %w", path, err), f.Close())
	}
	if err := j.write(line); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	syncFolder(filepath.Dir(path))
	return j, nil
}

// Open takes a job for writing and reads it. A torn last line is cut off the
// file and counted in Job.Torn.
func Open(path string, functions ...*eval.Func) (*File, *Job, error) {
	f, err := openRegular(path, os.O_RDWR)
	if err != nil {
		return nil, nil, err
	}
	file, j, err := open(f, functions)
	if err != nil {
		return nil, nil, errors.Join(fmt.Errorf("%q: %w", path, err), f.Close())
	}
	j.Path = path
	return file, j, nil
}

func open(f *os.File, functions []*eval.Func) (*File, *Job, error) {
	if err := lock(f); err != nil {
		if errors.Is(err, ErrBusy) {
			return nil, nil, fmt.Errorf("the job is %w: another deadflat is walking it, finish or pause that one first", ErrBusy)
		}
		return nil, nil, err
	}
	p, err := readFile(f)
	if err != nil {
		return nil, nil, err
	}
	j, err := resolve(p, functions)
	if err != nil {
		return nil, nil, err
	}
	file := &File{file: f, size: p.whole, last: len(p.events)}
	if err := file.repair(p); err != nil {
		return nil, nil, err
	}
	return file, j, nil
}

// repair cuts off a torn last line, or gives a whole one its line feed.
func (j *File) repair(p *parsed) error {
	if p.torn > 0 {
		if err := j.file.Truncate(p.whole); err != nil {
			return err
		}
	}
	if _, err := j.file.Seek(p.whole, io.SeekStart); err != nil {
		return err
	}
	if p.open {
		return j.write([]byte{'\n'})
	}
	return nil
}

// Append writes events and returns when they are on disk. After an error
// nothing of them is in the file, and Append may be tried again.
func (j *File) Append(events ...engine.Event) error {
	for _, ev := range events {
		if ev.Seq != j.last+1 {
			return fmt.Errorf("event %d cannot follow event %d", ev.Seq, j.last)
		}
		line, err := encode(ev)
		if err != nil {
			return err
		}
		if err := j.write(line); err != nil {
			return fmt.Errorf("the answer was not saved: %w", err)
		}
		j.last++
	}
	return nil
}

// write appends one line whole and forces it to disk, or takes it back.
func (j *File) write(line []byte) error {
	_, err := j.file.Write(line)
	if err == nil {
		err = j.file.Sync()
	}
	if err == nil {
		j.size += int64(len(line))
		return nil
	}
	if cut := j.file.Truncate(j.size); cut != nil {
		return errors.Join(err, cut)
	}
	if _, back := j.file.Seek(j.size, io.SeekStart); back != nil {
		return errors.Join(err, back)
	}
	return err
}

// Close lets go of the file; another program may then take it.
func (j *File) Close() error { return j.file.Close() }

// syncFolder makes a new file's name survive a power cut. Not every system can
// do that for a folder, and the file itself is on disk already, so what comes
// of it is not looked at.
func syncFolder(folder string) {
	if d, err := os.Open(folder); err == nil {
		_ = d.Sync()
		_ = d.Close()
	}
}
