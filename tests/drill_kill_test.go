package tests

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is typed in a drill, and what shows once it has been taken.
var drillLines = []said{
	{"look battery_case", "danger"},
	{"neutral", "chocked"},
	{"measure + -", " V"},
	{"wait 7", "time has passed"},
}

var drillArgs = []string{"drill", "--level", "4", "--family", "starter", "--seed", "3"}

// TestDrillKilled kills the program after each line of a drill in turn, on both
// faces. Every line whose answer has shown is in its file, and the drill goes on from
// there to the same debrief.
func TestDrillKilled(t *testing.T) {
	whole := drillFrom(t, 0, nil, "")
	for _, face := range []struct {
		name, enter string
		start       func(*testing.T, *exec.Cmd) (io.Writer, io.Reader)
	}{{"lines", "\n", onPipes}, {"screen", "\r", onTerminal}} {
		for steps := 1; steps <= len(drillLines); steps += 2 {
			if !t.Run(face.name, func(t *testing.T) {
				assert.Equal(t, whole, drillFrom(t, steps, face.start, face.enter), "after %d lines", steps)
			}) {
				return // the others would wait in vain as well
			}
		}
	}
}

// drillFrom does some lines in a program that is then killed, the others in one that
// goes on, and gives the debrief.
func drillFrom(t *testing.T, steps int, start func(*testing.T, *exec.Cmd) (io.Writer, io.Reader), enter string) string {
	folder, env := home(t)
	args := append(slices.Clone(drillArgs), "--job", "my.drill")
	if steps > 0 {
		first := exec.Command(program, args...)
		first.Dir, first.Env = folder, env
		keys, screen := start(t, first)
		stuck := time.AfterFunc(time.Minute, func() { _ = first.Process.Kill() })
		defer stuck.Stop()
		until(t, screen, "What next")
		for _, l := range drillLines[:steps] {
			_, err := io.WriteString(keys, l.types+enter)
			require.NoError(t, err)
			until(t, screen, l.then)
		}
		require.NoError(t, first.Process.Kill())
		require.Error(t, first.Wait())
		data, err := os.ReadFile(filepath.Join(folder, "my.drill"))
		require.NoError(t, err)
		assert.Equal(t, 1+steps, bytes.Count(data, []byte("\n")), "every line that was answered is kept")
		args = []string{"drill", "--resume", "my.drill", "--plain"}
	}
	return finishDrill(t, folder, env, args, steps)
}

// finishDrill does the lines that have not been taken yet, and gives the debrief.
func finishDrill(t *testing.T, folder string, env, args []string, steps int) string {
	var rest []string
	for _, l := range drillLines[steps:] {
		rest = append(rest, l.types)
	}
	c := exec.Command(program, args...)
	c.Dir, c.Env = folder, env
	c.Stdin = strings.NewReader(strings.Join(append(rest, "find battery_frozen"), "\n") + "\n")
	var said, out bytes.Buffer
	c.Stderr, c.Stdout = &said, &out
	require.Error(t, c.Run(), "the finding is wrong on purpose")
	require.Contains(t, out.String(), "Your finding names", said.String())
	return out.String()
}
