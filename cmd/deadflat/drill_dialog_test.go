package main

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/drill"
)

// Drills that an older program kept in the configuration folder are found by name, where
// there is none of that name among the others.
func TestDrillsOfAnOlderProgramAreFound(t *testing.T) {
	state, config := t.TempDir(), t.TempDir()
	t.Setenv("XDG_STATE_HOME", state)
	t.Setenv("XDG_CONFIG_HOME", config)
	old := filepath.Join(config, "deadflat", "drills", "2031-05-04-093000.000.drill")
	require.NoError(t, os.MkdirAll(filepath.Dir(old), 0o700))
	data, err := os.ReadFile("../../internal/drill/testdata/version-2.drill")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(old, data, 0o600))
	for _, typed := range []string{"2031-05-04-093000.000", "2031", "last"} {
		path, err := find(drill.Kind, typed)
		require.NoError(t, err)
		assert.Equal(t, old, path)
	}
	d, err := newDrillOf(streams{}, 4, "", 9)
	require.NoError(t, err)
	file, err := createKept(drill.Kind, "", "level-4", time.Now(), d.Header(time.Now()))
	require.NoError(t, err)
	require.NoError(t, file.Close())
	path, err := find(drill.Kind, "last")
	require.NoError(t, err)
	assert.Equal(t, file.Path, path)
	_, err = find(drill.Kind, "1999")
	assert.ErrorContains(t, err, filepath.Join(state, "deadflat", "drills"), "the folder of today is named")
}

// A drill whose file is lost under it goes on in another one that holds every line.
func TestADrillGoesOnInAnotherFile(t *testing.T) {
	t.Setenv("XDG_STATE_HOME", t.TempDir())
	path := filepath.Join(t.TempDir(), "x.drill")
	d, err := newDrillOf(streams{}, 4, "", 9)
	require.NoError(t, err)
	begun := time.Now()
	file, err := drill.Kind.Create(path, d.Header(begun))
	require.NoError(t, err)
	talk := &drillDialog{Drill: d, file: file, begun: begun}
	take := func(line string) string {
		r, err := talk.Answer("", line)
		require.NoError(t, err)
		return append(r.Told, r.Refused...)[0].Text
	}
	take("ask")
	require.NoError(t, os.Remove(path))
	take("look vehicle")
	require.ErrorContains(t, talk.lost, "was removed")
	assert.Contains(t, talk.Prompt().Text[0].Text, "The line is not saved: ")
	assert.Equal(t, "Type y or n.", take("neutral"))
	require.NoError(t, os.WriteFile(path, []byte("of somebody else"), 0o600))
	assert.Contains(t, take("yes"), "To go on later: deadflat drill --resume "+filepath.Dir(path))
	take("neutral")
	require.NoError(t, talk.file.Close())

	l, err := drill.Kind.Read(filepath.Join(filepath.Dir(path), "x-2.drill"))
	require.NoError(t, err)
	_, typed, err := drill.Decode(l)
	require.NoError(t, err)
	var lines []string
	for _, x := range typed {
		lines = append(lines, x.Do)
		assert.WithinDuration(t, time.Now(), x.At, time.Hour)
	}
	assert.Equal(t, []string{"ask", "look vehicle", "neutral"}, lines)
	other, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "of somebody else", string(other))
}
