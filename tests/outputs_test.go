//go:build linux

package tests

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// C1 controls and the marks that turn the direction of text round are neither control
// codes nor blanks to JSON.
func TestNothingOfATableActsOnTheScreen(t *testing.T) {
	folder, env := home(t)
	const label = "van\u009b31m\u202e\u2066\U000e0041"
	require.NoError(t, os.WriteFile(filepath.Join(folder, "fleet.csv"), []byte("vehicle,complaint\n"+label+",turns normally\n"+label+",no\u009bsuch\n"), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "fleet.jsonl"), []byte(`{"vehicle":"`+label+`","complaint":"no\u009bsuch"}`+"\n"), 0o600))
	for _, form := range []string{"--json", "--csv", "--workers=2"} {
		for _, args := range [][]string{{"fleet.csv"}, {"fleet.jsonl"}, {"--set", "vehicle=" + label, "--set", "complaint=turns normally"}} {
			r := runIn(t, folder, env, "", append([]string{"decide", "yard", "--tree", yardTree(t), form}, args...)...)
			require.Contains(t, r.stdout, "van")
			for _, c := range r.stdout + r.stderr {
				require.False(t, c != '\n' && (unicode.IsControl(c) || unicode.Is(unicode.Cf, c)), "%q", r.stdout+r.stderr)
			}
			if form == "--json" {
				assert.Contains(t, r.stdout, `van\u009b31m\u202e\u2066\udb40\udc41`)
			}
		}
	}
}

// writer is a command that writes a file: what stands before the name of the file, and
// what it reads.
type writer struct {
	args  []string
	reads []string
	mode  os.FileMode // of a new file
}

// writersIn makes a job, a drill and a tree in a folder and gives every command that
// writes a file; with DEADFLAT_EVERY_FORM set, in every form.
func writersIn(t *testing.T, folder string, env []string) []writer {
	tree, err := os.ReadFile(yardTree(t))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "own.yaml"), tree, 0o644))
	o := runIn(t, folder, env, "turns slowly\n12.71\npause\n", "walk", "yard", "--tree", "own.yaml", "--plain", "--kit", "all", "--job", "van.job")
	require.Equal(t, 1, o.code, o.stderr)
	o = runIn(t, folder, env, "look battery_case\npause\n", "drill", "--level", "4", "--seed", "5", "--plain", "--job", "my.drill")
	require.Equal(t, 1, o.code, o.stderr)
	var all []writer
	add := func(mode os.FileMode, read string, forms []string, args ...string) {
		if os.Getenv("DEADFLAT_EVERY_FORM") == "" {
			forms = forms[:1] // they all go the same way to the file
		}
		for _, form := range forms {
			all = append(all, writer{append(slices.Clone(args), "--as", form, "-o"), []string{read}, mode})
		}
	}
	drawn := []string{"svg", "html", "dot", "mermaid", "sheet"}
	add(0o600, "van.job", []string{"text", "markdown", "html", "json"}, "report", "van.job")
	add(0o644, "my.drill", []string{"text", "html"}, "report", "my.drill")
	add(0o644, "own.yaml", drawn, "draw", "own.yaml")
	add(0o600, "van.job", drawn, "draw", "--job", "van.job")
	return append(all,
		writer{[]string{"schema", "-o"}, nil, 0o644},
		writer{[]string{"trial", "no-start", "--vehicles", "1", "--html"}, nil, 0o644})
}

