package batch

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/text"
)

const smallHeader = "vehicle,complaint,rest_voltage,case_shape,charge.done,recheck.rest_voltage,earth_drop\n"

func runStream(t require.TestingT, d *Decider, in string, as Form, workers int) (string, Totals) {
	var out bytes.Buffer
	totals, err := d.Stream(strings.NewReader(in), &out, as, NewRow(d.Tree), workers)
	require.NoError(t, err)
	return out.String(), totals
}

func TestStreamKeepsGoing(t *testing.T) {
	d := smallDecider(t)
	in := "\uFEFF" + smallHeader +
		"van,turns slowly,12.7,sound,,,2.1\r\n" +
		"\n" +
		"short,row\n" +
		`"open,turns slowly,12.7,sound,,,2.1` + "\n" +
		strings.Repeat("x", 2*maxLine) + "\n" +
		"bad,silence,full,sound,,,\n" +
		"more,silence,12.0,sound,,,\n" +
		"last,turns normally,,,,,"
	out, totals := runStream(t, d, in, AsText, 2)
	assert.Equal(t, `line 2 (van): High resistance in the engine earth strap (firm)
line 4 (short): error: it has 2 fields where the header has 7
line 5: error: field 1: its quote is not closed on the same line
line 6: error: the row is longer than 64 kB
line 7 (bad): error: "rest_voltage" is "full": "full" is not a number: type one such as 12.55
line 8 (more): needs charge.done at step charge; findings still possible: 5
line 9 (last): Cranks well but does not fire (firm)
`, out)
	assert.Equal(t, Totals{Found: 2, More: 1, Bad: 4}, totals)
}

func TestStreamOfJSONLines(t *testing.T) {
	d := smallDecider(t)
	in := "\n" + `{"vehicle":"a","complaint":"turns normally"}` + "\n{broken\n" + `{"vehicle":"b","complaint":"silence"}` + "\n"
	out, totals := runStream(t, d, in, AsJSON, 2)
	assert.Equal(t, Totals{Found: 1, More: 1, Bad: 1}, totals)
	lines := strings.Split(strings.TrimSpace(out), "\n")
	require.Len(t, lines, 3)
	for i, want := range []string{"finding", "error", "more"} {
		var got struct {
			Line  int
			State string
		}
		require.NoError(t, json.Unmarshal([]byte(lines[i]), &got))
		assert.Equal(t, want, got.State)
		assert.Equal(t, i+2, got.Line)
	}
}

// brokenReader fails on some lines as a mistake in the program would.
type brokenReader struct{ rowReader }

func (b brokenReader) read(line []byte, r *Row) error {
	if bytes.Contains(line, []byte("broken")) {
		var none *Row
		none.label = 1
	}
	return b.rowReader.read(line, r)
}

// A mistake in the program costs the row on which it shows, and no other.
func TestAPanicCostsOneRow(t *testing.T) {
	d := smallDecider(t)
	row := NewRow(d.Tree)
	reader, err := newCSV(row, []byte("vehicle,complaint"))
	require.NoError(t, err)
	for _, as := range []Form{AsText, AsJSON, AsCSV} {
		s := &stream{decider: d, reader: brokenReader{reader}, as: as, csv: newCSVWriter(d.Tree, false)}
		b := &block{first: 2, lines: []byte("van,turns normally\nbroken,turns normally\nbus,turns normally\n")}
		s.block(b, d.newWorker(row.copy(), as == AsJSON))
		assert.Equal(t, Totals{Found: 2, Bad: 1}, b.totals)
		lines := strings.Split(string(b.out), "\n")
		require.Len(t, lines, 4, as)
		assert.Contains(t, lines[1], "the program failed on this row")
		assert.Contains(t, lines[1], "nil pointer")
		assert.Contains(t, lines[2], "bus")
	}
}

// What --set gives is given for every row and wins over it.
func TestStreamWithFixedReadings(t *testing.T) {
	d := smallDecider(t)
	var out bytes.Buffer
	_, err := d.Stream(strings.NewReader("complaint\nsilence\n\n\"\"\n"), &out, AsText, rowOf(t, d, "complaint=turns normally"), 3)
	require.NoError(t, err)
	assert.Equal(t, "line 2: Cranks well but does not fire (firm)\nline 4: Cranks well but does not fire (firm)\n", out.String())
}

// Any number of workers, and any way the input arrives, gives the same bytes.
func TestStreamIsTheSameForAnyNumberOfWorkers(t *testing.T) {
	d := smallDecider(t)
	field := rapid.SampledFrom([]string{"", "silence", "turns slowly", "turns normally", "12.0", "12.39", "12.7", "sound", "swollen", "yes", "2.1", "0.5", `"a,b"`, `"`, "x"})
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) string {
			return strings.Join(rapid.SliceOfN(field, 6, 8).Draw(t, "fields"), ",")
		}), 0, 60).Draw(t, "rows")
		in := smallHeader + strings.Join(rows, "\n")
		as := rapid.SampledFrom([]Form{AsText, AsJSON, AsCSV}).Draw(t, "as")
		one, totals := runStream(t, d, in, as, 1)
		var many bytes.Buffer
		again, err := d.Stream(iotest.HalfReader(strings.NewReader(in)), &many, as, NewRow(d.Tree), rapid.IntRange(2, 9).Draw(t, "workers"))
		require.NoError(t, err)
		require.Equal(t, one, many.String())
		require.Equal(t, totals, again)
		written := strings.Count(one, "\n")
		if as == AsCSV {
			written--
		}
		require.Equal(t, len(rows)-blank(rows), written, "one result a row")
	})
}

