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

// A fault in one place has consequences in many. It alone is told.
func TestTheCauseIsToldAndNotWhatFollows(t *testing.T) {
	tree := `tree: horn
title: Horn
edition: 1
use: [horns]
begin: read
steps:
  read: {kind: measure, title: Read, take: [horn], branches: [{if: horn < limits.low, to: listen}, {otherwise: good}]}
  listen: {kind: tree, title: Listen, run: ears, cases: {heard: good, silent: low}}
findings:
  low: {title: Low, action: wire, faults: [wire_broken]}
  good: {title: "Good, {limits.low} or more", action: none}
`
	shared := `shared: horns
title: Horns
points: [red, black]
readings: {horn: {ask: Voltage, short: horn, unit: V, span: [0, 16], probe: {red: red, black: black}}}
limits: {low: {is: 11 V, source: definition}}
findings: {wet: {title: Wet, action: stop, stop: true}}
`
	ears := `tree: ears
title: Ears
edition: 1
use: [horns]
begin: hear
readings: {sound: {ask: "Does it sound?", short: sound, yes_no: true}}
before: [{id: dry, kinds: [inspect], holds: horn > limits.low, else: wet, why: A wet horn does not sound.}]
steps:
  hear: {kind: inspect, title: Hear, take: [sound], branches: [{if: sound, to: heard, clears: [silent]}, {otherwise: silent}]}
findings: {heard: {title: Heard, action: none}, silent: {title: Silent, action: wire}}
`
	faultList := "faults: [{id: wire_broken, title: Wire broken}]\n"
	for _, c := range []struct{ what, old, new, want string }{
		{"nothing", "", "", ""},
		{"a wrong use", "use: [horns]\nbegin: read", "use: [horn]\nbegin: read", `horn.yaml:4:7: shared file "horn" is not here; did you mean "horns"? [unknown-name]`},
		{"a use of another shape", "use: [horns]\nbegin: read", "use: horns\nbegin: read", `horn.yaml:4:6: a text stands here, but a list is wanted: put it in brackets, as in [horns] [wrong-shape]`},
		{"the name of a shared file", "shared: horns", "shared: Horns", `horns.yaml:1:9: a shared file's name is made of`},
		{"the first key of a shared file", "shared: horns", "share: horns", `horns.yaml:1:1: a file begins with "tree: NAME", "shared: NAME" or "faults:"; did you mean "shared"? [wrong-shape]`},
		{"a quote in a shared file", "title: Horns", `title: "Horns`, `horns.yaml:2:8: the quote opened here is never closed [yaml-syntax]`},
		{"a quote in a tree that is run", "title: Ears", `title: "Ears`, `ears.yaml:2:8: the quote opened here is never closed [yaml-syntax]`},
		{"a quote in the list of faults", "title: Wire broken", `title: "Wire broken`, `faults.yaml:1:35: the quote opened here is never closed [yaml-syntax]`},
		{"a quantity", "is: 11 V", "is: 11 Volz", `horns.yaml:5:20: unknown unit "Volz" in "11 Volz"; did you mean "volt"? [bad-quantity]`},
		{"a unit", "unit: V,", "unit: Volz,", `horns.yaml:4:52: "Volz" is not a unit this program knows; did you mean "volt"? [unknown-unit]`},
		{"a name", "low: {is", "Low: {is", `horns.yaml:5:10: a name in limits is made of small letters, digits and _ and begins with a letter, not "Low": write "low" [bad-name]`},
		{"a key", "readings: {horn:", "reading: {horn:", `horns.yaml:4:1: "reading" is no key that can stand here; did you mean "readings"? [unknown-key]`},
		{"the name of what several places name", "readings: {horn:", "readings: {hrn:", `horns.yaml:4:12: "hrn" is named nowhere, but "horn" is and is not declared: write the name in one way [unknown-name]`},
		{"an end that is the sub-tree's own", "findings: {wet: {title: Wet, action: stop, stop: true}}", "", `ears.yaml:7:`},
	} {
		t.Run(c.what, func(t *testing.T) {
			src := []Source{{"faults.yaml", []byte(faultList)}, {"horn.yaml", []byte(tree)}, {"horns.yaml", []byte(shared)}, {"ears.yaml", []byte(ears)}}
			edits := 0
			for i := range src {
				edits += strings.Count(string(src[i].Data), c.old)
				src[i].Data = []byte(strings.Replace(string(src[i].Data), c.old, c.new, 1))
			}
			if c.old != "" {
				require.Equal(t, 1, edits)
			}
			lib, faults := Load(src)
			var b bytes.Buffer
			faults.Print(&b)
			if c.want == "" {
				require.Empty(t, b.String())
				hear, err := lib.Tree("horn").step("listen/hear")
				require.NoError(t, err)
				require.Equal(t, "low", hear.Branches[0].Clears[0].ID)
				return
			}
			require.Contains(t, b.String(), c.want)
			require.Equal(t, 1, faults.Len(), b.String())
			require.Nil(t, lib.Tree("horn"))
		})
	}
}
