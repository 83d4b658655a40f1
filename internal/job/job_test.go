package job

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/engine"
)

var noon = time.Date(2031, 5, 4, 12, 0, 0, 0, time.FixedZone("", 3600))

// smallLibrary loads the tree of testdata/small.yaml.
func smallLibrary(t require.TestingT) *engine.Library {
	var sources []engine.Source
	for _, name := range []string{"small.yaml", "faults.yaml"} {
		data, err := os.ReadFile(filepath.Join("testdata", name))
		require.NoError(t, err)
		sources = append(sources, engine.Source{Name: name, Data: data})
	}
	lib, faults := engine.Load(sources)
	require.True(t, faults.Empty(), "%v", faults.Sorted())
	return lib
}

func begin(lib *engine.Library) Begin {
	return Begin{Library: lib, Tree: lib.Tree("small"), Meter: Text{Name: "workshop"}, Kit: engine.Kit{Meter: "workshop"}, At: noon}
}

// says are answers that lead through the small tree to the engine strap, with
// a note and a correction on the way.
func says() []engine.Event {
	at := noon
	tick := func(ev engine.Event) engine.Event {
		at = at.Add(time.Minute)
		ev.At = at
		return ev
	}
	volts := func(v float64) *engine.Answer { return &engine.Answer{Value: v, Unit: "V"} }
	return []engine.Event{
		tick(engine.Event{Do: engine.DoAnswer, Step: "look", Reading: "complaint", Answer: &engine.Answer{Typed: "turns slowly", Choice: []string{"turns slowly"}}}),
		tick(engine.Event{Do: engine.DoNote, Text: "stood for a week; <b>&\u2028"}),
		tick(engine.Event{Do: engine.DoSkip, Step: "look", Reading: "odometer"}),
		tick(engine.Event{Do: engine.DoAnswer, Step: "rest", Reading: "rest_voltage", Answer: volts(12.8)}),
		tick(engine.Event{Do: engine.DoUndo, Count: 1}),
		tick(engine.Event{Do: engine.DoAnswer, Step: "rest", Reading: "rest_voltage", Answer: volts(12.7)}),
		tick(engine.Event{Do: engine.DoPause}),
		tick(engine.Event{Do: engine.DoResume, Away: "20m0s"}),
		tick(engine.Event{Do: engine.DoAnswer, Step: "earth", Reading: "case_shape", Answer: &engine.Answer{Choice: []string{"sound"}}}),
		tick(engine.Event{Do: engine.DoAnswer, Step: "earth", Reading: "earth_drop", Answer: volts(2.1)}),
	}
}

// write makes a finished job file and gives its bytes.
func write(t require.TestingT, path string) []byte {
	lib := smallLibrary(t)
	f, err := Create(path, begin(lib))
	require.NoError(t, err)
	w := engine.NewWalk(lib.Tree("small"), engine.FindMeter("workshop"), engine.Kit{Meter: "workshop"})
	for _, ev := range says() {
		out, err := w.Answer(ev)
		require.NoError(t, err)
		require.Nil(t, out.Refused)
		all := w.Events()
		require.NoError(t, f.Append(all[len(all)-1]))
	}
	require.NoError(t, f.Close())
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return data
}

func TestReplayGivesTheSameBytes(t *testing.T) {
	folder := t.TempDir()
	data := write(t, filepath.Join(folder, "a.job"))
	j, err := Read(filepath.Join(folder, "a.job"))
	require.NoError(t, err)
	w, err := j.Replay()
	require.NoError(t, err)
	require.NotNil(t, w.Next().Result)
	assert.Equal(t, "strap", w.Next().Result.Finding.ID)

	f, err := Create(filepath.Join(folder, "b.job"), Begin{
		Library: j.Library, Tree: j.Tree, Meter: j.Header.Meter, Kit: j.Header.Kit, At: j.Header.Begun,
	})
	require.NoError(t, err)
	require.NoError(t, f.Append(w.Events()...))
	require.NoError(t, f.Close())
	again, err := os.ReadFile(filepath.Join(folder, "b.job"))
	require.NoError(t, err)
	assert.Equal(t, string(data), string(again))
}

