package prove

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// shipped loads the trees that the program comes with.
func shipped(t testing.TB) *engine.Library {
	t.Helper()
	files, err := filepath.Glob("../../trees/*.yaml")
	require.NoError(t, err)
	var sources []engine.Source
	for _, f := range files {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		sources = append(sources, engine.Source{Name: "trees/" + filepath.Base(f), Data: data})
	}
	lib, faults := engine.Load(sources)
	if !faults.Empty() {
		faults.Print(os.Stderr)
	}
	require.True(t, faults.Empty())
	return lib
}

func TestShipped(t *testing.T) {
	r := Library(shipped(t), nil, Options{})
	var b strings.Builder
	r.Faults.Print(&b)
	b.WriteString("remarks\n")
	r.Remarks.Print(&b)
	t.Log(b.String())
	r.Print(os.Stdout)
	for _, x := range r.Trees {
		t.Logf("%s: %d steps, %d branches, %d rows, longest %v", x.Tree.Name, x.Steps, x.Branches, x.Compared, x.Longest)
	}
}

func BenchmarkShipped(b *testing.B) {
	lib := shipped(b)
	for b.Loop() {
		Library(lib, nil, Options{})
	}
}
