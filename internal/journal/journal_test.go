package journal

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// tape is a kind for tests. Its first version has no checksums.
var tape = &Kind{Noun: "tape", Version: 2, Oldest: 1, Sums: 2}

type header struct {
	Format  string `json:"format"`
	Version int    `json:"version"`
	Name    string `json:"name"`
}

type said struct {
	At  string `json:"at,omitempty"`
	Say string `json:"say"`
}

// words are what the lines of a tape hold.
var words = []string{"one", "two \u2028 <b>&", "3 + 4", "ünf", "six \"seven\""}

// record makes a file and gives its bytes.
func record(t require.TestingT, path string) []byte {
	f, err := tape.Create(path, header{tape.Format(), tape.Version, "a tape"})
	require.NoError(t, err)
	for _, w := range words {
		require.NoError(t, f.Append(said{Say: w}))
	}
	require.NoError(t, f.Close())
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return data
}

// play gives what the lines of a tape hold.
func play(t require.TestingT, l *Lines) []string {
	var h header
	require.NoError(t, l.Decode(1, &h))
	out := []string{}
	for n := 2; n <= l.Len(); n++ {
		var s said
		require.NoError(t, l.Decode(n, &s))
		out = append(out, s.Say)
	}
	return out
}

func fits(*Lines) error { return nil }

func TestWhatIsWrittenIsRead(t *testing.T) {
	path := filepath.Join(t.TempDir(), "made", "on", "the", "way", "a.tape")
	record(t, path)
	l, err := tape.Read(path)
	require.NoError(t, err)
	require.True(t, l.Summed)
	require.Equal(t, words, play(t, l))
	require.True(t, tape.Is(path))
	require.False(t, (&Kind{Noun: "book"}).Is(path))
}

// Wherever a file is cut off, it opens to the lines that were whole, and goes on from
// there to the same bytes.
func TestAnyCutOpensToAPrefix(t *testing.T) {
	folder := t.TempDir()
	data := record(t, filepath.Join(folder, "whole.tape"))
	first := bytes.IndexByte(data, '\n')
	path := filepath.Join(folder, "cut.tape")
	rapid.Check(t, func(t *rapid.T) {
		cut := rapid.IntRange(first, len(data)).Draw(t, "cut")
		zeros := rapid.SampledFrom([]int{0, 0, 0, 1, 700}).Draw(t, "zeros")
		require.NoError(t, os.WriteFile(path, append(bytes.Clone(data[:cut]), make([]byte, zeros)...), 0o600))
		var played []string
		f, err := tape.Open(path, func(l *Lines) error { played = play(t, l); return nil })
		require.NoError(t, err)
		defer f.Close()
		require.Equal(t, words[:len(played)], played)
		require.GreaterOrEqual(t, len(played), bytes.Count(data[:cut], []byte{'\n'})-1)
		for _, w := range words[len(played):] {
			require.NoError(t, f.Append(said{Say: w}))
		}
		require.NoError(t, f.Close())
		again, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, string(data), string(again))
	})
}

func TestACutInTheFirstLineIsSaid(t *testing.T) {
	folder := t.TempDir()
	data := record(t, filepath.Join(folder, "whole.tape"))
	path := filepath.Join(folder, "cut.tape")
	for cut := range bytes.IndexByte(data, '\n') {
		for _, zeros := range []int{0, 1, 700} {
			require.NoError(t, os.WriteFile(path, append(bytes.Clone(data[:cut]), make([]byte, zeros)...), 0o600))
			_, err := tape.Open(path, fits)
			require.ErrorIs(t, err, ErrDamaged)
			require.ErrorContains(t, err, "cut off before its first line was written and holds no answers: delete it and begin a new tape")
		}
	}
}

// Lines that are doubled, moved or lost from the middle do not fit together, whatever
// they hold.
func TestAnyOtherOrderOfLinesIsNoticed(t *testing.T) {
	data := record(t, filepath.Join(t.TempDir(), "a.tape"))
	lines := strings.SplitAfter(strings.TrimSuffix(string(data), "\n"), "\n")
	lines[len(lines)-1] += "\n"
	rapid.Check(t, func(t *rapid.T) {
		order := rapid.SliceOfN(rapid.IntRange(1, len(lines)-1), 1, 8).Draw(t, "order")
		text := lines[0]
		follows := true
		for i, n := range order {
			text += lines[n]
			follows = follows && n == i+1
		}
		_, err := tape.Parse([]byte(text))
		if follows {
			require.NoError(t, err)
		} else {
			require.ErrorIs(t, err, ErrDamaged)
			require.ErrorContains(t, err, "lost, doubled or moved")
		}
	})
}

func TestATooLargeFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.tape")
	record(t, path)
	require.NoError(t, os.Truncate(path, maxFile+1))
	_, err := tape.Read(path)
	require.ErrorContains(t, err, "it has 64000001 bytes, and 64000000 are the most that one has")
}

// FuzzParse gives any bytes to the reader of files: it must refuse them, or find
// lines that are all of the file that is whole, and that read alike without the rest.
func FuzzParse(f *testing.F) {
	data := record(f, filepath.Join(f.TempDir(), "seed.tape"))
	f.Add(data)
	f.Add(data[:len(data)-1])
	f.Add(data[:len(data)-9])
	f.Add(append(bytes.Clone(data), 0, 0, 0))
	f.Add([]byte(`{"format":"deadflat tape","version":1,"name":""}` + "\n" + `{"say":"x"}` + "\n" + `{"sa`))
	f.Add([]byte(`{"format":"deadflat tape","version":99999999999999999999}`))
	f.Add([]byte(`{"format":"deadflat tape","ver`))
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := tape.Parse(data)
		if err != nil {
			require.Nil(t, l)
			return
		}
		require.Equal(t, int64(len(data)), l.whole+l.Torn)
		require.Positive(t, l.Len())
		again, err := tape.Parse(data[:l.whole])
		require.NoError(t, err)
		require.Equal(t, l.lines, again.lines)
		require.Zero(t, again.Torn)
	})
}
