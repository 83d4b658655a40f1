package job

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

func TestList(t *testing.T) {
	folder := t.TempDir()
	write(t, filepath.Join(folder, "done.job"))
	lib := smallLibrary(t)
	f := create(t, filepath.Join(folder, "new.job"), Begin{Library: lib, Tree: lib.Tree("small"), Meter: engine.FindMeter("workshop"), At: noon.Add(time.Hour)})
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
	f := create(t, filepath.Join(folder, "one.job"), Begin{Library: lib, Tree: lib.Tree("fuse"), Meter: engine.FindMeter("workshop"), At: noon})
	state := func() string {
		entries, err := List(folder)
		require.NoError(t, err)
		return entries[0].State
	}
	require.NoError(t, f.Append(nil, engine.Event{Seq: 1, At: noon, Do: engine.DoDone, Step: "pull"}))
	assert.Equal(t, "not closed, finding: Found; to be put back: fuse out", state())
	require.NoError(t, f.Append(nil, engine.Event{Seq: 2, At: noon, Do: engine.DoPutBack, Text: "fuse_out"}))
	assert.Equal(t, "finding: Found", state())
	require.NoError(t, f.Append(nil, engine.Event{Seq: 3, At: noon, Do: engine.DoPutBack, Text: "fuse_out"}))
	assert.Contains(t, state(), "there is nothing to put back", "a line that nobody can have said is not believed")
	require.NoError(t, f.Close())
}

// Jobs that only a reading of the whole file tells of cannot hold a list up: the latest
// are read, and of the others there is what the ends of their files tell.
func TestListOfManyJobsOfVersion1(t *testing.T) {
	data, err := os.ReadFile("testdata/version-1.job")
	require.NoError(t, err)
	long := strings.Replace(string(data), `{"seq":2,`, `{"seq":2,`+strings.Repeat(" ", mostRead/2-len(data)), 1)
	folder := t.TempDir()
	for i, name := range []string{"2031-05-09", "2031-05-08", "2031-05-07"} {
		at := fmt.Sprintf(`{"seq":6,"at":"2031-05-0%dT12:00:00Z","do":"note","text":"x"}`+"\n", 9-i)
		require.NoError(t, os.WriteFile(filepath.Join(folder, name+".job"), []byte(long+at), 0o600))
	}
	entries, err := List(folder)
	require.NoError(t, err)
	require.Len(t, entries, 3)
	assert.Equal(t, "finding: High resistance in the engine earth strap", entries[0].State)
	for i, name := range []string{"2031-05-08", "2031-05-07"} {
		e := entries[1+i]
		assert.Equal(t, []any{name, "small", "not worked out: deadflat report tells", true}, []any{e.Name, e.Title, e.State, e.Unsummed})
		assert.Equal(t, 8-i, e.Last.Day())
	}
}

func TestListOfAFolderThatIsNotThere(t *testing.T) {
	entries, err := List(filepath.Join(t.TempDir(), "none"))
	require.NoError(t, err)
	assert.Empty(t, entries)
}
