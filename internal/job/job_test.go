package job

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/calc"
	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/journal"
	"deadflat/internal/source"
	"deadflat/internal/unit"
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
	return Begin{Library: lib, Tree: lib.Tree("small"), Meter: engine.FindMeter("workshop"), Kit: engine.Kit{Meter: "workshop"}, At: noon}
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

// create begins a job in a new file.
func create(t require.TestingT, path string, b Begin) File {
	f, err := Kind.Create(path, b.Lines(nil)...)
	require.NoError(t, err)
	return File{f}
}

// write makes a finished job file and gives its bytes.
func write(t require.TestingT, path string) []byte {
	lib := smallLibrary(t)
	f := create(t, path, begin(lib))
	w := engine.NewWalk(lib.Tree("small"), engine.FindMeter("workshop"), engine.Kit{Meter: "workshop"})
	for _, ev := range says() {
		out, err := w.Answer(ev)
		require.NoError(t, err)
		require.Nil(t, out.Refused)
		all := w.Events()
		require.NoError(t, f.Append(w.Next(), all[len(all)-1]))
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

	f := create(t, filepath.Join(folder, "b.job"), Begin{
		Library: j.Library, Tree: j.Tree, Meter: j.Meter, Kit: j.Header.Kit, At: j.Header.Begun,
	})
	anew := engine.NewWalk(j.Tree, j.Meter, j.Header.Kit)
	for _, ev := range w.Events() {
		_, err := anew.Answer(ev)
		require.NoError(t, err)
		require.NoError(t, f.Append(anew.Next(), ev))
	}
	require.NoError(t, f.Close())
	again, err := os.ReadFile(filepath.Join(folder, "b.job"))
	require.NoError(t, err)
	assert.Equal(t, string(data), string(again))
}

// Whichever bit of a job is turned over, the job is refused, with the line.
func TestEveryTurnedBitIsNoticed(t *testing.T) {
	data := write(t, filepath.Join(t.TempDir(), "a.job"))
	for at := range data {
		for bit := range 8 {
			data[at] ^= 1 << bit
			_, err := Kind.Parse(data)
			data[at] ^= 1 << bit
			require.Error(t, err, "bit %d of byte %d", bit, at)
			require.Regexp(t, `line \d+ is damaged|first line|format version`, err.Error())
		}
	}
}

// sealed gives the lines of a file the checksums that package journal's comment
// says they have, as somebody does who changes a file on purpose.
func sealed(data string) string {
	before, out := "", ""
	for line := range strings.Lines(data) {
		body, _, _ := strings.Cut(strings.TrimSuffix(line, "}\n"), `,"sum":"`)
		sum := sha256.Sum256([]byte(before + body))
		before = hex.EncodeToString(sum[:])[:16]
		out += body + `,"sum":"` + before + `"}` + "\n"
	}
	return out
}

func TestOpenRefuses(t *testing.T) {
	folder := t.TempDir()
	data := string(write(t, filepath.Join(folder, "whole.job")))
	require.Equal(t, data, sealed(data))
	lines := strings.SplitAfter(data, "\n")
	change := func(old, anew string) string { return strings.Replace(data, old, anew, 1) }
	var none error
	for _, c := range []struct {
		name, data, says string
		is               error
	}{
		{"nothing", "", "it was cut off before its first line was written and holds no answers", journal.ErrDamaged},
		{"another file", "tree: no-start\n", "not a job file", none},
		{"another kind of JSON", `{"format":"other"}` + "\n", `not a job file: its first line does not begin with {"format":"deadflat job"`, none},
		{"a newer version", change(`"version":2`, `"version":7`), "written by a newer version of this program: it is in format version 7 and this program reads up to 2", journal.ErrNewer},
		{"newer functions", sealed(change(`"functions":1`, `"functions":3`)), "its tree calls functions of version 3 and this program has those up to 1", journal.ErrNewer},
		{"no version", change(`"version":2`, `"version":0`), `line 1 is damaged: there is no format version "0", it is 1 to 2`, journal.ErrDamaged},
		{"a key of its own", sealed(change(`"seq":3,`, `"seq":3,"mood":"good",`)), `line 4 is damaged: json: unknown field "mood"`, journal.ErrDamaged},
		{"a damaged line in the middle", sealed(change(`{"seq":3,`, `{"seq:3,`)), "line 4 is damaged", journal.ErrDamaged},
		{"a changed line", change("12.7", "12.1"), "line 7 is damaged: its checksum is", journal.ErrDamaged},
		{"a damaged last line that ended", data[:len(data)-3] + "\n", "line 11 is damaged: there is no checksum at its end", journal.ErrDamaged},
		{"a line twice", change(lines[3], lines[3]+lines[3]), "line 5 is damaged: its checksum is", journal.ErrDamaged},
		{"a line gone", change(lines[3], ""), "line 4 is damaged: its checksum is", journal.ErrDamaged},
		{"two lines in the wrong order", change(lines[3]+lines[4], lines[4]+lines[3]), "line 4 is damaged: its checksum is", journal.ErrDamaged},
		{"a line gone on purpose", sealed(change(lines[3], "")), "line 4 is damaged: it holds event 4 where event 3 was expected", journal.ErrDamaged},
		{"another text in it", sealed(change("is: 12.4 V", "is: 12.1 V")), `the text of "small.yaml" has the hash`, ErrTree},
		{"no such tree in it", sealed(change(`"tree":"small"`, `"tree":"other"`)), `it carries no tree "other"`, ErrTree},
		{"another hash", sealed(change(`"edition":3,"hash":"sha256:`, `"edition":3,"hash":"sha256:0`)), "one of them was changed afterwards", ErrTree},
		{"another meter in it", sealed(change("digits: 15", "digits: 25")), `the text of "workshop" has the hash`, ErrTree},
		{"an unknown meter", sealed(named(t, data, "golden")), `this program has no meter "golden"`, ErrTree},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.NotEqual(t, data, c.data)
			path := filepath.Join(folder, "bad.job")
			require.NoError(t, os.WriteFile(path, []byte(c.data), 0o600))
			_, _, err := Open(path)
			require.ErrorContains(t, err, c.says)
			_, again := Read(path)
			assert.EqualError(t, again, err.Error())
			if c.is != none {
				assert.ErrorIs(t, err, c.is)
			}
			after, err := os.ReadFile(path)
			require.NoError(t, err)
			assert.Equal(t, c.data, string(after), "a file that is refused is left alone")
		})
	}
}

