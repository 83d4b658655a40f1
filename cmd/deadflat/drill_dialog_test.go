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
