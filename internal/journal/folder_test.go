package journal

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var noon = time.Date(2031, 5, 4, 12, 0, 0, 0, time.FixedZone("", 3600))

// at makes a file whose last line is of a time.
func at(t *testing.T, path string, when time.Time) {
	f, err := tape.Create(path, header{tape.Format(), tape.Version, ""}, said{At: when.Format(time.RFC3339), Say: "x"})
	require.NoError(t, err)
	require.NoError(t, f.Close())
}

func TestFind(t *testing.T) {
	folder := t.TempDir()
	for i, name := range []string{"2031-05-04-0930-no-start.tape", "2031-05-04-1015-no-start.tape", "2031-06-01-0800-recharge.tape"} {
		path := filepath.Join(folder, name)
		at(t, path, noon.Add(time.Duration(i%2)*time.Hour))
		// Copying and unpacking change a file's time; the lines stay as they are.
		require.NoError(t, os.Chtimes(path, noon, noon.Add(-time.Duration(i%2)*time.Hour)))
	}
	require.NoError(t, os.WriteFile(filepath.Join(folder, "empty.tape"), nil, 0o600))
	in := func(name string) string { return filepath.Join(folder, name) }
	for _, c := range []struct{ typed, want, says string }{
		{"2031-06", in("2031-06-01-0800-recharge.tape"), ""},
		{"2031-06-01-0800-recharge", in("2031-06-01-0800-recharge.tape"), ""},
		{"2031-06-01-0800-recharge.tape", in("2031-06-01-0800-recharge.tape"), ""},
		{"last", in("2031-05-04-1015-no-start.tape"), ""},
		{"./elsewhere.tape", "./elsewhere.tape", ""},
		{"2031-05", "", `"2031-05" is the beginning of 2 tapes (["2031-05-04-0930-no-start" "2031-05-04-1015-no-start"]): type more of the name`},
		{"van", "", `there is no tape "van"`},
	} {
		got, err := tape.Find(folder, c.typed)
		assert.Equal(t, c.want, got)
		if c.says != "" {
			assert.ErrorContains(t, err, c.says)
		} else {
			assert.NoError(t, err)
		}
	}
	_, err := tape.Find(filepath.Join(folder, "none"), "last")
	assert.ErrorContains(t, err, "there is no tape in")
}

func TestFolder(t *testing.T) {
	t.Setenv("HOME", "/home/somebody")
	t.Setenv("XDG_STATE_HOME", "/state")
	got, err := tape.Folder()
	require.NoError(t, err)
	assert.Equal(t, "/state/deadflat/tapes", got)
	assert.Equal(t, "a", tape.Short("/state/deadflat/tapes/a.tape"))
	assert.Equal(t, "./a.tape", tape.Short("./a.tape"))
	t.Setenv("XDG_STATE_HOME", "not/absolute")
	got, err = tape.Folder()
	require.NoError(t, err)
	assert.Equal(t, "/home/somebody/.local/state/deadflat/tapes", got)
}

// The two ends tell what the whole file tells, or say that they do not.
func TestEnds(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.tape")
	for _, long := range []int{1, endLen - 300, endLen, 20 * endLen} {
		f, err := tape.CreateNext(path, header{tape.Format(), tape.Version, strings.Repeat("n", long)})
		require.NoError(t, err)
		_, _, ok := tape.Ends(f.Path)
		require.False(t, ok, "there is no line after the header")
		require.NoError(t, f.Append(said{Say: strings.Repeat("x", long)}, said{Say: strings.Repeat("y", long)}))
		head, last, ok := tape.Ends(f.Path)
		require.True(t, ok)
		data, err := os.ReadFile(f.Path)
		require.NoError(t, err)
		assert.Equal(t, string(data[:len(head)]), string(head))
		assert.Equal(t, `{"say":"`+strings.Repeat("y", long)+`"}`, string(last))
		require.NoError(t, f.Close())

		for _, n := range []int{len(data) - 10, len(data) - 29} { // in the last line's checksum, and in what it says
			turned := append([]byte{}, data...)
			turned[n] ^= 1
			require.NoError(t, os.WriteFile(f.Path, turned, 0o600))
			_, _, ok = tape.Ends(f.Path)
			require.False(t, ok)
		}
	}
}
