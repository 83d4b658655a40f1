package terminal

import (
	"os"
	"testing"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWantsPlain(t *testing.T) {
	far, tty, err := pty.Open()
	if err != nil {
		t.Skip("no pseudo-terminals here")
	}
	defer far.Close()
	defer tty.Close()
	file, err := os.Open(os.DevNull)
	require.NoError(t, err)
	defer file.Close()
	env := func(pairs ...string) func(string) string {
		return func(key string) string {
			for i := 0; i < len(pairs); i += 2 {
				if pairs[i] == key {
					return pairs[i+1]
				}
			}
			return ""
		}
	}
	assert.False(t, WantsPlain(tty, tty, env("TERM", "xterm")))
	assert.True(t, WantsPlain(file, tty, env("TERM", "xterm")), "answers from a file")
	assert.True(t, WantsPlain(tty, file, env("TERM", "xterm")), "questions to a file")
	assert.True(t, WantsPlain(tty, tty, env("TERM", "dumb")))
	assert.True(t, WantsPlain(tty, tty, env("TERM", "xterm", "ACCESSIBLE", "1")))
}
