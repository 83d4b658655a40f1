package tests

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A command is one that a document tells its reader to type, and how it must
// end.
type command struct {
	line int
	text string
	code int
}

// TestDocuments runs what README.md and DEVELOPERS.md tell their reader to
// type. In a block that begins with three backticks and the word console, a
// line beginning with "$ " is a command, lines beginning with "> " continue it,
// and all others are its output, which is not compared. A command that is meant
// to end with another exit code than 0 says so at its end: "# exit 1".
//
// The commands of one document run one after the other in one empty folder,
// with deadflat on the path. Blocks of other kinds are not run.
func TestDocuments(t *testing.T) {
	for _, document := range []string{"README.md", "DEVELOPERS.md"} {
		t.Run(document, func(t *testing.T) {
			text, err := os.ReadFile(filepath.Join("..", document))
			require.NoError(t, err)
			commands := readCommands(string(text))
			if document == "README.md" {
				require.NotEmpty(t, commands, "no command to type in the whole document")
			}
			folder, env := home(t)
			for _, c := range commands {
				runCommand(t, document, c, folder, env)
			}
		})
	}
}

var exitMark = regexp.MustCompile(`\s+# exit (\d)$`)

// readCommands finds the commands of a document.
func readCommands(text string) []command {
	var all []command
	inside := false
	for i, line := range strings.Split(text, "\n") {
		switch {
		case strings.HasPrefix(line, "```"):
			inside = !inside && strings.TrimSpace(line) == "```console"
		case inside && strings.HasPrefix(line, "$ "):
			c := command{line: i + 1, text: line[2:]}
			if m := exitMark.FindStringSubmatch(c.text); m != nil {
				c.code, _ = strconv.Atoi(m[1])
			}
			all = append(all, c)
		case inside && strings.HasPrefix(line, "> ") && len(all) > 0:
			all[len(all)-1].text += "\n" + line[2:]
		}
	}
	return all
}

func runCommand(t *testing.T, document string, c command, folder string, env []string) {
	shell := exec.Command("sh", "-c", c.text)
	shell.Dir, shell.Env = folder, env
	var said bytes.Buffer
	shell.Stdout, shell.Stderr = &said, &said
	err := shell.Run()
	code := 0
	var ended *exec.ExitError
	if errors.As(err, &ended) {
		code = ended.ExitCode()
	} else {
		require.NoError(t, err)
	}
	assert.Equal(t, c.code, code, "%s:%d: %s\n%s", document, c.line, c.text, said.String())
}

func TestReadCommands(t *testing.T) {
	text := "```console\n$ one\nout\n$ two <<END\n> body\n> END\n$ three  # exit 1\n```\n```sh\n$ not me\n```\n$ nor me\n"
	assert.Equal(t, []command{
		{line: 2, text: "one"},
		{line: 4, text: "two <<END\nbody\nEND"},
		{line: 7, text: "three  # exit 1", code: 1},
	}, readCommands(text))
}
