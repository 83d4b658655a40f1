package tests

import (
	"bytes"
	"encoding/csv"
	"io"
	"os"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"deadflat/internal/batch"
	"deadflat/internal/engine"
	"deadflat/trees"
)

// The benchmarks print ratios measured in one run; no test fails on a clock.
//
//	go test ./tests -run '^$' -bench . -benchtime 1s

// shipped gives the shipped trees as sources.
func shipped() []engine.Source {
	var out []engine.Source
	for name, text := range trees.All() {
		if !strings.HasSuffix(name, ".cases.yaml") {
			out = append(out, engine.Source{Name: name, Data: text})
		}
	}
	return out
}

// BenchmarkLoadingTheShippedTrees: aim under 30 ms for all.
func BenchmarkLoadingTheShippedTrees(b *testing.B) {
	src := shipped()
	for b.Loop() {
		engine.Load(src)
	}
}

// perCall times f, called with 0, 1, 2 ... round and round, and gives the best
// nanoseconds a call of several rounds: the machine is shared.
func perCall(round int, f func(i int)) float64 {
	best := 0.0
	for n, tries := 1, 0; tries < 7; {
		start := time.Now()
		for i := 0; i < n; i++ {
			f(i % round)
		}
		took := time.Since(start)
		if took < 50*time.Millisecond {
			n *= 2
			continue
		}
		tries++
		if ns := float64(took.Nanoseconds()) / float64(n); best == 0 || ns < best {
			best = ns
		}
	}
	return best
}

// BenchmarkWalks: a whole walk with its trace against the same decisions by hand
// (aim at most 6 times) and against expr's machine over a map (aim at least 5
// times faster). All three are fed values that are in memory already.
func BenchmarkWalks(b *testing.B) {
	rows := fleet(600)
	vehicles := make([]vehicleRow, len(rows))
	for i, r := range rows {
		if err := scan(r, &vehicles[i]); err != nil {
			b.Fatal(err)
		}
	}
	for b.Loop() {
		hand := perCall(len(rows), func(i int) { byHand(&vehicles[i]) })
		run := bound(b, rows)
		ours := perCall(len(rows), run)
		x := newExprWalk(b, mustTree(b))
		x.constants()
		machine := perCall(len(rows), func(i int) { x.put(&vehicles[i], rows[i]); x.run(b) })
		b.ReportMetric(ours, "ns/walk")
		b.ReportMetric(ours/hand, "x-hand")
		b.ReportMetric(machine/ours, "x-faster-than-expr")
	}
}

func mustTree(tb testing.TB) *engine.Tree {
	lib, _ := engine.Load(shipped())
	return lib.Tree("no-start")
}

// bound puts each row's values into a runner's own form beforehand.
func bound(tb testing.TB, rows [][]string) func(i int) {
	tree := mustTree(tb)
	run := tree.NewRunner(engine.FindMeter("workshop"))
	type value struct {
		column engine.Column
		number float64
		choice int
	}
	all := make([][]value, len(rows))
	for i, row := range rows {
		for j, name := range fleetColumns {
			if row[j] == "" {
				continue
			}
			c, err := tree.Column(name)
			if err != nil {
				tb.Fatal(err)
			}
			a, ref := c.Reading.Parse(row[j], nil)
			if ref != nil {
				tb.Fatal(ref.Reason)
			}
			v := value{column: c, number: a.Value, choice: -1}
			for k, w := range c.Reading.Choices {
				if len(a.Choice) > 0 && w == a.Choice[0] {
					v.choice = k
				}
			}
			all[i] = append(all[i], v)
		}
	}
	return func(i int) {
		run.Reset()
		for k := range all[i] {
			if v := &all[i][k]; v.choice >= 0 {
				run.PutChoice(v.column, v.choice)
			} else {
				run.PutNumber(v.column, v.number)
			}
		}
		run.Run()
	}
}

// TestExprsMachineDecidesTheFleetAlike keeps the comparison one of equals.
func TestExprsMachineDecidesTheFleetAlike(t *testing.T) {
	x := newExprWalk(t, mustTree(t))
	x.constants()
	for _, row := range fleet(300) {
		var v vehicleRow
		require.NoError(t, scan(row, &v))
		x.put(&v, row)
		require.Equal(t, byHand(&v), x.run(t), row)
	}
}

// fleetRows is how many vehicles the CSV benchmark reads: 60000, or as many as
// FLEET_ROWS says.
func fleetRows(tb testing.TB) int {
	said := os.Getenv("FLEET_ROWS")
	if said == "" {
		return 60_000
	}
	n, err := strconv.Atoi(said)
	if err != nil || n < 1 {
		tb.Fatalf("FLEET_ROWS is %q: a number of rows is wanted", said)
	}
	return n
}

// BenchmarkCSV: `decide` on a table against the hand-written program on the same
// bytes (aim: at least half its speed, and memory that does not grow).
func BenchmarkCSV(b *testing.B) {
	n := fleetRows(b)
	var in bytes.Buffer
	w := csv.NewWriter(&in)
	_ = w.Write(fleetColumns)
	_ = w.WriteAll(fleet(n))
	w.Flush()
	d := &batch.Decider{Tree: mustTree(b), Meter: engine.FindMeter("workshop")}
	for b.Loop() {
		hand := perCall(1, func(int) { _ = handProgram(bytes.NewReader(in.Bytes()), io.Discard) })
		var before, after runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		ours := perCall(1, func(int) {
			_, _ = d.Stream(bytes.NewReader(in.Bytes()), io.Discard, batch.AsCSV, batch.NewRow(d.Tree), 1)
		})
		runtime.ReadMemStats(&after)
		b.ReportMetric(hand/ours, "of-hand-speed-1-worker")
		b.ReportMetric(ours/float64(n), "ns/vehicle")
		b.ReportMetric((float64(after.HeapSys)-float64(before.HeapSys))/1e6, "MB-more-heap")
	}
}

// BenchmarkJSON: `decide` on a table with the whole record of each vehicle.
func BenchmarkJSON(b *testing.B) {
	n := fleetRows(b) / 30
	var in, out bytes.Buffer
	w := csv.NewWriter(&in)
	_ = w.Write(fleetColumns)
	_ = w.WriteAll(fleet(n))
	w.Flush()
	d := &batch.Decider{Tree: mustTree(b), Meter: engine.FindMeter("workshop")}
	for b.Loop() {
		ours := perCall(1, func(int) {
			out.Reset()
			_, _ = d.Stream(bytes.NewReader(in.Bytes()), &out, batch.AsJSON, batch.NewRow(d.Tree), 1)
		})
		b.ReportMetric(ours/float64(n), "ns/vehicle")
		b.ReportMetric(float64(out.Len())/float64(n), "bytes/vehicle")
	}
}
