package tests

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	_ "image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The documents that people read. What they say is tried here:
//
//   - A block ```console is what a person types and sees. A line that begins with
//     "$ " is a command, lines that begin with "> " continue it, the others are
//     its output, on both streams. "..." stands for whatever is there, and alone
//     on a line for any number of lines. A command that ends with another exit
//     code than 0 says so: "# exit 1". A command with no output under it may say
//     anything. The commands of one document run in one empty folder, in order.
//   - A block "```yaml ... as NAME" is saved as NAME in that folder.
//   - A block ```sh is typed in the project's own folder. Its commands are
//     looked at and not all of them run: see checkShell.
//   - A link that leads to a file leads to one that is there.
//
// The samples of trees/LANGUAGE.md are tried in language_test.go.
var documents = []string{"README.md", "DEVELOPERS.md", "trees/LANGUAGE.md"}

func TestDocuments(t *testing.T) {
	for _, document := range documents {
		t.Run(document, func(t *testing.T) {
			blocks := readBlocks(readDocument(t, document))
			require.NotEmpty(t, blocks, "no block to try in the whole document")
			folder, env := home(t)
			for _, b := range blocks {
				b.document = document
				b.try(t, folder, env)
			}
		})
	}
}

func TestLinksOfDocuments(t *testing.T) {
	for _, document := range documents {
		text := readDocument(t, document)
		for _, m := range regexp.MustCompile(`\]\(([^)]+)\)`).FindAllStringSubmatch(text, -1) {
			path, anchor, _ := strings.Cut(m[1], "#")
			if strings.Contains(path, "://") {
				continue
			}
			inside := text
			if path != "" {
				path = filepath.Join(filepath.Dir(document), path)
				assert.FileExists(t, filepath.Join("..", path), "%s links to it", document)
				inside = ""
				if strings.HasSuffix(path, ".md") {
					inside = readDocument(t, path)
				}
			}
			if anchor != "" {
				assert.Contains(t, anchors(inside), anchor, "%s links to a heading that is not there", document)
			}
		}
	}
}

// TestPicture holds the picture of the README to a size that a reader of the
// repository does not wait for. DEVELOPERS.md says how it is made anew.
func TestPicture(t *testing.T) {
	path := filepath.Join("..", "docs", "report.png")
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Less(t, info.Size(), int64(200_000), "bytes")
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	c, form, err := image.DecodeConfig(f)
	require.NoError(t, err)
	assert.Equal(t, "png", form)
	assert.LessOrEqual(t, c.Width, 1000, "pixels")
}

// TestLayersOfTheDevelopersPage holds the table of packages to the arrows that
// arrows_test.go lets through.
func TestLayersOfTheDevelopersPage(t *testing.T) {
	rows := map[string][]string{}
	for _, line := range strings.Split(readDocument(t, "DEVELOPERS.md"), "\n") {
		cells := strings.Split(line, "|")
		name := strings.Trim(strings.TrimSpace(cells[min(1, len(cells)-1)]), "`")
		if _, known := arrows[name]; !known || len(cells) != 5 {
			continue
		}
		rows[name] = []string{}
		for _, m := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(cells[3], -1) {
			rows[name] = append(rows[name], m[1])
		}
	}
	for name, may := range arrows {
		row, stands := rows[name]
		if assert.True(t, stands, "DEVELOPERS.md has no row for %s", name) && name != "cmd/deadflat" { // it joins them all
			assert.ElementsMatch(t, may, row, name)
		}
	}
}

// TestFilesOfTheDevelopersPage: every file that the page names is there, under
// that name from the project's folder or from internal/.
func TestFilesOfTheDevelopersPage(t *testing.T) {
	named := regexp.MustCompile("`([a-zA-Z_]+/[a-zA-Z0-9_./-]+\\.[a-z]+)`").FindAllStringSubmatch(readDocument(t, "DEVELOPERS.md"), -1)
	require.NotEmpty(t, named)
	for _, m := range named {
		if strings.Contains(m[1], "NAME") {
			continue
		}
		_, err := os.Stat(filepath.Join("..", m[1]))
		if err != nil {
			_, err = os.Stat(filepath.Join("..", "internal", m[1]))
		}
		assert.NoError(t, err, "DEVELOPERS.md names %s", m[1])
	}
}

func readDocument(t *testing.T, document string) string {
	text, err := os.ReadFile(filepath.Join("..", document))
	require.NoError(t, err)
	return string(text)
}

// anchors are the names by which links lead to the headings of a document.
func anchors(text string) []string {
	var out []string
	for _, line := range strings.Split(text, "\n") {
		if title, is := strings.CutPrefix(strings.TrimLeft(line, "#"), " "); is && strings.HasPrefix(line, "#") {
			kept := regexp.MustCompile("[^a-z0-9 -]").ReplaceAllString(strings.ToLower(title), "")
			out = append(out, strings.ReplaceAll(kept, " ", "-"))
		}
	}
	return out
}