// Wherever a file is cut off, it opens to the events that were whole, and goes
// on from there.
func TestAnyCutOpensToAPrefix(t *testing.T) {
	folder := t.TempDir()
	data := write(t, filepath.Join(folder, "whole.job"))
	whole, err := Read(filepath.Join(folder, "whole.job"))
	require.NoError(t, err)
	first := bytes.IndexByte(data, '\n')
	path := filepath.Join(folder, "cut.job")
	rapid.Check(t, func(t *rapid.T) {
		cut := rapid.IntRange(first, len(data)).Draw(t, "cut")
		zeros := rapid.SampledFrom([]int{0, 0, 0, 1, 700}).Draw(t, "zeros")
		require.NoError(t, os.WriteFile(path, append(bytes.Clone(data[:cut]), make([]byte, zeros)...), 0o600))
		f, j, err := Open(path)
		require.NoError(t, err)
		defer f.Close()
		if len(j.Events) > 0 {
			require.Equal(t, whole.Events[:len(j.Events)], j.Events)
		}
		require.GreaterOrEqual(t, len(j.Events), bytes.Count(data[:cut], []byte{'\n'})-1)
		if rest := whole.Events[len(j.Events):]; len(rest) > 0 {
			require.NoError(t, f.Append(rest...))
		}
		require.NoError(t, f.Close())
		again, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, string(data), string(again))
	})
}

func TestACutInTheFirstLineIsSaid(t *testing.T) {
	folder := t.TempDir()
	data := write(t, filepath.Join(folder, "whole.job"))
	path := filepath.Join(folder, "cut.job")
	first := bytes.IndexByte(data, '\n')
	rapid.Check(t, func(t *rapid.T) {
		cut := rapid.IntRange(1, first-1).Draw(t, "cut")
		zeros := rapid.SampledFrom([]int{0, 0, 1, 700}).Draw(t, "zeros")
		require.NoError(t, os.WriteFile(path, append(bytes.Clone(data[:cut]), make([]byte, zeros)...), 0o600))
		_, _, err := Open(path)
		require.ErrorIs(t, err, ErrDamaged)
		require.ErrorContains(t, err, "cut off before its first line was written and holds no answers")
	})
}

func TestOpenRefuses(t *testing.T) {
	folder := t.TempDir()
	data := string(write(t, filepath.Join(folder, "whole.job")))
	lines := strings.SplitAfter(data, "\n")
	for _, c := range []struct {
		name, data, says string
		is               error
	}{
		{"nothing", "", `not a job file: its first line does not begin with {"format":"deadflat job"`, ErrNotJob},
		{"another file", "tree: no-start\n", "not a job file", ErrNotJob},
		{"another kind of JSON", `{"format":"other"}` + "\n", "not a job file", ErrNotJob},
		{"a newer version", strings.Replace(data, `"version":1`, `"version":2`, 1), "written by a newer version of this program: it is in format version 2 and this program reads up to 1", ErrNewer},
		{"newer functions", strings.Replace(data, `"functions":1`, `"functions":3`, 1), "its tree calls functions of version 3 and this program has those up to 1", ErrNewer},
		{"no version", strings.Replace(data, `"version":1`, `"version":0`, 1), "there is no format version 0", ErrDamaged},
		{"a key of its own", strings.Replace(data, `"seq":3,`, `"seq":3,"mood":"good",`, 1), `line 4 is damaged: json: unknown field "mood"`, ErrDamaged},
		{"a damaged line in the middle", strings.Replace(data, `{"seq":3,`, `{"seq:3,`, 1), "line 4 is damaged", ErrDamaged},
		{"a damaged last line that ended", data[:len(data)-3] + "\n", "line 11 is damaged", ErrDamaged},
		{"a line twice", strings.Replace(data, lines[3], lines[3]+lines[3], 1), "line 5 is damaged: it holds event 3 where event 4 was expected", ErrDamaged},
		{"a line gone", strings.Replace(data, lines[3], "", 1), "line 4 is damaged: it holds event 4 where event 3 was expected", ErrDamaged},
		{"another tree in it", strings.Replace(data, "is: 12.4 V", "is: 12.1 V", 1), "one of them was changed afterwards", ErrTree},
		{"a tree with faults in it", strings.Replace(data, "begin: look", "begin: lok", 1), "the tree it carries has faults", ErrTree},
		{"no such tree in it", strings.Replace(data, `"tree":"small"`, `"tree":"other"`, 1), `it carries no tree "other"`, ErrTree},
		{"another hash", strings.Replace(data, `"hash":"sha256:`, `"hash":"sha256:0`, 1), "one of them was changed afterwards", ErrTree},
		{"an unknown meter", strings.Replace(data, `{"name":"workshop","text":""}`, `{"name":"golden","text":""}`, 1), `this program has no meter "golden"`, ErrTree},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.NotEqual(t, data, c.data)
			path := filepath.Join(folder, "bad.job")
			require.NoError(t, os.WriteFile(path, []byte(c.data), 0o600))
			_, _, err := Open(path)
			require.ErrorIs(t, err, c.is)
			assert.ErrorContains(t, err, c.says)
			_, err = Read(path)
			require.ErrorIs(t, err, c.is)
			after, err := os.ReadFile(path)
			require.NoError(t, err)
			assert.Equal(t, c.data, string(after), "a file that is refused is left alone")
		})
	}
}

