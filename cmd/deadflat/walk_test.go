package main

import (
	"errors"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/job"
)

// A job that could not be begun takes no answer for saved.
func TestAJobThatCannotBeBegunSavesNothing(t *testing.T) {
	full := errors.New("disk full")
	j := beginJob("van.job", false, func() (*job.File, error) { return nil, full })
	assert.ErrorIs(t, j.save(engine.Event{Seq: 1}), full)
	assert.ErrorIs(t, j.close(), full)
}

// An answer given before the file is there waits for it.
func TestAnAnswerWaitsForItsJob(t *testing.T) {
	lib, tree, err := loadTree(firstTree, "", "", nil)
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "van.job")
	ready := make(chan struct{})
	j := beginJob(path, false, func() (*job.File, error) {
		<-ready
		return job.Create(path, job.Begin{Library: lib, Tree: tree, Meter: job.Text{Name: usualMeter}, At: time.Now()})
	})
	saved := make(chan error)
	go func() { saved <- j.save(engine.Event{Seq: 1, Do: engine.DoNote, Text: "seen"}) }()
	select {
	case <-saved:
		t.Fatal("saved before there was a file")
	default:
	}
	close(ready)
	require.NoError(t, <-saved)
	require.NoError(t, j.close())
	read, err := job.Read(path, tradeFunctions()...)
	require.NoError(t, err)
	assert.Equal(t, "seen", read.Events[0].Text)
}
