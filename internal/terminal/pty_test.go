package terminal

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// TestMain lets the test binary be the wizard itself, for tests that need a
// whole process on a terminal.
func TestMain(m *testing.M) {
	if os.Getenv("DEADFLAT_TEST_WIZARD") == "" {
		os.Exit(m.Run())
	}
	o := Options{
		In: os.Stdin, Out: os.Stdout, Err: os.Stderr, Clock: time.Now, Save: func(engine.Event) error { return nil },
		Plain: WantsPlain(os.Stdin, os.Stderr, os.Getenv), Brief: true,
	}
	if os.Getenv("DEADFLAT_TEST_WIZARD") == "kit" {
		kit, err := AskKit(context.Background(), engine.Meters(), kitTree(), o)
		fmt.Println("kit:", kit.Meter, kit.Has, err)
		return
	}
	end, err := Run(context.Background(), bench(), o)
	fmt.Println("end:", end.Paused, err)
}

// onTerminal starts the wizard on a terminal of 80x24 that shows nothing and
// answers no question of the program's.
func onTerminal(t *testing.T, env ...string) (*os.File, *seen) {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append([]string{"DEADFLAT_TEST_WIZARD=1", "TERM=xterm-256color"}, env...)
	tty, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 24, Cols: 80})
	if errors.Is(err, pty.ErrUnsupported) {
		t.Skip("no pseudo-terminals here")
	}
	require.NoError(t, err)
	stuck := time.AfterFunc(time.Minute, func() { _ = cmd.Process.Kill() })
	t.Cleanup(func() {
		stuck.Stop()
		_ = tty.Close()
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	})
	return tty, &seen{from: tty}
}

type seen struct {
	from io.Reader
	all  bytes.Buffer
}

// until reads what the program writes until it contains text.
func (s *seen) until(t *testing.T, text string) {
	t.Helper()
	buf := make([]byte, 4096)
	for !bytes.Contains(s.all.Bytes(), []byte(text)) {
		n, err := s.from.Read(buf)
		s.all.Write(buf[:n])
		require.NoError(t, err, "%q does not come; seen: %q", text, s.all.String())
	}
}

// The library waits five seconds only after it has asked for the background
// colour (OSC 11), so a first question without that question before it has not
// waited.
func TestTheFirstQuestionDoesNotWaitForTheTerminal(t *testing.T) {
	_, s := onTerminal(t)
	s.until(t, "Battery voltage at rest, in V (rest)")
	assert.NotContains(t, s.all.String(), "\x1b]11;?")
	assert.NotContains(t, s.all.String(), "\x1b]10;?")
}

func TestAWalkOnATerminal(t *testing.T) {
	tty, s := onTerminal(t)
	s.until(t, "Battery voltage at rest, in V (rest)")
	assert.Contains(t, s.all.String(), "\x1b[?1049h", "the second screen, so that nothing is left behind")
	_, err := tty.WriteString("12.6\r1\r\rdone\r1\rcrank 8.8 clampread 180\r")
	require.NoError(t, err)
	s.until(t, "What next")
	_, err = tty.WriteString("1\rdone\r")
	require.NoError(t, err)
	s.until(t, "end: false <nil>")
	_, after, left := strings.Cut(s.all.String(), "\x1b[?1049l")
	assert.True(t, left, "the first screen is back")
	assert.Contains(t, after, "Finding: High resistance in the engine earth strap.")
}

func TestNoColourMeansNoStyles(t *testing.T) {
	_, s := onTerminal(t, "NO_COLOR=1")
	s.until(t, "Ctrl-C pause")
	assert.NotRegexp(t, "\x1b\\[[0-9;]+m", s.all.String())
}

func TestADumbTerminalGetsLines(t *testing.T) {
	tty, s := onTerminal(t, "TERM=dumb")
	s.until(t, "Battery voltage at rest, in V (rest): ")
	_, err := tty.WriteString("pause\r")
	require.NoError(t, err)
	s.until(t, "end: true <nil>")
	assert.NotContains(t, s.all.String(), "\x1b")
}

func TestTheKitOnATerminal(t *testing.T) {
	tty, s := onTerminal(t, "DEADFLAT_TEST_WIZARD=kit")
	s.until(t, "calibrated")
	_, err := tty.WriteString("\x1b[B\r2\r")
	require.NoError(t, err)
	s.until(t, "kit: workshop [clamp charger meter helper] <nil>")
}

func TestTheKitLeftByCtrlC(t *testing.T) {
	tty, s := onTerminal(t, "DEADFLAT_TEST_WIZARD=kit")
	s.until(t, "calibrated")
	_, err := tty.WriteString("\x03")
	require.NoError(t, err)
	s.until(t, "kit:  [] "+ErrLeft.Error())
}
