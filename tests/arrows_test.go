package tests

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// arrows says for each package which of ours it may import, and no others.
// Leaves import nothing of ours; report, terminal and job stand side by side on the
// engine and do not know one another; only the command joins them.
var arrows = map[string][]string{
	"internal/background": {},
	"internal/unit":       {},
	"internal/text":       {"internal/unit"},
	"internal/source":     {"internal/text"},
	"internal/markup":     {"internal/text"},
	"internal/calc":       {"internal/unit"},
	"internal/leadacid":   {"internal/unit", "internal/calc"},
	"internal/eval":       {"internal/source", "internal/unit", "internal/calc"},
	"internal/engine":     {"internal/text", "internal/source", "internal/unit", "internal/eval"},
	"internal/report":     {"internal/markup", "internal/text", "internal/source", "internal/unit", "internal/eval", "internal/engine"},
	"internal/terminal":   {"internal/text", "internal/background", "internal/source", "internal/unit", "internal/eval", "internal/engine"},
	"internal/vehicle":    {"internal/text"},
	"internal/journal":    {},
	"internal/job":        {"internal/text", "internal/source", "internal/unit", "internal/eval", "internal/engine", "internal/journal"},
	"internal/batch":      {"internal/text", "internal/source", "internal/engine", "internal/report"},
	"internal/compare":    {"internal/text", "internal/source", "internal/unit", "internal/eval", "internal/engine", "internal/prove"},
	"internal/schema":     {"internal/unit", "internal/engine"},
	"internal/draw":       {"internal/markup", "internal/text", "internal/source", "internal/unit", "internal/eval", "internal/engine"},
	"internal/prove":      {"internal/text", "internal/source", "internal/unit", "internal/eval", "internal/engine"},
	"internal/mechanic":   {"internal/engine", "internal/vehicle"},
	"internal/drill":      {"internal/markup", "internal/text", "internal/engine", "internal/source", "internal/vehicle", "internal/mechanic", "internal/trial", "internal/journal"},
	"internal/trial":      {"internal/text", "internal/source", "internal/engine", "internal/vehicle", "internal/mechanic"},
	"trees":               {},
	"cmd/deadflat": {
		"internal/text", "internal/source", "internal/unit", "internal/calc", "internal/eval", "internal/engine", "internal/leadacid",
		"internal/report", "internal/terminal", "internal/job", "internal/journal", "internal/batch", "internal/prove", "internal/draw", "internal/schema", "internal/compare",
		"internal/vehicle", "internal/trial", "internal/drill", "trees",
	},
	"tests": {},
}

const module = "deadflat/"

// TestArrows holds the one direction of import. Tests may import more than the
// code they test.
func TestArrows(t *testing.T) {
	seen := map[string]bool{}
	for _, p := range listPackages(t) {
		name := strings.TrimPrefix(p.ImportPath, module)
		seen[name] = true
		may, known := arrows[name]
		require.True(t, known, "package %s has no row in the table of arrows", name)
		if name != "tests" { // holds test files only
			require.NotEmpty(t, p.Doc, "package %s has no comment that says what it is", name)
		}
		for _, imported := range p.Imports {
			if ours, is := strings.CutPrefix(imported, module); is && !slices.Contains(may, ours) {
				t.Errorf("%s imports %s, against the arrows", name, ours)
			}
		}
	}
	for name := range arrows {
		require.True(t, seen[name], "the table of arrows names %s, which is not there", name)
	}
}

type listed struct {
	ImportPath string
	Doc        string
	Imports    []string
}

// listPackages asks the go command for the packages of the module.
func listPackages(t *testing.T) []listed {
	out, err := exec.Command("go", "list", "-json=ImportPath,Doc,Imports", module+"...").Output()
	require.NoError(t, err)
	var all []listed
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		err := d.Decode(&p)
		if errors.Is(err, io.EOF) {
			return all
		}
		require.NoError(t, err)
		all = append(all, p)
	}
}
