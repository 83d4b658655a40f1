package compare

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// What a run gives a sub-tree is compared run by run.
func TestWhatARunGivesIsCompared(t *testing.T) {
	trailer := func(was, is string) *engine.Tree {
		files, err := filepath.Glob("../engine/testdata/trailer/*.yaml")
		require.NoError(t, err)
		var sources []engine.Source
		for _, name := range files {
			data, err := os.ReadFile(name)
			require.NoError(t, err)
			sources = append(sources, engine.Source{Name: name, Data: bytes.Replace(data, []byte(was), []byte(is), 1)})
		}
		lib, faults := engine.Load(sources)
		require.True(t, faults.Empty(), "%v", faults.Sorted())
		return lib.Tree("trailer")
	}
	old := trailer("", "")
	assert.Empty(t, Changes(old, trailer("", "")))
	var got []string
	for _, ch := range Changes(old, trailer("volts: fog, enough: limits.fog_lamp", "volts: fog, enough: limits.lamp")) {
		for _, d := range ch.Details {
			got = append(got, fmt.Sprintf("%s %s %s: %q %q", ch.Part, ch.Name, d.Key, d.Was, d.Is))
		}
	}
	assert.Contains(t, got, `steps fog_lamps/again way "below limits.lamp": "" "finding fog_weak"`)
	assert.Contains(t, got, `steps fog_lamps/again way "below limits.fog_lamp": "finding fog_weak" ""`)
	for _, line := range got {
		assert.Contains(t, line, "fog", "the other runs are as they were")
	}
	var parts []string
	for _, d := range Prove(old, trailer("volts: fog, enough: limits.fog_lamp", "volts: fog, enough: limits.lamp")).Divergences {
		parts = append(parts, d.Steps...)
	}
	assert.ElementsMatch(t, []string{"fog_lamps/read", "fog_lamps/again"}, parts)
}