// named is a job that only names its meter, as early ones do.
func named(t require.TestingT, data, meter string) string {
	before, after, found := strings.Cut(data, `"meter":{"name":"workshop","text":"`)
	require.True(t, found)
	_, after, found = strings.Cut(after, `"},"sources"`)
	require.True(t, found)
	return before + `"meter":{"name":"` + meter + `","text":""},"sources"` + after
}

// A job carries its meter: it is replayed with that one, whatever ships later and whatever
// is said of its figures today. One that only names it is replayed with the one that ships.
func TestTheMeterOfAJob(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.job")
	lib := smallLibrary(t)
	faults := &source.Faults{}
	text := strings.Replace(engine.FindMeter("workshop").Text, "up_to: 6 V, resolution: 0.001 V, percent: 0.3, digits: 2", "up_to: 6 A, resolution: 0.001 V, percent: 0.3, digits: 7", 1)
	old := engine.ReadMeter("workshop", []byte(text), faults)
	require.Equal(t, 1, faults.Len())
	b := begin(lib)
	b.Meter = old
	require.NoError(t, create(t, path, b).Close())
	j, err := Read(path)
	require.NoError(t, err)
	assert.Equal(t, old.Ranges("volts_dc"), j.Meter.Ranges("volts_dc"))

	require.NoError(t, os.WriteFile(path, []byte(sealed(named(t, string(write(t, filepath.Join(t.TempDir(), "b.job"))), "basic"))), 0o600))
	j, err = Read(path)
	require.NoError(t, err)
	assert.Equal(t, engine.FindMeter("basic"), j.Meter)
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
		assert.ErrorContains(t, replayed(t, path, sealed(broken)), says+" does not follow from the lines before it")
	}
}

// replayed gives what Replay makes of a file.
func replayed(t *testing.T, path, data string) error {
	require.NoError(t, os.WriteFile(path, []byte(data), 0o600))
	j, err := Read(path)
	require.NoError(t, err)
	_, err = j.Replay()
	return err
}

// A job that a program wrote before there were checksums opens, goes on as it was
// begun, and what was typed still vouches for what was kept.
func TestAJobOfVersion1(t *testing.T) {
	data, err := os.ReadFile("testdata/version-1.job")
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "old.job")
	require.NoError(t, os.WriteFile(path, data, 0o600))
	f, j, err := Open(path)
	require.NoError(t, err)
	assert.False(t, j.Summed)
	w, err := j.Replay()
	require.NoError(t, err)
	assert.Equal(t, "finding: High resistance in the engine earth strap", State(w.Next()))
	require.NoError(t, f.Append(w.Next(), engine.Event{Seq: 6, At: noon, Do: engine.DoNote, Text: "later"}))
	require.NoError(t, f.Close())
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(data)+`{"seq":6,"at":"2031-05-04T12:00:00+01:00","do":"note","text":"later"}`+"\n", string(after))

	for old, anew := range map[string]string{
		`"typed":"12.7 V"`:                 `"typed":"12.9 V"`,
		`"value":12.7`:                     `"value":12.6`,
		`"unit":"V"}}` + "\n" + `{"seq":4`: `"unit":"mV"}}` + "\n" + `{"seq":4`,
		`"choice":["sound"]`:               `"choice":["swollen"]`,
		`"value":2.1`:                      `"value":0.1`,
		`"typed":"2.1"`:                    `"typed":"2.1 cats"`,
	} {
		require.Contains(t, string(data), old)
		err := replayed(t, path, strings.Replace(string(data), old, anew, 1))
		assert.ErrorContains(t, err, "was typed, which", "%s for %s", anew, old)
		assert.ErrorContains(t, err, "line ")
	}
}

