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
