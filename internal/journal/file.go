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
	sum    string
	summed bool
}

// Create takes a file for writing that must not exist yet. Folders on the way to it
// are made. The first line that is appended is its header.
func (k *Kind) Create(path string) (*File, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return nil, fmt.Errorf("%q exists already: resume it, or name another file: %w", path, fs.ErrExist)
	}
	if err != nil {
		return nil, err
	}
	j, err := k.take(f)
	if err != nil {
		return nil, errors.Join(fmt.Errorf("%q: %w", path, err), f.Close())
	}
	j.summed = true
	return j, nil
}

// CreateNext is Create that goes on counting where the name is taken: "van.job",
// "van-2.job".
func (k *Kind) CreateNext(path string) (*File, error) {
	base := strings.TrimSuffix(path, k.Ending())
	for n := 2; ; n++ {
		j, err := k.Create(path)
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
	j, err := k.take(f)
	if err == nil {
		err = j.takeUp(k, fits)
		if err != nil {
			err = errors.Join(err, j.lock.Unlock())
		}
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("%q: %w", path, err), f.Close())
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
	begins := []byte(`{"format":"` + k.Format() + `"`)
	begin := make([]byte, len(begins))
	_, err = io.ReadFull(f, begin)
	return err == nil && string(begin) == string(begins)
}

// take locks f for this program alone, or says at once that another has it. The
// system lets go of it when the program ends, however it ends.
func (k *Kind) take(f *os.File) (*File, error) {
	j := &File{Path: f.Name(), file: f}
	var err error
	if j.whole, err = filepath.Abs(j.Path); err != nil {
		return nil, err
	}
	locked := j.whole
	if runtime.GOOS == "windows" {
		locked += ".lock" // Windows keeps readers out of what is locked, and a report may be read meanwhile
	}
	j.lock = flock.New(locked)
	got, err := j.lock.TryLock()
	if err == nil && !got {
		err = fmt.Errorf("the %s is %w: another deadflat is going on with it, finish or pause that one first", k.Noun, ErrBusy)
	}
	if err != nil {
		return nil, err
	}
	info, err := f.Stat()
	if err == nil {
		err = j.inPlace(info.Size())
	}
	if err != nil {
		return nil, errors.Join(err, j.lock.Unlock())
	}
	return j, nil
}

func (j *File) takeUp(k *Kind, fits func(*Lines) error) error {
	l, err := k.readAll(j.file)
	if err != nil {
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
	j.size, j.sum, j.summed = l.whole, l.sum, l.Summed
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
	data, err := io.ReadAll(io.LimitReader(f, maxFile))
	if err != nil {
		return nil, err
	}
	return k.Parse(data)
}

// Summed reports whether the file's lines carry checksums: not those of a file that
// an older program began.
func (j *File) Summed() bool { return j.summed }

// Append writes lines and returns when they are on disk. After an error nothing of
// them is in the file, and Append may be tried again. ErrLost: the file of that name
// is not the one that was opened, so nothing that is written can be found there.
func (j *File) Append(lines ...any) error {
	var all []byte
	sum := j.sum
	for _, v := range lines {
		var line []byte
		var err error
		if j.summed {
			line, sum, err = seal(sum, v)
		} else {
			line, err = encode(v)
		}
		if err != nil {
			return err
		}
		all = append(all, line...)
	}
	if err := j.write(all); err != nil {
		return err
	}
	j.sum = sum
	return nil
}

// write appends bytes and forces them to disk, or takes them back. A file that was
// new is not left behind empty.
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
		if j.size == 0 {
			syncFolder(filepath.Dir(j.whole))
		}
		j.size = after
		return nil
	}
	// What somebody else has cut short is not made longer: zero bytes would fill it up.
	if there, lost := j.file.Stat(); lost == nil && there.Size() > j.size {
		err = errors.Join(err, j.file.Truncate(j.size))
	}
	if j.size == 0 && !errors.Is(err, ErrLost) {
		err = errors.Join(err, os.Remove(j.whole))
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

// Close lets go of the file; another program may then take it. A new one that
// nothing was written to is not left behind.
func (j *File) Close() error {
	var err error
	if j.size == 0 && j.inPlace(0) == nil {
		err = os.Remove(j.whole)
	}
	return errors.Join(err, j.file.Close(), j.lock.Unlock())
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