// What the wizard keeps as typed reads as what it kept, in every form of a line.
func TestWhatIsTypedReadsAsWhatIsKept(t *testing.T) {
	tree := smallLibrary(t).Tree("small")
	w := engine.NewWalk(tree, engine.FindMeter("workshop"), engine.Kit{})
	fields := w.Next().Fields
	for _, r := range tree.Readings {
		fields = append(fields, engine.Field{Reading: r})
	}
	for _, line := range []string{
		"2", "turns n", "silence; rest 12.6", "rest 12,55 V odo 120000", "rest twelve point five five",
		"rest 12.4 ± 0.05 earth 1.2 highest", "rest 400 mV", "rest unsteady", "earth OL case sound",
		"rest=12.7 ; odo=5", "rest 12.5 +- 0.1 V lowest", "case swollen",
	} {
		typed, refused := tree.ParseLine(fields, line, w.Next().Meter)
		require.Nil(t, refused, "%s: %v", line, refused)
		for _, x := range typed {
			assert.NoError(t, heldAgainstTyped(w.Next(), engine.Event{Reading: x.Reading.ID, Answer: &x.Answer}), "%s", line)
		}
	}
}

// A panic while a job is read is an error of that job.
func TestAPanicInOneJob(t *testing.T) {
	breaks := &eval.Func{Name: "breaks", Unit: unitOf(t, "V"), Work: func(calc.Args) (calc.Result, error) { panic("as a test wants it") }}
	lib, faults := engine.Load([]engine.Source{{Name: "breaks.yaml", Data: []byte(`tree: breaks
title: Breaks
edition: 1
begin: read
readings:
  volts: {ask: Volts, short: rest, unit: V, span: [0, 20]}
values:
  low: {is: breaks(), unit: V}
steps:
  read:
    kind: measure
    title: Read
    take: [volts]
    branches: [{if: volts < low, to: found}, {otherwise: found}]
findings:
  found: {title: Found, action: none}
`)}}, breaks)
	require.True(t, faults.Empty(), "%v", faults.Sorted())
	folder := t.TempDir()
	f := create(t, filepath.Join(folder, "breaks.job"), Begin{Library: lib, Tree: lib.Tree("breaks"), Meter: engine.FindMeter("workshop"), At: noon})
	require.NoError(t, f.Append(nil, engine.Event{Seq: 1, At: noon, Do: engine.DoAnswer, Step: "read", Reading: "volts", Answer: &engine.Answer{Value: 12, Unit: "V"}}))
	require.NoError(t, f.Close())
	write(t, filepath.Join(folder, "sound.job"))

	j, err := Read(filepath.Join(folder, "breaks.job"), breaks)
	require.NoError(t, err)
	_, err = j.Replay()
	assert.ErrorContains(t, err, "line 2 does not follow from the lines before it: it breaks this program")
	entries, err := List(folder, breaks)
	require.NoError(t, err)
	require.Len(t, entries, 2)
	assert.Equal(t, "finding: High resistance in the engine earth strap", entries[0].State)
	assert.Contains(t, entries[1].State, "cannot be read: line 2 does not follow")
}

func unitOf(t *testing.T, name string) *unit.Unit {
	u, ok := unit.Lookup(name)
	require.True(t, ok)
	return u
}

func TestAppendTakesEventsInOrderOnly(t *testing.T) {
	f := create(t, filepath.Join(t.TempDir(), "a.job"), begin(smallLibrary(t)))
	assert.EqualError(t, f.Append(nil, engine.Event{Seq: 2}), "event 2 cannot follow event 0")
	require.NoError(t, f.Append(nil, engine.Event{Seq: 1}, engine.Event{Seq: 2}))
	assert.EqualError(t, f.Append(nil, engine.Event{Seq: 1}), "event 1 cannot follow event 2")
	require.NoError(t, f.Close())
}