func blank(rows []string) int {
	n := 0
	for _, r := range rows {
		if strings.TrimSpace(r) == "" {
			n++
		}
	}
	return n
}

func TestStreamRefusesAHeader(t *testing.T) {
	d := smallDecider(t)
	for in, says := range map[string]string{
		"":                             "there is nothing in it",
		"\n \n":                        "there is nothing in it",
		"vehicle,volts\n":              `column 2: "volts" is not a reading of tree "small"`,
		"[{}]\n":                       "it begins with a JSON list",
		"\xff\xfev\x00":                "the text is not UTF-8",
		strings.Repeat("x", 2*maxLine): "its first line is longer than 64 kB",
	} {
		var out bytes.Buffer
		_, err := d.Stream(strings.NewReader(in), &out, AsCSV, NewRow(d.Tree), 2)
		var header *HeaderError
		require.ErrorAs(t, err, &header)
		assert.ErrorContains(t, err, says)
		assert.Empty(t, out.String())
	}
}

func TestStreamPassesErrorsOn(t *testing.T) {
	d := smallDecider(t)
	broken := errors.New("broken")
	in := io.MultiReader(strings.NewReader("complaint\nturns normally\n"), iotest.ErrReader(broken))
	var out bytes.Buffer
	_, err := d.Stream(in, &out, AsText, NewRow(d.Tree), 2)
	require.ErrorIs(t, err, broken)
	assert.Equal(t, "line 2: Cranks well but does not fire (firm)\n", out.String(), "what came before is written")
}

func TestStreamEndsWhenNobodyReads(t *testing.T) {
	d := smallDecider(t)
	broken := errors.New("gone away")
	_, err := d.Stream(&endless{rows: -1}, failing{broken}, AsText, NewRow(d.Tree), 3)
	require.ErrorIs(t, err, broken)
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

// endless is a table of the given number of rows after its header, or of rows
// without end when that is negative.
type endless struct {
	rows int
	rest string
	done bool
}

func (e *endless) Read(p []byte) (int, error) {
	if e.rest == "" {
		if !e.done {
			e.done, e.rest = true, smallHeader
		} else if e.rows == 0 {
			return 0, io.EOF
		} else {
			e.rows--
			e.rest = "van,turns slowly,12.7,sound,,,2.1\n"
		}
	}
	n := copy(p, e.rest)
	e.rest = e.rest[n:]
	return n, nil
}

// Memory in use does not grow with the number of rows.
func TestStreamUsesConstantMemory(t *testing.T) {
	d := smallDecider(t)
	most := func(rows int) uint64 {
		peak := &peakWriter{}
		_, err := d.Stream(&endless{rows: rows}, peak, AsCSV, NewRow(d.Tree), 2)
		require.NoError(t, err)
		return peak.most
	}
	few := most(2_000)
	many := most(40_000)
	assert.Less(t, many, 2*few+8<<20, "twenty times the rows")
}

// peakWriter looks at the memory in use every now and then.
type peakWriter struct {
	writes int
	most   uint64
}

func (p *peakWriter) Write(b []byte) (int, error) {
	if p.writes++; p.writes%500 == 1 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		p.most = max(p.most, m.HeapAlloc)
	}
	return len(b), nil
}

// CSV results read back as CSV, whatever a row says.
func TestCSVResultsReadBack(t *testing.T) {
	d := smallDecider(t)
	d.RawCells = true
	rapid.Check(t, func(t *rapid.T) {
		vehicle := rapid.String().Draw(t, "vehicle")
		line, err := json.Marshal(map[string]string{"vehicle": vehicle, "complaint": "turns normally"})
		require.NoError(t, err)
		out, _ := runStream(t, d, string(line), AsCSV, 1)
		records, err := csv.NewReader(strings.NewReader(out)).ReadAll()
		require.NoError(t, err)
		require.Len(t, records, 2)
		require.Equal(t, "1", records[1][0])
		require.Equal(t, text.Clean(strings.TrimSpace(vehicle)), records[1][1])
		require.Equal(t, "no_fire", records[1][3])
	})
}

// FuzzStream gives Stream any bytes: it must not panic, and must give one
// result for each line that is not blank, in order.
func FuzzStream(f *testing.F) {
	d := smallDecider(f)
	f.Add([]byte(smallHeader + "van,turns slowly,12.7,sound,,,2.1\n"))
	f.Add([]byte("rest_voltage;complaint\n12,7;silence\n\"12,7\";x\n"))
	f.Add([]byte(`{"rest_voltage":{"value":12.6},"complaint":"silence"}` + "\n{}\n"))
	f.Fuzz(func(t *testing.T, in []byte) {
		var out bytes.Buffer
		totals, err := d.Stream(bytes.NewReader(in), &out, AsJSON, NewRow(d.Tree), 2)
		var header *HeaderError
		if errors.As(err, &header) {
			return
		}
		require.NoError(t, err)
		last := 0
		results := strings.Split(out.String(), "\n")
		require.Equal(t, totals.Found+totals.More+totals.Bad, len(results)-1)
		for _, r := range results[:len(results)-1] {
			var got struct{ Line int }
			require.NoError(t, json.Unmarshal([]byte(r), &got), fmt.Sprintf("%q", r))
			require.Greater(t, got.Line, last)
			last = got.Line
		}
	})
}
