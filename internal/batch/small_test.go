package batch

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// smallDecider decides with the tree of testdata/small.yaml.
func smallDecider(t require.TestingT) *Decider {
	var sources []engine.Source
	for _, name := range []string{"small.yaml", "faults.yaml"} {
		data, err := os.ReadFile(filepath.Join("testdata", name))
		require.NoError(t, err)
		sources = append(sources, engine.Source{Name: name, Data: data})
	}
	lib, faults := engine.Load(sources)
	var said strings.Builder
	faults.Print(&said)
	require.True(t, faults.Empty(), "%s", said.String())
	return &Decider{Tree: lib.Tree("small"), Meter: engine.FindMeter("workshop")}
}

// rowOf makes a row from assignments as --set takes them.
func rowOf(t testing.TB, d *Decider, assignments ...string) *Row {
	row := NewRow(d.Tree)
	for _, a := range assignments {
		require.NoError(t, row.Fix(a))
	}
	return row
}
