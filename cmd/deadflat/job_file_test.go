package main

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/job"
)

// began begins a job in a new file of a folder.
func began(t *testing.T, folder string) *jobFile {
	lib, tree, err := loadTree(firstTree, "", "", nil)
	require.NoError(t, err)
	begin := job.Begin{Library: lib, Tree: tree, Meter: engine.FindMeter(usualMeter), At: time.Now()}
	file, err := job.Kind.Create(filepath.Join(folder, "van.job"), begin.Lines(nil)...)
	require.NoError(t, err)
	return &jobFile{job.File{File: file}, engine.NewWalk(tree, begin.Meter, engine.Kit{}), begin}
}

// note says something in a walk and saves it.
func (j *jobFile) note(t *testing.T, text string) error {
	_, err := j.walk.Answer(engine.Event{At: time.Now(), Do: engine.DoNote, Text: text})
	require.NoError(t, err)
	all := j.walk.Events()
	return j.save(all[len(all)-1])
}

// holds gives the notes of a job.
func holds(t *testing.T, path string) []string {
	read, err := job.Read(path, tradeFunctions()...)
	require.NoError(t, err)
	var notes []string
	for _, ev := range read.Events {
		notes = append(notes, ev.Text)
	}
	return notes
}

// Where a job is lost under a walk, nothing more is taken for saved until it goes on
// in another file; beside the old one if that can be.
func TestAWalkGoesOnInAnotherFile(t *testing.T) {
	state := t.TempDir()
	t.Setenv("XDG_STATE_HOME", state)
	t.Setenv("TMPDIR", t.TempDir())
	folder := t.TempDir()
	j := began(t, folder)
	require.NoError(t, j.note(t, "one"))
	require.NoError(t, os.WriteFile(j.Path, []byte("of somebody else"), 0o600))
	require.ErrorContains(t, j.note(t, "two"), "was changed by another program")
	resume, err := j.another()
	require.NoError(t, err)
	assert.Equal(t, "deadflat walk --resume "+filepath.Join(folder, "van-2.job"), resume)
	require.NoError(t, j.note(t, "three"))

	require.NoError(t, os.RemoveAll(folder))
	require.NoError(t, os.WriteFile(folder, nil, 0o600)) // no folder can be made here
	require.ErrorContains(t, j.note(t, "four"), "van-2.job")
	resume, err = j.another()
	require.NoError(t, err)
	assert.Equal(t, "deadflat walk --resume van-2", resume)
	require.NoError(t, j.Close())
	assert.Equal(t, []string{"one", "two", "three", "four"}, holds(t, filepath.Join(state, "deadflat", "jobs", "van-2.job")))
}

// A file's name is shown so that a shell reads it as that name, and nothing in it
// reaches the terminal as a control.
func TestShown(t *testing.T) {
	t.Setenv("XDG_STATE_HOME", "/state")
	for path, want := range map[string]string{
		"/state/deadflat/jobs/2031-05-04-0930-no-start.job": "2031-05-04-0930-no-start",
		"/elsewhere/a.job": "/elsewhere/a.job",
		"van.job":          "van.job",
		"./a van.job":      "'./a van.job'",
		"./it's.job":       `'./it'\''s.job'`,
		"./\x1b[31m.job":   `$'./\x1b[31m.job'`,
		"./\u202egnp.job":  `$'./\u202egnp.job'`,
		"./\x1b'\".job":    `$'./\x1b\'\".job'`,
	} {
		assert.Equal(t, want, shown(job.Kind, path))
	}
}
