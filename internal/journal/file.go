package journal

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"

	"github.com/gofrs/flock"
)

// File is a file taken for writing. It is not for use by several goroutines.
type File struct {
	Path string

	file   *os.File
	whole  string // Path from the root, for when the program's folder changes
	lock   *flock.Flock
	size   int64 // bytes that are whole and on disk
	lines  int   // in them
	sum    string
	summed bool
}

// Create makes a file of lines, the first of them its header, and takes it for
// writing. The name must be free; folders on the way to it are made. It is written
// under another name and then put in its place, so that it is there whole or not at
// all. A kill in between leaves a hidden ".deadflat-..." that nothing reads. It is not
// cleared away later, since a program that still runs could be writing it.
func (k *Kind) Create(path string, lines ...any) (*File, error) {
	folder := filepath.Dir(path)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return nil, err
	}
	all, err := (&File{summed: true}).seal(lines)
	if err != nil {
		return nil, err
	}
	if _, err := os.Lstat(path); err == nil {
		return nil, taken(path)
	}
	f, err := os.CreateTemp(folder, ".deadflat-*")
	if err != nil {
		return nil, err
	}
	defer os.Remove(f.Name())
	_, err = f.Write(all)
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err == nil {
		err = place(f.Name(), path)
	}
	if errors.Is(err, fs.ErrExist) {
		return nil, taken(path)
	}
	if err != nil {
		return nil, fmt.Errorf("%q: %w", path, err)
	}
	syncFolder(folder)
	return k.Open(path, func(*Lines) error { return nil })
}

func taken(path string) error {
	return fmt.Errorf("%q exists already: resume it, or name another file: %w", path, fs.ErrExist)
}

// place gives a file the name it is to have, which must be free.
func place(beside, path string) error {
	err := os.Link(beside, path)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	// A file system without links, as on a memory stick: the name is taken first.
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	if err = errors.Join(f.Close(), os.Rename(beside, path)); err != nil {
		_ = os.Remove(path) // it is empty
	}
	return err
}

// CreateNext is Create that goes on counting where the name is taken: "van.job",
// "van-2.job".
func (k *Kind) CreateNext(path string, lines ...any) (*File, error) {
	base := strings.TrimSuffix(path, k.Ending())
	for n := 2; ; n++ {
		j, err := k.Create(path, lines...)
		if !errors.Is(err, fs.ErrExist) {
			return j, err
		}
		path = base + "-" + strconv.Itoa(n) + k.Ending()
	}
}

// Open takes a file for writing and reads it. A torn last line is cut off the file
// and counted in Lines.Torn; fits says whether the lines are such as can be gone on
// with, before anything of the file is touched.
func (k *Kind) Open(path string, fits func(*Lines) error) (*File, error) {
	f, err := openRegular(path, os.O_RDWR)
	if err != nil {
		return nil, err
	}
	j := &File{Path: path, file: f}
	if err := j.take(k, fits); err != nil {
		return nil, errors.Join(fmt.Errorf("%q: %w", path, err), j.Close())
	}
	return j, nil
}

// Read reads a file without taking it for writing. A torn last line is left out and
// counted in Lines.Torn; the file stays as it is.
func (k *Kind) Read(path string) (*Lines, error) {
	f, err := openRegular(path, os.O_RDONLY)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	l, err := k.readAll(f)
	if err != nil {
		return nil, fmt.Errorf("%q: %w", path, err)
	}
	return l, nil
}

// Is reports whether a file begins as one of the kind.
func (k *Kind) Is(path string) bool {
	f, err := openRegular(path, os.O_RDONLY)
	if err != nil {
		return false
	}
	defer f.Close()
	begin := make([]byte, len(k.begins()))
	_, err = io.ReadFull(f, begin)
	return err == nil && string(begin) == k.begins()
}

