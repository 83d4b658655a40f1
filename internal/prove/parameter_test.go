package prove

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// trailer loads the trees of a trailer's socket, with one text swapped.
func trailer(t *testing.T, file, was, is string) *engine.Library {
	files, err := filepath.Glob("../engine/testdata/trailer/*.yaml")
	require.NoError(t, err)
	var sources []engine.Source
	for _, name := range files {
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		if filepath.Base(name) == file {
			require.Contains(t, string(data), was)
			data = bytes.Replace(data, []byte(was), []byte(is), 1)
		}
		sources = append(sources, engine.Source{Name: filepath.Base(name), Data: data})
	}
	lib, faults := engine.Load(sources)
	var b strings.Builder
	faults.Print(&b)
	require.True(t, faults.Empty(), b.String())
	return lib
}

// A sub-tree that is sound by itself and wrong with what one run gives it is told with that run.
func TestEachRunOfATreeWithParametersIsProved(t *testing.T) {
	assert.True(t, Library(trailer(t, "", "", ""), nil, Options{}).Faults.Empty())
	gap := "volts >= limits.nothing and read.volts < limits.enough and not done(again), to: again}\n      - {otherwise: good, clears: [dead]}"
	says := told(Library(trailer(t, "pin.yaml", gap, "volts >= limits.lamp and not done(again), to: again}\n      - {if: volts >= limits.nothing and volts < limits.enough, to: good}"), nil, Options{}))
	assert.Contains(t, says, `two branches of step "read" take these answers: fog 11.00 V`)
	assert.Contains(t, says, "trailer.yaml:10:32: the tree is run here with volts: fog, enough: limits.fog_lamp, pin: pin 2")
	assert.Contains(t, says, "paste: - {if: '(volts >= limits.nothing and volts < limits.enough) and not (volts >= limits.lamp and not done(again))', to: good}", "in the names of that file")
	assert.Equal(t, 1, strings.Count(says, "two branches"), "by itself and with the other pins the tree is sound")
}

// A small change is made in every run at once, and a case of one of them notices it.
func TestATreeWithParametersIsMutated(t *testing.T) {
	lib, _ := trailer(t, "", "", "").Reload(append(trailer(t, "", "", "").Sources(), engine.Source{Name: "pin.cases.yaml", Data: []byte(`cases: pin
list:
  - {case: weak, from: invented, meter: workshop, readings: {read.volts: 10.5 V, again.volts: 10.4 V}, finding: weak}
`)}))
	says := told(Library(lib, []string{"pin"}, Options{Mutate: true}))
	assert.Contains(t, says, "small changes", says)

	// A tree of which nothing but runs stands in its file is loaded with what runs it.
	lib, faults := lib.Reload(append(trailer(t, "", "", "").Sources(), engine.Source{Name: "trailer.cases.yaml", Data: []byte(`cases: trailer
list:
  - {case: all, from: invented, meter: workshop, readings: {p1: 12.5 V, p2: 12.5 V, p4: 12.3, p5: 12.3, p6: 12.3, p7: 12.4}, finding: all_good}
`)}))
	require.True(t, faults.Empty())
	assert.Contains(t, told(Library(lib, []string{"trailer"}, Options{Mutate: true})), "not noticed: socket.yaml:15:18: limits.fog_lamp 11.51 for 11.5")
}
