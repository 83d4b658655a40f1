package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/drill"
)

// Two programs that go on with one drill do not write over one another: the second to
// type is told, and the file stays a whole drill.
func TestTwoOnOneDrill(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.drill")
	at := func() *drillDialog {
		d, err := newDrillOf(streams{}, 4, "", 9)
		require.NoError(t, err)
		file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
		require.NoError(t, err)
		t.Cleanup(func() { assert.NoError(t, file.Close()) })
		return &drillDialog{Drill: d, file: file}
	}
	one := at()
	require.NoError(t, appendLine(one.file, one.Header()))
	s, err := one.file.Stat()
	require.NoError(t, err)
	one.end = s.Size()
	two := at()
	two.end = s.Size()
	require.NoError(t, cutTo(two.file, int(s.Size())))

	for _, line := range []string{"ask", "look vehicle"} {
		_, err = one.Answer("", line)
		require.NoError(t, err)
	}
	_, err = two.Answer("", "neutral")
	assert.ErrorContains(t, err, "by another program meanwhile")
	_, err = one.Answer("", "neutral")
	require.NoError(t, err)

	data, err := os.ReadFile(path)
	require.NoError(t, err)
	_, lines, _, err := drill.Parse(data)
	require.NoError(t, err)
	assert.Equal(t, []string{"ask", "look vehicle", "neutral"}, lines)
}
