package tests

import (
	"io/fs"
	"strings"
	"testing"

	"deadflat/internal/engine"
	"deadflat/trees"
)

// shipped gives the shipped trees as sources.
func shipped(tb testing.TB) []engine.Source {
	tb.Helper()
	entries, err := fs.ReadDir(trees.FS, ".")
	if err != nil {
		tb.Fatal(err)
	}
	var out []engine.Source
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ".cases.yaml") {
			continue
		}
		b, err := trees.FS.ReadFile(e.Name())
		if err != nil {
			tb.Fatal(err)
		}
		out = append(out, engine.Source{Name: e.Name(), Data: b})
	}
	return out
}

// BenchmarkLoadingTheShippedTrees: aim under 30 ms for all.
func BenchmarkLoadingTheShippedTrees(b *testing.B) {
	src := shipped(b)
	for b.Loop() {
		engine.Load(src)
	}
}
