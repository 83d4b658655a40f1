//go:build unix

package journal

import (
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// What is no file is not waited for.
func TestAPipeIsNotWaitedFor(t *testing.T) {
	pipe := filepath.Join(t.TempDir(), "pipe.tape")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	for _, path := range []string{pipe, filepath.Dir(pipe)} {
		_, err := tape.Read(path)
		require.ErrorContains(t, err, "not a regular file")
		_, err = tape.Open(path, fits)
		require.ErrorContains(t, err, "not a regular file")
		_, _, ok := tape.Ends(path)
		require.False(t, ok)
		require.False(t, tape.Is(path))
	}
}
