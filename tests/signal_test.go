//go:build unix

package tests

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/term"
)

// signalTries is how often each signal is sent at each place: a signal that is lost
// every second time is missed by four tries once in sixteen, and there are six of it.
func signalTries(t *testing.T) int {
	n, err := strconv.Atoi(os.Getenv("SIGNAL_TRIES"))
	if err != nil {
		return 4
	}
	t.Logf("%d tries", n)
	return n
}

// TestSignalsEndForms sends each signal that asks a program to end to a form that waits
// for an answer. The program ends with code 1, the terminal is as it was before, and
// what was answered is in the file, with a pause behind it where there is a job.
func TestSignalsEndForms(t *testing.T) {
	yard := yardTree(t)
	for _, place := range []struct {
		name   string
		args   []string
		waits  string // shows when the form waits
		types  string // is typed then, and
		then   string // shows once it has been taken
		file   string
		ending string // of the file
		told   string // shows on the first screen afterwards
	}{
		{"walk", []string{"walk", "--tree", yard, "--kit", "all", "--job", "van.job", "--detail", "brief"}, yardFirst, "turns slowly\r", "(odo)", "van.job", `"do":"pause"`, "Go on with: deadflat walk --resume"},
		{"drill", []string{"drill", "--level", "4", "--seed", "3", "--job", "my.drill"}, "What next", "neutral\r", "chocked", "my.drill", `"do":"neutral"`, "deadflat drill --resume"},
		{"kit", []string{"walk", "--job", "van.job"}, "Which meter is used?", "\r", "What is at hand?", "", "", "left before the equipment was named"},
	} {
		for _, sig := range []os.Signal{syscall.SIGTERM, syscall.SIGINT, syscall.SIGHUP} {
			t.Run(fmt.Sprintf("%s %s", place.name, sig), func(t *testing.T) {
				for range signalTries(t) {
					folder, env := home(t)
					c := exec.Command(program, place.args...)
					c.Dir, c.Env = folder, env
					keys, tty := openTerminal(t, c)
					before, err := term.GetState(int(tty.Fd()))
					require.NoError(t, err)
					require.NoError(t, c.Start())
					until(t, keys, place.waits)
					_, err = io.WriteString(keys, place.types)
					require.NoError(t, err)
					until(t, keys, place.then)

					require.NoError(t, c.Process.Signal(sig))
					hangs := time.AfterFunc(20*time.Second, func() { _, _ = c.Process.Kill(), tty.Close() })
					shown := until(t, keys, place.told)
					err = c.Wait()
					hangs.Stop()
					var exit *exec.ExitError
					require.ErrorAs(t, err, &exit)
					require.Equal(t, 1, exit.ExitCode(), "it ends by itself")

					after, err := term.GetState(int(tty.Fd()))
					require.NoError(t, err)
					assert.Equal(t, before, after, "echo, line editing and the keys of the terminal")
					assert.Greater(t, strings.LastIndex(shown, "\x1b[?25h"), strings.LastIndex(shown, "\x1b[?25l"), "the cursor is back")
					assert.Greater(t, strings.LastIndex(shown, "\x1b[?1049l"), strings.LastIndex(shown, "\x1b[?1049h"), "the first screen is back")
					if place.file == "" {
						continue
					}
					data, err := os.ReadFile(filepath.Join(folder, place.file))
					require.NoError(t, err)
					lines := strings.Split(strings.TrimSpace(string(data)), "\n")
					assert.Contains(t, lines[len(lines)-1], place.ending)
				}
			})
		}
	}
}

// openTerminal puts a command that has not been started on a terminal of its own, and
// gives both ends of it.
func openTerminal(t *testing.T, c *exec.Cmd) (keys, tty *os.File) {
	keys, tty, err := pty.Open()
	if errors.Is(err, pty.ErrUnsupported) {
		t.Skip("no pseudo-terminals here")
	}
	require.NoError(t, err)
	t.Cleanup(func() { _, _ = keys.Close(), tty.Close() })
	require.NoError(t, pty.Setsize(keys, &pty.Winsize{Rows: 24, Cols: 80}))
	c.Stdin, c.Stdout, c.Stderr = tty, tty, tty
	c.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	c.Env = append(c.Env, "TERM=xterm-256color")
	return keys, tty
}
