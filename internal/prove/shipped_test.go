package prove

import (
	"os"
	"path/filepath"
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

// TestShippedTreesAreDecided proves every shipped tree whole: whatever is wrong with
// one, nothing is left undecided, and every worked case comes out as it says.
func TestShippedTreesAreDecided(t *testing.T) {
	r := Library(shipped(t), nil, Options{})
	require.Zero(t, r.Undecided)
	require.NotEmpty(t, r.Trees)
	for _, x := range r.Trees {
		require.NotNil(t, x.Cases, "%s has worked cases", x.Tree.Name)
		require.Zero(t, x.Cases.Failed, x.Tree.Name)
		require.Positive(t, x.Longest.Questions)
	}
	t.Log(told(r))
}

func BenchmarkShipped(b *testing.B) {
	lib := shipped(b)
	for b.Loop() {
		Library(lib, nil, Options{})
	}
}