func TestReplayRefusesWhatDoesNotFollow(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.job")
	data := string(write(t, path))
	for change, says := range map[string]string{
		`"reading":"rest_voltage","answer":{"value":12.8`: "line 5",
		`"do":"note"`: "line 3",
	} {
		require.Contains(t, data, change)
		broken := strings.Replace(data, change, strings.NewReplacer("rest_voltage", "no_such", "note", "dance").Replace(change), 1)
		require.NoError(t, os.WriteFile(path, []byte(broken), 0o600))
		j, err := Read(path)
		require.NoError(t, err)
		_, err = j.Replay()
		assert.ErrorContains(t, err, says+" does not follow from the lines before it")
	}
}

func TestOneWriterAtATime(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.job")
	write(t, path)
	first, _, err := Open(path)
	require.NoError(t, err)
	_, _, err = Open(path)
	require.ErrorIs(t, err, ErrBusy)
	_, err = Read(path)
	require.NoError(t, err, "a report may be read while the walk goes on")
	require.NoError(t, first.Close())
	second, _, err := Open(path)
	require.NoError(t, err)
	require.NoError(t, second.Close())
}

func TestCreateKeepsWhatIsThere(t *testing.T) {
	path := filepath.Join(t.TempDir(), "made", "on", "the", "way", "a.job")
	data := write(t, path)
	_, err := Create(path, begin(smallLibrary(t)))
	require.ErrorIs(t, err, fs.ErrExist)
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, data, after)
}

func TestAppendTakesEventsInOrderOnly(t *testing.T) {
	f, err := Create(filepath.Join(t.TempDir(), "a.job"), begin(smallLibrary(t)))
	require.NoError(t, err)
	assert.EqualError(t, f.Append(engine.Event{Seq: 2}), "event 2 cannot follow event 0")
	require.NoError(t, f.Append(engine.Event{Seq: 1}))
	assert.EqualError(t, f.Append(engine.Event{Seq: 1}), "event 1 cannot follow event 1")
	require.NoError(t, f.Close())
}

// A disk that cannot take a line leaves the lines before it whole.
func TestAppendTakesAFailedLineBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.job")
	data := write(t, path)
	f, j, err := Open(path)
	require.NoError(t, err)
	readOnly, err := os.Open(path)
	require.NoError(t, err)
	f.file, readOnly = readOnly, f.file
	assert.Error(t, f.Append(engine.Event{Seq: len(j.Events) + 1}))
	f.file, readOnly = readOnly, f.file
	require.NoError(t, errors.Join(f.Close(), readOnly.Close()))
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(data), string(after))
}
