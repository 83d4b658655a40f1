package engine

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the goldens anew")

// TestAllFaultsOfAFileAreReportedInOneRun loads every wrong tree and holds what
// is said of it to the golden beside it.
func TestAllFaultsOfAFileAreReportedInOneRun(t *testing.T) {
	files, err := filepath.Glob("testdata/wrong/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		t.Run(filepath.Base(f), func(t *testing.T) {
			data, err := os.ReadFile(f)
			require.NoError(t, err)
			lib, faults := Load([]Source{{filepath.Base(f), data}})
			require.Empty(t, lib.Trees(), "a tree with faults is not usable")
			var b bytes.Buffer
			faults.Print(&b)
			golden := strings.TrimSuffix(f, ".yaml") + ".txt"
			if *update {
				require.NoError(t, os.WriteFile(golden, b.Bytes(), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			require.Equal(t, string(want), b.String())
		})
	}
}

// A name that stands in a shared file which the tree does not use is told so.
func TestANameOfAnotherSharedFile(t *testing.T) {
	text := `tree: horn
title: Horn
edition: 1
begin: read
steps:
  read: {kind: measure, title: Read, take: [horn], branches: [{if: horn < limits.low, to: low}, {otherwise: good}]}
findings:
  low: {title: Low, action: wire}
  good: {title: Good, action: none}
`
	shared := `shared: horns
title: Horns
readings: {horn: {ask: Voltage, short: horn, unit: V, span: [0, 16]}}
limits: {low: {is: 11 V, source: definition}}
`
	_, faults := Load([]Source{{Name: "horn.yaml", Data: []byte(text)}, {Name: "horns.yaml", Data: []byte(shared)}})
	require.Equal(t, 3, faults.Len())
	for _, f := range faults.Sorted() {
		require.Contains(t, f.Message, "; it stands in shared file \"horns\": add that to `use`")
	}
}

// A figure in a guard is what a beginner writes first.
func TestAFigureInAGuard(t *testing.T) {
	text := `tree: horn
title: Horn
edition: 1
begin: read
readings:
  horn: {ask: Voltage at the horn, short: horn, unit: V, span: [0, 16]}
steps:
  read: {kind: measure, title: Read, take: [horn], branches: [{if: "horn < 11.5 V and horn > 2 V", to: low}, {otherwise: good}]}
findings:
  low: {title: Low, action: wire}
  good: {title: Good, action: none}
`
	_, faults := Load([]Source{{Name: "horn.yaml", Data: []byte(text)}})
	require.Equal(t, 1, faults.Len())
	f := faults.Sorted()[0]
	require.Equal(t, "bare-number", f.Rule)
	require.Equal(t, "11.5 V stands in a guard or sum; give it a name under limits, with its source, and write limits.NAME here", f.Message)
	require.Equal(t, 6, f.Width)
}

// What comes of one fault is not reported as others.
func TestOneFaultIsReportedOnce(t *testing.T) {
	text := `tree: horn
title: Horn
edition: 1
begin: listen
readings:
  click: {ask: "Does it click?", short: click, yes_no: true}
steps:
  listen: {kind: inspect, title: Listen, take: [click], cases: {"yes": wire, "no": fuse}}
  fuse: {kind: inspect, title: Look, if: click, to: end}
  wire: {kind: inspect, title: Wire, to: end}
findings:
  end: {title: End, action: none}
`
	_, faults := Load([]Source{{Name: "horn.yaml", Data: []byte(text)}})
	var got []string
	for _, f := range faults.Sorted() {
		got = append(got, f.Message)
	}
	require.Equal(t, []string{
		"cases need `by: READING`, the one whose choices they are",
		"`if` stands in a row, one row for each way: branches: [{if: GUARD, to: STEP}, {otherwise: STEP}]",
	}, got)
}

// A sub-tree that cannot be loaded is no part of any tree, of the second that runs it
// as little as of the first.
func TestASubTreeWithAFaultIsNotLaidIn(t *testing.T) {
	outer := func(name string) Source {
		return Source{Name: name + ".yaml", Data: []byte("tree: " + name + `
title: Outer
edition: 1
begin: inner
steps: {inner: {kind: tree, run: inner, cases: {end: end}}}
findings: {end: {title: End, action: none}}
`)}
	}
	inner := Source{Name: "inner.yaml", Data: []byte(`tree: inner
title: Inner
edition: 1
begim: look
steps: {look: {kind: inspect, title: Look, to: end}}
findings: {end: {title: End, action: none}}
`)}
	lib, faults := Load([]Source{outer("one"), outer("two"), inner})
	require.Empty(t, lib.Trees())
	var b bytes.Buffer
	faults.Print(&b)
	require.Contains(t, b.String(), "inner.yaml:4:1: \"begim\" is no key that can stand here; did you mean \"begin\"? [unknown-key]")
}

// A part that lacks what it rests on is not left out in silence.
func TestNoPartIsLeftOutInSilence(t *testing.T) {
	text := `tree: horn
title: Horn
edition: 1
begin: listen
readings:
  click: {ask: "Does it click?", short: click, yes_no: true}
  warmth: {ask: Temperature, short: warmth, unit: °C, span: [-40, 60], assume: {ranges: {"yes": [1 °C, 2 °C], "no": [0 °C, 1 °C]}, source: definition}}
limits:
  floor: {table: {points: [[0, 9.1], [20, 9.3]], outside: hold_end}, unit: V, source: definition}
before:
  - {id: dry, kinds: [inspect], else: end, why: A wet horn does not sound.}
steps:
  listen: {kind: inspect, title: Listen, take: [click], to: end}
findings:
  end: {title: End, action: none}
`
	lib, faults := Load([]Source{{Name: "horn.yaml", Data: []byte(text)}})
	require.Empty(t, lib.Trees())
	var got []string
	for _, f := range faults.Sorted() {
		got = append(got, f.Message)
	}
	require.Equal(t, []string{
		"`by: READING` is missing here",
		"`over: READING` is missing here",
		"a hazard rule needs `id`, `kinds`, `holds`, `else` and `why`",
	}, got)
}
