package source

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"
	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "write the expected faults anew")

// TestWrong reads each file of testdata/wrong and compares what is printed with the .txt beside it.
func TestWrong(t *testing.T) {
	files, err := filepath.Glob("testdata/wrong/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, path := range files {
		t.Run(filepath.Base(path), func(t *testing.T) {
			data, err := os.ReadFile(path)
			require.NoError(t, err)
			var faults Faults
			Read(filepath.Base(path), data, &faults)
			require.False(t, faults.Empty())
			requirePlacesInside(t, data, &faults)
			var out strings.Builder
			faults.Print(&out)
			golden := strings.TrimSuffix(path, ".yaml") + ".txt"
			if *update {
				require.NoError(t, os.WriteFile(golden, []byte(out.String()), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			assert.Equal(t, string(want), out.String())
		})
	}
}

// TestRight reads each file of testdata/right: nothing is wrong with it, and the line scanner,
// which looks only at texts that yaml.v3 refused, finds nothing in it either.
func TestRight(t *testing.T) {
	files, err := filepath.Glob("testdata/right/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, path := range files {
		t.Run(filepath.Base(path), func(t *testing.T) {
			data, err := os.ReadFile(path)
			require.NoError(t, err)
			var faults Faults
			file := Read(path, data, &faults)
			require.NotNil(t, file)
			assert.Empty(t, printed(&faults))
			assert.Nil(t, (&lineScanner{File: file}).read())
		})
	}
}

func printed(faults *Faults) string {
	var out strings.Builder
	faults.Print(&out)
	return out.String()
}

func TestTooLarge(t *testing.T) {
	var faults Faults
	assert.Nil(t, Read("a.yaml", make([]byte, MaxBytes+1), &faults))
	assert.Equal(t, "a.yaml: the file is larger than 1 MB, which is the most that is read: split it [too-large]\n", printed(&faults))
}

// TestDepth: 32 levels are read, 33 are not, and the walk goes on elsewhere.
func TestDepth(t *testing.T) {
	nested := func(depth int) string {
		return "a: " + strings.Repeat("[", depth-1) + "1" + strings.Repeat("]", depth-1) + "\nb:\n"
	}
	var faults Faults
	Read("a.yaml", []byte(nested(MaxDepth)), &faults)
	require.Len(t, faults.Sorted(), 1)
	faults = Faults{}
	Read("a.yaml", []byte(nested(MaxDepth+1)), &faults)
	require.Len(t, faults.Sorted(), 2)
	assert.Equal(t, "too-deep", faults.Sorted()[0].Rule)
	assert.Equal(t, Place{"a.yaml", 1, 4 + MaxDepth - 1}, faults.Sorted()[0].Place)
	assert.Equal(t, "null-value", faults.Sorted()[1].Rule)
}

// Each alias without an anchor costs another parsing, so there is an end to it.
func TestAliasesWithoutEnd(t *testing.T) {
	var faults Faults
	assert.Nil(t, Read("a.yaml", []byte(strings.Repeat("- *a\n", aliasRounds+1)), &faults))
	require.Equal(t, aliasRounds+1, faults.Len())
	assert.Equal(t, "yaml-syntax", faults.Sorted()[0].Rule)
	for _, fault := range faults.Sorted()[1:] {
		assert.Equal(t, "alias", fault.Rule)
	}
}

// Control codes that an escape smuggles into a value are reported and do not get any further.
func TestControlCodesStayOut(t *testing.T) {
	var faults Faults
	file := Read("a.yaml", []byte("\"k\\e\": \"a\\e[31mb\\u202E\"\nraw: c\x1bd\n"), &faults)
	require.NotNil(t, file)
	assert.Equal(t, 3, faults.Len())
	r := Reader{file, &faults}
	m := r.Map(file.Root)
	assert.Equal(t, "a\ufffd[31mb\ufffd", r.Text(m.Get("k\ufffd")))
	assert.Equal(t, "c\ufffdd", r.Text(m.Get("raw")))
}

// What yaml.v3 writes, it reads, and neither the traps nor the line scanner find anything in it.
func TestMarshalled(t *testing.T) {
	piece := rapid.SampledFrom([]string{"a", "b c", "ä", "'", `"`, `\`, ": ", " #", "{", "]", ",", "- ", "?", "\n", "\n\n", "  ", "&", "*", "!", "|", "%", "key: x"})
	text := rapid.Custom(func(t *rapid.T) string {
		return "x" + strings.Join(rapid.SliceOfN(piece, 0, 6).Draw(t, "pieces"), "") + "x"
	})
	var value func(depth int) *rapid.Generator[any]
	value = func(depth int) *rapid.Generator[any] {
		if depth == 0 {
			return text.AsAny()
		}
		return rapid.OneOf(
			text.AsAny(),
			rapid.SliceOfN(value(depth-1), 1, 3).AsAny(),
			rapid.MapOfN(rapid.StringMatching(`[b-d][b-d ]{0,2}[b-d]`), value(depth-1), 1, 3).AsAny(),
		)
	}
	rapid.Check(t, func(t *rapid.T) {
		data, err := yaml.Marshal(map[string]any{"root": value(3).Draw(t, "value")})
		require.NoError(t, err)
		var faults Faults
		file := Read("a.yaml", data, &faults)
		require.Empty(t, printed(&faults), string(data))
		require.NotNil(t, file)
		if s := (&lineScanner{File: file}).read(); s != nil {
			require.Failf(t, "a syntax error", "%v %s in\n%s", file.place(s.at), s.message, data)
		}
	})
}
