package tests

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/trees"
)

// foreign writes the shipped trees with every text of theirs beginning with a letter that takes
// more than one byte, and its own case.
func foreign(t *testing.T) (folder string) {
	folder = t.TempDir()
	begins := regexp.MustCompile(`\b(title|ask|say|remedy|customer|why|do|how|good): ("?)([A-Za-z])`)
	for name, text := range trees.All() {
		if strings.Contains(name, ".cases") || name == "faults.yaml" {
			continue
		}
		n := 0
		out := begins.ReplaceAllStringFunc(string(text), func(s string) string {
			n++
			letter := []rune("éüøжω")[n%5]
			if last := rune(s[len(s)-1]); unicode.IsUpper(last) {
				letter = unicode.ToUpper(letter)
			}
			return s[:len(s)-1] + string(letter)
		})
		require.NoError(t, os.WriteFile(filepath.Join(folder, filepath.Base(name)), []byte(out), 0o600))
	}
	return folder
}

// A text that begins with a letter beyond ASCII is nowhere cut inside it.
func TestLettersBeyondASCII(t *testing.T) {
	folder, env := home(t)
	own := foreign(t)
	whole := func(args []string, stdin string) string {
		o := runIn(t, folder, env, stdin, args...)
		require.LessOrEqual(t, o.code, 1, "%v: %s", args, o.stderr)
		for _, said := range []string{o.stdout, o.stderr} {
			assert.True(t, utf8.ValidString(said), "%v prints half a letter", args)
			assert.False(t, strings.Contains(said, "\ufffd"), "%v prints half a letter", args)
		}
		return o.stdout + o.stderr
	}
	for _, seed := range []string{"1", "2", "3"} {
		job := seed + ".job"
		whole([]string{"trial", "no-start", "--tree", own, "--vehicles", "1", "--seed", seed, "--job", job}, "")
		for _, form := range []string{"text", "markdown", "html", "json"} {
			assert.Regexp(t, "[ÉÜØЖΩ]", whole([]string{"report", job, "--as", form}, ""))
		}
		whole([]string{"draw", "--job", job}, "")
		whole([]string{"walk", "--resume", job}, "back\nwhy\nlist\nhow\n")
	}
	for _, form := range []string{"svg", "html", "dot", "mermaid", "sheet"} {
		whole([]string{"draw", "no-start", "--tree", own, "--as", form}, "")
	}
	whole([]string{"trial", "no-start", "--tree", own, "--vehicles", "20"}, "")
	typed := "1\n1\n1\n1\n1\n1\n20\n1\n1\n1\nwhy\nlist\n1\n12.4\nwhy\nnot sure\nlist\nhow\nnote éclair\nback\nwhy\n"
	assert.Regexp(t, "[ÉÜØЖΩ]", whole([]string{"walk", "no-start", "--tree", own, "--kit", "all", "--detail", "full"}, typed))
}

// No name of a file, a tree or a flag reaches the terminal raw.
func TestNamesArePrintedClean(t *testing.T) {
	folder, env := home(t)
	const evil = "a\x1b[2J\u202eb"
	runIn(t, folder, env, "", "drill", "--seed", "1", "--plain", "--job", evil+".drill")
	runIn(t, folder, env, "", "trial", "no-start", "--vehicles", "1", "--job", evil+".job")
	runIn(t, folder, env, "", "report", evil+".job")
	for _, command := range []string{"walk", "jobs", "--" + evil} {
		assert.Equal(t, 2, runIn(t, folder, env, "", command, "--"+evil).code)
	}
	jobs := filepath.Join(folder, "state", "deadflat", "jobs")
	require.NoError(t, os.MkdirAll(jobs, 0o700))
	data, err := os.ReadFile(filepath.Join(folder, evil+".job"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(jobs, evil+".job"), data, 0o600))
	listed := runIn(t, folder, env, "", "jobs")
	assert.Contains(t, listed.stdout, "a[2Jb")
}
