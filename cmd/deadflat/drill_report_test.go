//go:build unix

package main

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is no file is not waited for, and holds no drill.
func TestAPipeIsNoDrill(t *testing.T) {
	pipe := filepath.Join(t.TempDir(), "pipe")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	assert.False(t, isDrill(pipe))
	assert.False(t, isDrill(filepath.Dir(pipe)))
	short := pipe + ".drill"
	require.NoError(t, os.WriteFile(short, []byte("{"), 0o600))
	assert.False(t, isDrill(short))
}