// Whatever stands at the name that is given for a file: what a person has kept stays,
// what cannot be written is told, and anything else is there whole or not at all.
func TestEveryOutputToEveryTarget(t *testing.T) {
	folder, env := home(t)
	path := func(name string) string { return filepath.Join(folder, name) }
	must := func(err error) { require.NoError(t, err) }
	content := func(name string) []byte {
		text, err := os.ReadFile(path(name))
		must(err)
		return text
	}
	tries := 0
	for _, w := range writersIn(t, folder, env) {
		write := func(target string) outcome {
			tries++
			return runIn(t, folder, env, "", append(slices.Clone(w.args), target)...)
		}
		whole := write("first.out")
		require.Zero(t, whole.code, whole.stderr)
		text := content("first.out")
		require.NotEmpty(t, text)

		// What is kept, by its name, a link, a link to that or another name.
		for _, kept := range append([]string{"van.job", "my.drill"}, w.reads...) {
			before := content(kept)
			must(os.Symlink(kept, path("link")))
			must(os.Symlink("link", path("linked")))
			must(os.Link(path(kept), path("hard")))
			for _, target := range []string{kept, "link", "linked", "hard", path(kept)} {
				o := write(target)
				assert.Equal(t, 3, o.code, "%v %s", w.args, target)
				assert.Contains(t, o.stderr, "not written over: name another file")
				require.Equal(t, before, content(kept), "%v %s", w.args, target)
			}
			for _, name := range []string{"link", "linked", "hard"} {
				must(os.Remove(path(name)))
			}
		}

		// Places where nothing can be written.
		must(os.Mkdir(path("folder"), 0o700))
		must(os.Symlink("nothing", path("dangling")))
		for target, says := range map[string]string{
			"nowhere/x.out": `there is no folder "nowhere"`, "folder": "is a folder", "folder/": "is the name of a folder", "new/": "is the name of a folder",
			"own.yaml/x.out": "not a directory", "dangling": "is a link to something that is not there", "/proc/x.out": "no new file can be made",
			"/dev/full": "no space left on device", strings.Repeat("x", 300): "file name too long",
		} {
			o := write(target)
			assert.Equal(t, 3, o.code, "%v %s: %s", w.args, target, o.stderr)
			assert.Contains(t, o.stderr, says, "%v %s", w.args, target)
		}
		must(os.Remove(path("folder")))
		must(os.Remove(path("dangling")))

		// A file that is there is replaced, and that is said; a link to it stays.
		must(os.WriteFile(path("old.out"), []byte("old\n"), 0o640))
		must(os.Symlink("old.out", path("link")))
		o := write("link")
		assert.Zero(t, o.code)
		assert.Contains(t, o.stderr, `"link" is replaced: 4 bytes of `)
		assert.Equal(t, text, content("old.out"), "%v", w.args)
		info, err := os.Lstat(path("link"))
		must(err)
		assert.NotZero(t, info.Mode()&os.ModeSymlink)
		info, err = os.Stat(path("old.out"))
		must(err)
		assert.Equal(t, map[bool]os.FileMode{true: 0o600, false: 0o640}[w.mode == 0o600], info.Mode().Perm())
		info, err = os.Stat(path("first.out"))
		must(err)
		assert.Equal(t, w.mode, info.Mode().Perm(), "%v", w.args)
		must(os.Remove(path("link")))
		must(os.Remove(path("old.out")))

		// A name that acts on a screen is told in quotes: runIn looks for that.
		const control = "a\x1b[31m\n\u009b\u202e.out"
		assert.Zero(t, write(control).code)
		assert.Contains(t, write(control).stderr, `"a\x1b[31m\n\u009b\u202e.out" is replaced`)
		must(os.Remove(path(control)))

		// A pipe, and the program's own output where that is a file.
		must(syscall.Mkfifo(path("fifo"), 0o600))
		read := make(chan []byte)
		go func() {
			f, err := os.Open(path("fifo"))
			if err != nil {
				close(read)
				return
			}
			defer f.Close()
			got, _ := io.ReadAll(f)
			read <- got
		}()
		assert.Zero(t, write("fifo").code)
		assert.True(t, bytes.Equal(text, <-read), "%v into a pipe", w.args)
		must(os.Remove(path("fifo")))
		if _, err := os.Stat("/dev/stdout"); err == nil && w.args[0] != "trial" {
			assert.True(t, bytes.Equal(text, []byte(write("/dev/stdout").stdout)))
			c := exec.Command("sh", append([]string{"-c", `echo before > own.out; "$@" >> own.out`, "sh", program}, append(slices.Clone(w.args), "/dev/stdout")...)...)
			c.Dir, c.Env = folder, env
			must(c.Run())
			rest, begun := bytes.CutPrefix(content("own.out"), []byte("before\n"))
			assert.True(t, begun && bytes.Equal(text, rest), "%v appended", w.args)
		}

		// A full disk leaves what was there, and nothing beside it.
		must(os.WriteFile(path("old.out"), []byte("old\n"), 0o600))
		for _, target := range []string{"old.out", "new.out"} {
			tries++
			o := onFullDisk(t, folder, env, append(slices.Clone(w.args), target)...)
			assert.Equal(t, 3, o.code, "%v: %s", w.args, o.stderr)
		}
		assert.Equal(t, "old\n", string(content("old.out")))
		assert.NoFileExists(t, path("new.out"))
		left, err := filepath.Glob(path(".deadflat-*"))
		must(err)
		assert.Empty(t, left)
		must(os.Remove(path("old.out")))
		must(os.Remove(path("first.out")))
	}
	t.Logf("%d tries", tries)
}

