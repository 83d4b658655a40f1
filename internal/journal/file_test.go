package journal

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestOneWriterAtATime(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.tape")
	record(t, path)
	first, err := tape.Open(path, fits)
	require.NoError(t, err)
	_, err = tape.Open(path, fits)
	require.ErrorIs(t, err, ErrBusy)
	require.ErrorContains(t, err, "the tape is in use: another deadflat is going on with it")
	_, err = tape.Read(path)
	require.NoError(t, err, "it may be read meanwhile")
	require.NoError(t, first.Close())
	second, err := tape.Open(path, fits)
	require.NoError(t, err)
	require.NoError(t, second.Close())
}

// What does not fit is refused before anything of the file is touched, and let go of.
func TestARefusedFileIsLeftAlone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.tape")
	data := record(t, path)[:100]
	require.NoError(t, os.WriteFile(path, append(data, "{torn"...), 0o600))
	_, err := tape.Open(path, func(*Lines) error { return errors.New("it does not fit") })
	require.Error(t, err)
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, append(data, "{torn"...), after)
}

func TestCreateKeepsWhatIsThere(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.tape")
	data := record(t, path)
	_, err := tape.Create(path)
	require.ErrorIs(t, err, fs.ErrExist)
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, data, after)
}

// However many begin in one minute, each has a file of its own.
func TestManyBegunInOneMinute(t *testing.T) {
	folder := t.TempDir()
	path := tape.NewPath(folder, "side-a", noon)
	assert.Equal(t, filepath.Join(folder, "2031-05-04-1200-side-a.tape"), path)
	const many = 20
	var all sync.WaitGroup
	for i := range many {
		all.Go(func() {
			f, err := tape.CreateNext(path, header{tape.Format(), tape.Version, fmt.Sprint(i)})
			if assert.NoError(t, err) {
				assert.NoError(t, f.Close())
			}
		})
	}
	all.Wait()
	names, err := tape.Names(folder)
	require.NoError(t, err)
	require.Len(t, names, many)
	require.Contains(t, names, "2031-05-04-1200-side-a")
	require.Contains(t, names, "2031-05-04-1200-side-a-20")
	held := map[string]bool{}
	for _, n := range names {
		l, err := tape.Read(filepath.Join(folder, n+".tape"))
		require.NoError(t, err)
		var h header
		require.NoError(t, l.Decode(1, &h))
		held[h.Name] = true
	}
	require.Len(t, held, many)
}

func TestACreateThatCannotSucceedEnds(t *testing.T) {
	file := filepath.Join(t.TempDir(), "a file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	_, err := tape.CreateNext(filepath.Join(file, "a.tape")) // a file stands where a folder would
	require.Error(t, err)
}

// A disk that cannot take a line leaves the lines before it whole.
func TestAppendTakesAFailedLineBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.tape")
	data := record(t, path)
	f, err := tape.Open(path, fits)
	require.NoError(t, err)
	readOnly, err := os.Open(path)
	require.NoError(t, err)
	f.file, readOnly = readOnly, f.file
	assert.Error(t, f.Append(said{Say: "lost"}))
	f.file, readOnly = readOnly, f.file
	require.NoError(t, f.Append(said{Say: "kept"}))
	require.NoError(t, errors.Join(f.Close(), readOnly.Close()))
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(data), string(after[:len(data)]))
	l, err := tape.Read(path)
	require.NoError(t, err)
	assert.Equal(t, append(words[:len(words):len(words)], "kept"), play(t, l))
}

// Where a file cannot be made nothing is left behind, of it or beside it.
func TestNothingIsLeftOfAFileThatCannotBeMade(t *testing.T) {
	folder := t.TempDir()
	_, err := tape.Create(filepath.Join(folder, "a.tape"), func() {})
	require.Error(t, err, "that is no line")
	_, err = tape.Create(filepath.Join(folder, strings.Repeat("a", 300)+".tape"), header{})
	require.Error(t, err, "the name is too long")
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	require.Empty(t, entries)
}

// "Saved" holds for the file of that name only.
func TestAFileThatIsLostIsNoticed(t *testing.T) {
	for what, happens := range map[string]func(path string) error{
		"was removed": os.Remove,
		"was replaced": func(path string) error {
			return errors.Join(os.Rename(path, path+".bak"), os.WriteFile(path, []byte("new"), 0o600))
		},
		"was changed": func(path string) error { return os.Truncate(path, 50) },
		"has 0 bytes": func(path string) error { return os.WriteFile(path, nil, 0o600) },
	} {
		path := filepath.Join(t.TempDir(), "a.tape")
		record(t, path)
		f, err := tape.Open(path, fits)
		require.NoError(t, err)
		require.NoError(t, f.Append(said{Say: "kept"}))
		require.NoError(t, happens(path))
		err = f.Append(said{Say: "lost"})
		require.ErrorIs(t, err, ErrLost)
		require.ErrorContains(t, err, what)
		require.NoError(t, f.Close())
		if there, err := os.ReadFile(path); err == nil {
			assert.NotContains(t, string(there), "lost")
		}
	}
}

// A file that is cut short while a line of it is being put on disk is not filled up
// with zero bytes again: it would look whole, and nothing of it could be read.
func TestAFileCutShortMeanwhileIsLost(t *testing.T) {
	for range 20 {
		path := filepath.Join(t.TempDir(), "a.tape")
		data := record(t, path)
		f, err := tape.Open(path, fits)
		require.NoError(t, err)
		cut := make(chan error)
		go func() {
			for {
				info, err := os.Stat(path)
				if err == nil && info.Size() > int64(len(data)) {
					err = os.Truncate(path, 50)
				} else if err == nil {
					continue
				}
				cut <- err
				return
			}
		}()
		err = f.Append(said{Say: "one"})
		require.NoError(t, <-cut)
		require.ErrorIs(t, errors.Join(err, f.Append(said{Say: "two"})), ErrLost)
		require.ErrorIs(t, f.Append(said{Say: "three"}), ErrLost)
		require.NoError(t, f.Close())
		there, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, string(data[:50]), string(there))
	}
}
