package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"

	"deadflat/internal/source"
)

func TestExitCode(t *testing.T) {
	for _, c := range []struct {
		name    string
		err     error
		started bool
		want    int
	}{
		{"done", nil, true, exitDone},
		{"help asked for", nil, false, exitDone},
		{"not understood", errors.New("unknown flag"), false, exitUsage},
		{"a word that means nothing", fmt.Errorf("--set %w", usage("no such reading")), true, exitUsage},
		{"faults told already", errFaults, true, exitFaults},
		{"faults still to be told", faultsError{&source.Faults{}}, true, exitFaults},
		{"no such file", &fs.PathError{Op: "open", Path: "a", Err: fs.ErrNotExist}, true, exitIO},
		{"nobody reads", fmt.Errorf("write: %w", syscall.EPIPE), true, exitIO},
	} {
		assert.Equal(t, c.want, exitCode(c.err, c.started), c.name)
	}
}

func TestNeedsNoWords(t *testing.T) {
	assert.True(t, needsNoWords(errFaults))
	assert.True(t, needsNoWords(fmt.Errorf("write: %w", syscall.EPIPE)))
	assert.False(t, needsNoWords(usage("wrong")))
}

func TestPlainPath(t *testing.T) {
	_, err := os.Open("nobody.job")
	assert.EqualError(t, plainPath(err), `"nobody.job": no such file or directory`)
	assert.EqualError(t, plainPath(errors.New("as it is")), "as it is")
}
