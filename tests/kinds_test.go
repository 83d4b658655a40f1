package tests

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A new kind of reading touches few files: whoever needs to know what an answer can be
// asks its domain, and names no kind.
func TestFewFilesNameAKindOfReading(t *testing.T) {
	kinds := regexp.MustCompile(`\beval\.(Number|Choice|YesNo|Several)\b`)
	inEval := regexp.MustCompile(`\b(YesNo|Several)\b|== Choice\b|[!=]= Number\b`)
	var files []string
	for _, root := range []string{"../internal", "../cmd"} {
		require.NoError(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") {
				return err
			}
			data, err := os.ReadFile(path)
			if kinds.Match(data) || filepath.Base(filepath.Dir(path)) == "eval" && inEval.Match(data) {
				files = append(files, path)
			}
			return err
		}))
	}
	assert.NotEmpty(t, files)
	assert.LessOrEqual(t, len(files), 8, "%q", files)
}