// A block is what stands between two lines of three backticks.
type block struct {
	document string
	line     int    // of the opening backticks
	info     string // what stands behind them
	section  string // the heading it stands under
	text     string
}

func readBlocks(text string) []block {
	var all []block
	inside := false
	section := ""
	for i, line := range strings.Split(text, "\n") {
		info, fence := strings.CutPrefix(line, "```")
		switch {
		case fence && !inside:
			all = append(all, block{line: i + 1, info: strings.TrimSpace(info), section: section})
			inside = true
		case fence:
			inside = false
		case inside:
			all[len(all)-1].text += line + "\n"
		case strings.HasPrefix(line, "#"):
			section = strings.TrimLeft(line, "# ")
		}
	}
	return all
}

// is reports whether the block is of one kind: the first word behind its backticks.
func (b block) is(kind string) bool {
	first, _, _ := strings.Cut(b.info, " ")
	return first == kind
}

// saved is the file name that the block is to be saved under, "" if none.
func (b block) saved() string {
	words := strings.Fields(b.info)
	if i := slices.Index(words, "as"); i > 0 && i+1 < len(words) {
		return words[i+1]
	}
	return ""
}

func (b block) try(t *testing.T, folder string, env []string) {
	if name := b.saved(); name != "" {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(b.text), 0o600))
	}
	switch {
	case b.is("console"):
		for _, c := range readCommands(b) {
			c.run(t, folder, env)
		}
	case b.is("sh"):
		for _, line := range strings.Split(strings.TrimSpace(b.text), "\n") {
			assert.NoError(t, checkShell(strings.TrimSpace(line)), "%s:%d: %s", b.document, b.line, line)
		}
	}
}

// A command is one that a document tells its reader to type, what it must
// print, and how it must end.
type command struct {
	place  string
	text   string
	code   int
	output []string
}

var exitMark = regexp.MustCompile(`\s+# exit (\d)$`)

func readCommands(b block) []command {
	var all []command
	for i, line := range strings.Split(strings.TrimSuffix(b.text, "\n"), "\n") {
		switch {
		case strings.HasPrefix(line, "$ "):
			c := command{place: fmt.Sprintf("%s:%d", b.document, b.line+1+i), text: line[2:]}
			if m := exitMark.FindStringSubmatch(c.text); m != nil {
				c.code, _ = strconv.Atoi(m[1])
				c.text = strings.TrimSuffix(c.text, m[0])
			}
			all = append(all, c)
		case len(all) == 0:
		case strings.HasPrefix(line, "> "):
			all[len(all)-1].text += "\n" + line[2:]
		default:
			all[len(all)-1].output = append(all[len(all)-1].output, line)
		}
	}
	return all
}

func (c command) run(t *testing.T, folder string, env []string) {
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
	assert.Equal(t, c.code, code, "%s: %s\n%s", c.place, c.text, said.String())
	if len(c.output) > 0 {
		assert.Empty(t, unlike(c.output, said.String()), "%s: %s\nit says:\n%s", c.place, c.text, said.String())
	}
}

