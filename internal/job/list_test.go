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

func TestListOfAFolderThatIsNotThere(t *testing.T) {
	entries, err := List(filepath.Join(t.TempDir(), "none"))
	require.NoError(t, err)
	assert.Empty(t, entries)
}