// take locks the file for this program alone, or says at once that another has it, and
// reads it. The system lets go of the lock when the program ends, however it ends.
func (j *File) take(k *Kind, fits func(*Lines) error) (err error) {
	if j.whole, err = filepath.Abs(j.Path); err != nil {
		return err
	}
	locked := j.whole
	if runtime.GOOS == "windows" {
		locked += ".lock" // Windows keeps readers out of what is locked, and a report may be read meanwhile
	}
	j.lock = flock.New(locked)
	got, err := j.lock.TryLock()
	if err != nil {
		return err
	}
	if !got {
		return fmt.Errorf("the %s is %w: another deadflat is going on with it, finish or pause that one first", k.Noun, ErrBusy)
	}
	l, err := k.readAll(j.file)
	if err != nil {
		return err
	}
	if err := j.inPlace(l.whole + l.Torn); err != nil {
		return err
	}
	if err := fits(l); err != nil {
		return err
	}
	if l.Torn > 0 {
		if err := j.file.Truncate(l.whole); err != nil {
			return err
		}
	}
	j.size, j.lines, j.sum, j.summed = l.whole, l.Len(), l.sum, l.Summed
	if l.open {
		return j.write([]byte{'\n'})
	}
	return nil
}

// openRegular opens a file after a look at what it is: opening a pipe would wait for
// somebody at its other end.
func openRegular(path string, flag int) (*os.File, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%q: not a regular file", path)
	}
	return os.OpenFile(path, flag, 0)
}

func (k *Kind) readAll(f *os.File) (*Lines, error) {
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	if info.Size() > maxFile {
		return nil, fmt.Errorf("not a %s file: it has %d bytes, and %d are the most that one has", k.Noun, info.Size(), maxFile)
	}
	data, err := io.ReadAll(io.LimitReader(f, info.Size()))
	if err != nil {
		return nil, err
	}
	return k.Parse(data)
}

// Len counts the lines of the file, the header too.
func (j *File) Len() int { return j.lines }

// Summed reports whether the file's lines carry checksums: not those of a file that
// an older program began.
func (j *File) Summed() bool { return j.summed }

// Append writes lines and returns when they are on disk. After an error nothing of
// them is in the file, and Append may be tried again. ErrLost: the file of that name
// is not the one that was opened, so nothing that is written can be found there.
func (j *File) Append(lines ...any) error {
	before := j.sum
	all, err := j.seal(lines)
	if err == nil {
		err = j.write(all)
	}
	if err != nil {
		j.sum = before
		return err
	}
	j.lines += len(lines)
	return nil
}

// seal gives lines as they stand in the file, and goes on with their checksums.
func (j *File) seal(lines []any) (all []byte, err error) {
	for _, v := range lines {
		var line []byte
		if j.summed {
			line, j.sum, err = seal(j.sum, v)
		} else {
			line, err = encode(v)
		}
		if err != nil {
			return nil, err
		}
		all = append(all, line...)
	}
	return all, nil
}

// write appends bytes and forces them to disk, or takes them back.
func (j *File) write(data []byte) error {
	if err := j.inPlace(j.size); err != nil {
		return err
	}
	after := j.size + int64(len(data))
	_, err := j.file.WriteAt(data, j.size)
	if err == nil {
		err = j.file.Sync()
	}
	if err == nil {
		err = j.inPlace(after)
	}
	if err == nil {
		j.size = after
		return nil
	}
	// What somebody else has cut short is not made longer: zero bytes would fill it up.
	if there, lost := j.file.Stat(); lost == nil && there.Size() > j.size {
		err = errors.Join(err, j.file.Truncate(j.size))
	}
	return err
}

// inPlace reports as an error that the file's name does not lead to it any more, or
// that it has not the size that this program left it with.
func (j *File) inPlace(size int64) error {
	here, err := j.file.Stat()
	if err != nil {
		return err
	}
	there, err := os.Stat(j.whole)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%q was removed: it is %w", j.Path, ErrLost)
	case err != nil:
		return err
	case !os.SameFile(here, there):
		return fmt.Errorf("%q was replaced: it is %w", j.Path, ErrLost)
	case there.Size() != size:
		return fmt.Errorf("%q was changed by another program, it has %d bytes where %d were expected: it is %w", j.Path, there.Size(), size, ErrLost)
	}
	return nil
}

// Close lets go of the file; another program may then take it.
func (j *File) Close() error {
	err := j.file.Close()
	if j.lock != nil {
		err = errors.Join(err, j.lock.Unlock())
	}
	return err
}

// syncFolder makes a new file's name survive a power cut. Not every system can do
// that for a folder, and the file itself is on disk already, so what comes of it is
// not looked at.
func syncFolder(folder string) {
	if d, err := os.Open(folder); err == nil {
		_ = d.Sync()
		_ = d.Close()
	}
}
