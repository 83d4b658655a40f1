package job

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

func TestList(t *testing.T) {
	folder := t.TempDir()
	write(t, filepath.Join(folder, "done.job"))
	f, err := Create(filepath.Join(folder, "new.job"), Begin{
		Library: smallLibrary(t), Tree: smallLibrary(t).Tree("small"), Meter: Text{Name: "workshop"}, At: noon.Add(time.Hour),
	})
	require.NoError(t, err)
	require.NoError(t, f.Close())
	require.NoError(t, os.WriteFile(filepath.Join(folder, "broken.job"), []byte("nothing\n"), 0o600))
	require.NoError(t, os.Chtimes(filepath.Join(folder, "broken.job"), noon, noon.Add(-time.Hour)))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "notes.txt"), []byte("not a job"), 0o600))

	entries, err := List(folder)
	require.NoError(t, err)
	require.Len(t, entries, 3)
	assert.Equal(t, Entry{
		Name: "new", Title: "A small tree for tests", State: "paused at: What the customer says",
		Begun: entries[0].Begun, Last: entries[0].Last,
	}, entries[0])
	assert.True(t, entries[0].Begun.Equal(noon.Add(time.Hour)))
	assert.Equal(t, "done", entries[1].Name)
	assert.Equal(t, "finding: High resistance in the engine earth strap", entries[1].State)
	assert.Equal(t, "broken", entries[2].Name)
	assert.Contains(t, entries[2].State, "cannot be read: not a job file")
}

// A job at a finding is not closed while something is left open on the vehicle.
func TestListOfAJobThatIsNotClosed(t *testing.T) {
	lib, faults := engine.Load([]engine.Source{{Name: "fuse.yaml", Data: []byte(`tree: fuse
title: Fuse
edition: 1
begin: pull
undone: {fuse_out: Put it back.}
steps:
  pull: {kind: inspect, title: Pull it, leaves: [fuse_out], to: found}
findings:
  found: {title: Found, action: none}
`)}})
	require.True(t, faults.Empty(), "%v", faults.Sorted())
	folder := t.TempDir()
	f, err := Create(filepath.Join(folder, "one.job"), Begin{Library: lib, Tree: lib.Tree("fuse"), Meter: Text{Name: "workshop"}, At: noon})
	require.NoError(t, err)
	state := func() string {
		entries, err := List(folder)
		require.NoError(t, err)
		return entries[0].State
	}
	require.NoError(t, f.Append(engine.Event{Seq: 1, At: noon, Do: engine.DoDone, Step: "pull"}))
	assert.Equal(t, "not closed, finding: Found; to be put back: fuse out", state())
	require.NoError(t, f.Append(engine.Event{Seq: 2, At: noon, Do: engine.DoPutBack, Text: "fuse_out"}))
	assert.Equal(t, "finding: Found", state())
	require.NoError(t, f.Append(engine.Event{Seq: 3, At: noon, Do: engine.DoPutBack, Text: "fuse_out"}))
	assert.Contains(t, state(), "there is nothing to put back", "a line that nobody can have said is not believed")
	require.NoError(t, f.Close())
}

func TestListOfAFolderThatIsNotThere(t *testing.T) {
	entries, err := List(filepath.Join(t.TempDir(), "none"))
	require.NoError(t, err)
	assert.Empty(t, entries)
}

func TestFind(t *testing.T) {
	folder := t.TempDir()
	for i, name := range []string{"2031-05-04-0930-no-start.job", "2031-05-04-1015-no-start.job", "2031-06-01-0800-recharge.job"} {
		path := filepath.Join(folder, name)
		require.NoError(t, os.WriteFile(path, nil, 0o600))
		require.NoError(t, os.Chtimes(path, noon, noon.Add(time.Duration(i%2)*time.Hour)))
	}
	in := func(name string) string { return filepath.Join(folder, name) }
	for _, c := range []struct{ typed, want, says string }{
		{"2031-06", in("2031-06-01-0800-recharge.job"), ""},
		{"2031-06-01-0800-recharge", in("2031-06-01-0800-recharge.job"), ""},
		{"2031-06-01-0800-recharge.job", in("2031-06-01-0800-recharge.job"), ""},
		{"last", in("2031-05-04-1015-no-start.job"), ""},
		{"./elsewhere.job", "./elsewhere.job", ""},
		{"2031-05", "", `"2031-05" is the beginning of 2 jobs (2031-05-04-0930-no-start, 2031-05-04-1015-no-start): type more of the name`},
		{"van", "", `there is no job "van"`},
	} {
		got, err := Find(folder, c.typed)
		assert.Equal(t, c.want, got)
		if c.says != "" {
			assert.ErrorContains(t, err, c.says)
		} else {
			assert.NoError(t, err)
		}
	}
	_, err := Find(filepath.Join(folder, "none"), "last")
	assert.ErrorContains(t, err, "there is no job in")
}

func TestFolder(t *testing.T) {
	t.Setenv("HOME", "/home/somebody")
	t.Setenv("XDG_STATE_HOME", "/state")
	got, err := Folder()
	require.NoError(t, err)
	assert.Equal(t, "/state/deadflat/jobs", got)
	t.Setenv("XDG_STATE_HOME", "not/absolute")
	got, err = Folder()
	require.NoError(t, err)
	assert.Equal(t, "/home/somebody/.local/state/deadflat/jobs", got)
}

func TestNewPathNeverTakesATakenName(t *testing.T) {
	folder := t.TempDir()
	first := NewPath(folder, "no-start", noon)
	assert.Equal(t, filepath.Join(folder, "2031-05-04-1200-no-start.job"), first)
	require.NoError(t, os.WriteFile(first, nil, 0o600))
	assert.Equal(t, filepath.Join(folder, "2031-05-04-1200-no-start-2.job"), NewPath(folder, "no-start", noon))
}

func TestAPathOutOfReachEndsTheSearchForAName(t *testing.T) {
	file := filepath.Join(t.TempDir(), "a file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	inside := filepath.Join(file, "jobs") // a file stands where a folder would
	require.Equal(t, inside, filepath.Dir(NewPath(inside, "no-start", time.Unix(0, 0))))
}