// unlike holds output against what a document shows of it, and gives the first
// line shown that does not fit. Blanks at the end of lines do not count.
func unlike(shown []string, output string) string {
	var pattern strings.Builder
	pattern.WriteString(`^`)
	fits := ""
	lines := strings.Split(strings.TrimRight(output, "\n"), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	got := strings.Join(lines, "\n") + "\n"
	for i, line := range shown {
		if line = strings.TrimRight(line, " "); line == "..." {
			pattern.WriteString(`(?:.*\n)*?`)
		} else {
			pattern.WriteString(strings.ReplaceAll(regexp.QuoteMeta(line), `\.\.\.`, `.*`) + `\n`)
		}
		if !regexp.MustCompile(pattern.String()).MatchString(got) {
			return line
		}
		if i == len(shown)-1 && !regexp.MustCompile(pattern.String()+`$`).MatchString(got) {
			fits = "(there is more output than is shown: write ...)"
		}
	}
	return fits
}

// checkShell looks at a command that is typed in the project's folder. The
// program itself is run, on empty input; tests are not run from inside a test,
// but what they name must be there.
func checkShell(line string) error {
	words := strings.Fields(line)
	root := ".."
	switch {
	case strings.HasPrefix(line, "go run ./cmd/deadflat"):
		return runHere(words[3:])
	case strings.HasPrefix(line, "go test"):
		return checkGoTest(words[2:])
	case strings.HasPrefix(line, "go build"), strings.HasPrefix(line, "go install"), strings.HasPrefix(line, "go doc"):
		for _, w := range words[2:] {
			if p, is := strings.CutPrefix(w, "./"); is && !folderExists(filepath.Join(root, p)) {
				return fmt.Errorf("there is no package %s", w)
			}
		}
		return nil
	case line == ".ci/run":
		info, err := os.Stat(filepath.Join(root, line))
		if err == nil && info.Mode()&0o100 == 0 {
			err = errors.New("it cannot be run")
		}
		return err
	}
	return errors.New("this test does not know such a command: teach it, or write a console block")
}

// runHere runs the program on empty input; it must understand its command line
// and find what it is to read.
func runHere(args []string) error {
	folder, err := os.MkdirTemp("", "deadflat-document-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	run := exec.Command(program, args...)
	run.Dir, run.Env = "..", accountIn(folder)
	out, err := run.CombinedOutput()
	var ended *exec.ExitError
	if errors.As(err, &ended) && ended.ExitCode() > 1 {
		return fmt.Errorf("it ends with exit code %d: %s", ended.ExitCode(), out)
	}
	return nil
}

// checkGoTest makes sure that the packages of a test command exist, that a test
// of the name given to -run, -bench or -fuzz is among them, and that they know
// the flag -update if it is given.
func checkGoTest(words []string) error {
	var files []string
	var wanted []*regexp.Regexp
	update := false
	for i, w := range words {
		p, isPath := strings.CutPrefix(w, "./")
		p = strings.TrimSuffix(p, "/")
		switch {
		case w == "./...":
			files = append(files, testFiles("..")...)
		case isPath:
			if !folderExists(filepath.Join("..", p)) {
				return fmt.Errorf("there is no package %s", w)
			}
			found, _ := filepath.Glob(filepath.Join("..", p, "*_test.go"))
			files = append(files, found...)
		case w == "-update":
			update = true
		case slices.Contains([]string{"-run", "-bench", "-fuzz"}, w) && i+1 < len(words):
			name := strings.Trim(words[i+1], "'^$")
			kind := map[string]string{"-run": "Test", "-bench": "Benchmark", "-fuzz": "Fuzz"}[w]
			if name != "" { // -run '^$' means none
				wanted = append(wanted, regexp.MustCompile(`(?m)^func `+kind+`\w*\(`), regexp.MustCompile(`(?m)^func \w*(?:`+name+`)\w*\(`))
			}
		}
	}
	if len(files) == 0 {
		return errors.New("there is no test in it")
	}
	var all []byte
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			return err
		}
		all = append(all, text...)
	}
	for _, w := range wanted {
		if !w.Match(all) {
			return fmt.Errorf("nothing in it matches %s", w)
		}
	}
	if update && !bytes.Contains(all, []byte(`flag.Bool("update"`)) {
		return errors.New("its tests know no flag -update")
	}
	return nil
}

func testFiles(folder string) []string {
	var out []string
	_ = filepath.WalkDir(folder, func(path string, _ os.DirEntry, err error) error {
		if err == nil && strings.HasSuffix(path, "_test.go") {
			out = append(out, path)
		}
		return nil
	})
	return out
}

func folderExists(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

func TestReadingDocuments(t *testing.T) {
	text := "# Head\n```console\n$ one\nout\n$ two <<END\n> body\n> END\n$ three  # exit 1\n```\n$ not me\n```yaml good as a.yaml\nkey: 1\n```\n"
	blocks := readBlocks(text)
	require.Len(t, blocks, 2)
	assert.Equal(t, block{line: 11, info: "yaml good as a.yaml", section: "Head", text: "key: 1\n"}, blocks[1])
	assert.Equal(t, "a.yaml", blocks[1].saved())
	assert.Equal(t, []command{
		{place: ":3", text: "one", output: []string{"out"}},
		{place: ":5", text: "two <<END\nbody\nEND"},
		{place: ":8", text: "three", code: 1},
	}, readCommands(blocks[0]))
}

func TestUnlike(t *testing.T) {
	out := "one\ntwo: abc def \nthree\nfour\n"
	for _, shown := range []string{"one\ntwo: abc def\nthree\nfour", "...\nfour", "one\n...", "one\ntwo: ... def\n...\nfour"} {
		assert.Empty(t, unlike(strings.Split(shown, "\n"), out), shown)
	}
	for shown, first := range map[string]string{
		"one\nthree\n...": "three", "two\n...": "two", "...\nfive": "five",
		"one": "(there is more output than is shown: write ...)",
	} {
		assert.Equal(t, first, unlike(strings.Split(shown, "\n"), out), shown)
	}
}

func TestCheckShell(t *testing.T) {
	for _, right := range []string{"go test ./...", "go test ./tests -run TestStories -update", "go test ./internal/unit -run '^$' -fuzz FuzzParseTyped", "go run ./cmd/deadflat version"} {
		assert.NoError(t, checkShell(right), right)
	}
	for _, wrong := range []string{"go test ./internal/nothing", "go test ./tests -run TestNothingOfThisName", "go test ./internal/unit -update", "go run ./cmd/deadflat wlak", "rm -r x"} {
		assert.Error(t, checkShell(wrong), wrong)
	}
}