// What could not be printed is an error of the command, whichever it is.
func TestEveryCommandOnAFullScreen(t *testing.T) {
	folder, env := home(t)
	writersIn(t, folder, env)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "bad.yaml"), []byte("tree: bad\n"), 0o600))
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	require.NoError(t, err)
	defer full.Close()
	gone, pipe, err := os.Pipe()
	require.NoError(t, err)
	defer pipe.Close()
	require.NoError(t, gone.Close())
	for _, line := range []string{
		"", "--help", "-h", "help", "help walk", "walk --help", "drill -h", "__complete walk no",
		"trees", "trees no-start", "trees common", "trees --names", "trees --check", "trees --check bad.yaml", "prove bad.yaml", "try bad.yaml", "report van.job", "report van.job --as html", "report van.job --as json", "report van.job --as markdown",
		"report my.drill", "report my.drill --as html", "drill --debrief my.drill", "drill --sheet --seed 5", "draw no-start", "draw no-start --as html",
		"draw no-start --as dot", "draw no-start --as mermaid", "draw no-start --as sheet", "schema", "compare own.yaml own.yaml --walks 1",
		"compare own.yaml own.yaml --walks 1 --json", "prove own.yaml", "prove own.yaml --json", "prove --explain gap", "prove --explain all",
		"trial no-start --vehicles 1", "trial no-start --vehicles 1 --json", "trial no-start --vehicles 1 --job trial.job", "calc", "calc draw_limit", "calc freezing_point",
		"calc charge_from_voltage rest=12.4 chem=agm --json", "calc charge_from_voltage rest=12.4 chem=agm --explain", "version",
		"completion bash", "completion zsh", "completion fish", "completion powershell", "new mine -o new", "try own.yaml",
		"decide no-start --set complaint=silence", "decide no-start --set complaint=silence --json", "decide no-start --set complaint=silence --csv", "jobs",
	} {
		if line == "jobs" {
			require.Equal(t, 1, runIn(t, folder, env, "pause\n", "walk", "--plain", "--kit", "all").code)
		}
		for _, out := range []*os.File{full, pipe} {
			require.NoError(t, os.RemoveAll(filepath.Join(folder, "new")))
			require.NoError(t, os.RemoveAll(filepath.Join(folder, "trial.job")))
			c := exec.Command(program, strings.Fields(line)...)
			var errs bytes.Buffer
			c.Dir, c.Env, c.Stdout, c.Stderr = folder, env, out, &errs
			_ = c.Run() // the exit code tells
			assert.Equal(t, 3, c.ProcessState.ExitCode(), "%s: %s", line, errs.String())
			if out == full {
				assert.Contains(t, errs.String(), "no space left on device", line)
			} else {
				assert.NotContains(t, errs.String(), "deadflat:", line) // whoever read has gone
			}
		}
	}
}

// What is too large is refused, and nothing is said of it that is not so: only its
// beginning was read.
func TestTooLargeFiles(t *testing.T) {
	folder, env := home(t)
	write := func(name, begin, more string) {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(begin+strings.Repeat(more, 5<<20/len(more))), 0o600))
	}
	write("big.yaml", "tree: big\n", "# filler\n")
	write("big.json", `{"complaint": "turns normally"`, strings.Repeat(" ", 1024))
	write("stock.csv", "", "# filler\n")
	for args, code := range map[string]int{
		"try big.yaml": 1, "trees --check big.yaml": 1, "prove big.yaml": 1, "draw big.yaml": 1, "decide yard big.yaml --tree " + yardTree(t): 3,
		"walk --plain --kit big.yaml": 1, "walk --plain --kit all --meter big.yaml": 1, "trial no-start --population big.yaml": 1,
		"decide yard big.json --tree " + yardTree(t): 3, "calc replacement list=stock.csv": 3,
	} {
		o := runIn(t, folder, env, "", strings.Fields(args)...)
		assert.Equal(t, code, o.code, "%s: %s", args, o.stderr)
		assert.Regexp(t, `is larger than [12] MB, which is the most that is read`, o.stdout+o.stderr, args)
	}
}

// onFullDisk runs the program where no file can grow beyond one block, so that a write
// breaks off in the middle as on a full disk.
func onFullDisk(t *testing.T, folder string, env []string, args ...string) outcome {
	c := exec.Command("sh", append([]string{"-c", `ulimit -f 1; exec "$@"`, "sh", program}, args...)...)
	c.Dir, c.Env = folder, env
	var errs bytes.Buffer
	c.Stderr = &errs
	_ = c.Run() // the exit code tells
	return outcome{code: c.ProcessState.ExitCode(), stderr: errs.String()}
}
