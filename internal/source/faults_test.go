package source

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestPrint(t *testing.T) {
	long := strings.Repeat("x", 80) + " here " + strings.Repeat("y", 80)
	tests := []struct {
		name, line string
		col, width int
		want       string
	}{
		{"plain", "  if: rest < low", 7, 4, "    1 |   if: rest < low\n      |       ^^^^\n"},
		{"tabs before the spot", "\ta:\tb", 5, 1, "    1 | \ta:\tb\n      | \t  \t^\n"},
		{"wide runes", "a: 電池 b", 7, 1, "    1 | a: 電池 b\n      |         ^\n"},
		{"a wide spot", "a: 電池", 4, 2, "    1 | a: 電池\n      |    ^^^^\n"},
		{"joined marks", "a: e\u0301x", 6, 1, "    1 | a: e\u0301x\n      |     ^\n"},
		{"control codes", "a\x1b[0m b", 7, 1, "    1 | a\\x1b[0m b\n      |          ^\n"},
		{"behind the end", "abc", 4, 9, "    1 | abc\n      |    ^\n"},
		{"far behind the end", "abc", 40, 9, "    1 | abc\n      |    ^\n"},
		{"empty line", "", 1, 1, "    1 | \n      | ^\n"},
		{"carriage return", "abc\r", 3, 5, "    1 | abc\n      |   ^\n"},
		{
			"long line", long, 82, 4,
			"    1 | …" + strings.Repeat("x", 39) + " here " + strings.Repeat("y", 65) + "…\n" +
				"      |  " + strings.Repeat(" ", 40) + "^^^^\n",
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var faults Faults
			faults.Keep(&File{Name: "a.yaml", Data: []byte(tt.line)})
			faults.Add("some-rule", Place{"a.yaml", 1, tt.col}, tt.width, "wrong")
			assert.Equal(t, fmt.Sprintf("a.yaml:1:%d: wrong [some-rule]\n", tt.col)+tt.want, printed(&faults))
		})
	}
}

func TestPrintNotesAndEscapes(t *testing.T) {
	var faults Faults
	fault := faults.Add("some-rule", Place{"a\x1b.yaml", 2, 1}, 0, "%s", "two\nlines\x07")
	fault.Notes = append(fault.Notes, Note{Place{"b.yaml", 3, 4}, "declared\u202e here"})
	assert.Equal(t, "a\\x1b.yaml:2:1: two\\nlines\\x07 [some-rule]\nb.yaml:3:4: declared\\u202e here\n", printed(&faults))
	assert.Equal(t, 1, faults.Sorted()[0].Width)
}

func TestSameFaultOnce(t *testing.T) {
	var faults Faults
	first := faults.Add("r", Place{"a", 1, 1}, 1, "m")
	again := faults.Add("r", Place{"a", 1, 1}, 1, "m")
	again.Notes = append(again.Notes, Note{Message: "lost"})
	first.Notes = append(first.Notes, Note{Message: "kept"})
	assert.Equal(t, 1, faults.Len())
	assert.Equal(t, []Note{{Message: "kept"}}, faults.Sorted()[0].Notes)
}

func TestManyFaults(t *testing.T) {
	var faults Faults
	for n := range keptFaults + 5 {
		faults.Add(fmt.Sprint("r", n%200), Place{"a", n + 1, 1}, 1, "m")
	}
	lines := strings.Split(strings.TrimSuffix(printed(&faults), "\n"), "\n")
	assert.Len(t, lines, printedFaults+1)
	assert.Equal(t, "and 805 more", lines[printedFaults])
	assert.Equal(t, keptFaults+5, faults.Len())
	assert.Len(t, faults.Sorted(), keptFaults)
}

// One slip that has a hundred consequences does not hide the other one.
func TestManyFaultsOfOneRule(t *testing.T) {
	var faults Faults
	for n := range 100 {
		faults.Add("r", Place{"a", n + 1, 1}, 1, "m")
	}
	faults.Add("s", Place{"a", 101, 1}, 1, "m")
	lines := strings.Split(strings.TrimSuffix(printed(&faults), "\n"), "\n")
	assert.Len(t, lines, printedOfRule+2)
	assert.Equal(t, []string{"a:101:1: m [s]", "and 80 more [r]"}, lines[printedOfRule:])
}

// What somebody wrote comes before what follows from it in other files.
func TestFilesThatComeFirst(t *testing.T) {
	var faults Faults
	faults.Add("r", Place{"trees/a.yaml", 1, 1}, 1, "m")
	faults.Add("r", Place{"z.yaml", 1, 1}, 1, "m")
	var b strings.Builder
	faults.Print(&b, "z.yaml")
	assert.Equal(t, "z.yaml:1:1: m [r]\nin files of the program, where a fault may follow from yours:\ntrees/a.yaml:1:1: m [r]\n", b.String())
}

// Sorted gives the same order in whatever order the faults came.
func TestSortedIsStable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		type entry struct {
			rule, message string
			place         Place
		}
		entries := rapid.SliceOf(rapid.Custom(func(t *rapid.T) entry {
			return entry{
				rapid.SampledFrom([]string{"q", "r"}).Draw(t, "rule"), rapid.SampledFrom([]string{"m", "n"}).Draw(t, "message"),
				Place{rapid.SampledFrom([]string{"a", "b"}).Draw(t, "file"), rapid.IntRange(1, 2).Draw(t, "line"), rapid.IntRange(1, 2).Draw(t, "col")},
			}
		})).Draw(t, "entries")
		var one, two Faults
		for _, e := range entries {
			one.Add(e.rule, e.place, 1, "%s", e.message)
		}
		for _, e := range rapid.Permutation(entries).Draw(t, "shuffled") {
			two.Add(e.rule, e.place, 1, "%s", e.message)
		}
		assert.Equal(t, one.Sorted(), two.Sorted())
	})
}

func TestJoinedFaultsPrintAsIfFoundTogether(t *testing.T) {
	var together, a, b, joined Faults
	one, two := []byte("a: ~\n"), []byte("b: yes\nb: yes\n")
	Read("one.yaml", one, &together)
	Read("two.yaml", two, &together)
	Read("one.yaml", one, &a)
	Read("two.yaml", two, &b)
	joined.Join(&a)
	joined.Join(&b)
	var want, got strings.Builder
	together.Print(&want)
	joined.Print(&got)
	assert.NotEmpty(t, want.String())
	assert.Equal(t, want.String(), got.String())
}
