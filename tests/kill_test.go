package tests

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A walk through testdata/trees/yard.yaml: what is typed, what shows once that
// has been taken, and how many answers the job then holds. Enter alone leaves
// out what is for the report only.
var yardWalk = []struct {
	types, then string
	answers     int
}{
	{"turns slowly", "(odo)", 1},
	{"", "(rest)", 1},
	{"12.71", "(case)", 2},
	{"sound", "(earth)", 3},
}

const (
	yardFirst  = "(key)" // shows when the walk begins
	yardLast   = "2.35"
	yardEnding = "High resistance in the engine earth strap"
)

// TestKilledInMidWalk kills the program after each answer in turn, as a power
// cut would. Every answer whose next question has shown is in the job, and the
// walk goes on from there to the same finding.
func TestKilledInMidWalk(t *testing.T) {
	for _, face := range []struct {
		name, enter string
		start       func(*testing.T, *exec.Cmd) (io.Writer, io.Reader)
	}{{"lines", "\n", onPipes}, {"forms", "\r", onTerminal}} {
		for steps := 0; steps <= len(yardWalk); steps++ {
			if !t.Run(fmt.Sprintf("%s after %d", face.name, steps), func(t *testing.T) {
				folder, env := home(t)
				walk := exec.Command(program, "walk", "--tree", yardTree(t), "--kit", "all", "--job", "van.job", "--detail", "brief")
				walk.Dir, walk.Env = folder, env
				keys, screen := face.start(t, walk)
				stuck := time.AfterFunc(time.Minute, func() { _ = walk.Process.Kill() })
				defer stuck.Stop()
				until(t, screen, yardFirst)
				answers := 0
				for _, step := range yardWalk[:steps] {
					_, err := io.WriteString(keys, step.types+face.enter)
					require.NoError(t, err)
					until(t, screen, step.then)
					answers = step.answers
				}
				require.NoError(t, walk.Process.Kill())
				require.Error(t, walk.Wait())

				assert.Equal(t, answers, answersIn(t, filepath.Join(folder, "van.job")))
				goOn(t, folder, env, "van.job", steps)
			}) {
				return // the others would wait in vain as well
			}
		}
	}
}

func yardTree(t *testing.T) string {
	path, err := filepath.Abs(filepath.Join("testdata", "trees", "yard.yaml"))
	require.NoError(t, err)
	return path
}

// onPipes starts the program with pipes in place of a terminal.
func onPipes(t *testing.T, c *exec.Cmd) (keys io.Writer, screen io.Reader) {
	keys, err := c.StdinPipe()
	require.NoError(t, err)
	screen, err = c.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	return keys, screen
}

// onTerminal starts the program on a terminal of its own.
func onTerminal(t *testing.T, c *exec.Cmd) (keys io.Writer, screen io.Reader) {
	return onTerminalWith(t, c, "NO_COLOR=1")
}

// onTerminalWith adds to the environment. The terminal answers no question of
// the program's.
func onTerminalWith(t *testing.T, c *exec.Cmd, env string) (keys io.Writer, screen io.Reader) {
	c.Env = append(c.Env, "TERM=xterm-256color", env)
	tty, err := pty.StartWithSize(c, &pty.Winsize{Rows: 24, Cols: 80})
	if errors.Is(err, pty.ErrUnsupported) {
		t.Skip("no pseudo-terminals here")
	}
	require.NoError(t, err)
	t.Cleanup(func() { _ = tty.Close() })
	return tty, tty
}

// until reads what the program shows up to a text.
func until(t *testing.T, screen io.Reader, text string) string {
	seen, err := shows(screen, text)
	require.NoError(t, err, "%q does not show; seen: %q", text, seen)
	return seen
}

func shows(screen io.Reader, text string) (seen string, err error) {
	buffer := make([]byte, 4096)
	for err == nil && !strings.Contains(seen, text) {
		var n int
		n, err = screen.Read(buffer)
		seen += string(buffer[:n])
	}
	return seen, err
}

// answersIn counts the answers in a job file.
func answersIn(t *testing.T, path string) int {
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	answers := 0
	for _, line := range strings.Split(strings.TrimSpace(string(data)), "\n") {
		var ev struct {
			Do string `json:"do"`
		}
		require.NoError(t, json.Unmarshal([]byte(line), &ev))
		if ev.Do == "answer" {
			answers++
		}
	}
	return answers
}

// goOn resumes the job and types what has not been taken yet.
func goOn(t *testing.T, folder string, env []string, name string, steps int) {
	var typed strings.Builder
	for _, step := range yardWalk[steps:] {
		typed.WriteString(step.types + "\n")
	}
	typed.WriteString(yardLast + "\n")
	walk := exec.Command(program, "walk", "--resume", name, "--plain")
	walk.Dir, walk.Env = folder, env
	walk.Stdin = strings.NewReader(typed.String())
	var said bytes.Buffer
	walk.Stderr = &said
	out, err := walk.Output()
	require.NoError(t, err, "%s", said.String())
	assert.Contains(t, string(out), yardEnding)
	assert.Equal(t, yardWalk[len(yardWalk)-1].answers+1, answersIn(t, filepath.Join(folder, name)))
}
