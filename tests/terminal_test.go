package tests

import (
	"io"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The library that draws forms waits five seconds for a terminal that does not
// say what its colours are, but only after it has asked. No command asks.
func TestNoCommandAsksTheTerminalForItsColours(t *testing.T) {
	for _, args := range [][]string{{"version"}, {"trees"}, {"help"}, {"jobs"}} {
		folder, env := home(t)
		c := exec.Command(program, args...)
		c.Dir, c.Env = folder, env
		_, screen := onTerminal(t, c)
		// A terminal whose program has ended gives an error where a pipe gives
		// its end; all that was written comes before it.
		said, _ := io.ReadAll(screen)
		require.NoError(t, c.Wait())
		assert.NotEmpty(t, said)
		assert.NotContains(t, string(said), "\x1b", "%v", args)
	}
}

// TERM=dumb, NO_COLOR and a pipe in place of the keyboard are honoured.
func TestFacesOfTheWalk(t *testing.T) {
	for name, c := range map[string]struct {
		env           string
		forms, colour bool
	}{
		"a terminal":          {"TERM=xterm-256color", true, true},
		"NO_COLOR":            {"NO_COLOR=1", true, false},
		"TERM=dumb":           {"TERM=dumb", false, false},
		"for a screen reader": {"ACCESSIBLE=1", false, false},
	} {
		t.Run(name, func(t *testing.T) {
			folder, env := home(t)
			walk := exec.Command(program, "walk", "--tree", yardTree(t), "--kit", "all")
			walk.Dir, walk.Env = folder, env
			keys, screen := onTerminalWith(t, walk, c.env)
			shown := until(t, screen, "turns normally")
			assert.Equal(t, c.forms, strings.Contains(shown, "\x1b[?1049h"), "forms are drawn on the second screen")
			assert.Equal(t, c.colour, strings.Contains(shown, "m\x1b[") || strings.Contains(shown, "\x1b[1m") || strings.Contains(shown, "\x1b[38"), "%q", shown)
			_, err := io.WriteString(keys, "pause\r")
			require.NoError(t, err)
			until(t, screen, "Paused")
			assert.Error(t, walk.Wait(), "a job that is not finished ends with code 1")
		})
	}
}

// A job that is walked in one place is not walked in another as well.
func TestOneJobTwoWalks(t *testing.T) {
	folder, env := home(t)
	walk := exec.Command(program, "walk", "--tree", yardTree(t), "--kit", "all", "--job", "van.job")
	walk.Dir, walk.Env = folder, env
	keys, screen := onPipes(t, walk)
	until(t, screen, yardFirst)

	second := runIn(t, folder, env, "turns slowly\n", "walk", "--resume", "van.job")
	assert.Equal(t, 3, second.code)
	assert.Contains(t, second.stderr, "another deadflat is going on with it")
	assert.Equal(t, 0, runIn(t, folder, env, "", "report", "van.job").code, "a report may be written meanwhile")

	_, err := io.WriteString(keys, "pause\n")
	require.NoError(t, err)
	assert.Error(t, walk.Wait())
	assert.Equal(t, 1, runIn(t, folder, env, "turns slowly\n", "walk", "--resume", "van.job").code)
	assert.Equal(t, 1, answersIn(t, folder+"/van.job"))
}
