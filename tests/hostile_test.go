package tests

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// outcome is what a run of the program left behind.
type outcome struct {
	code           int
	stdout, stderr string
}

// runIn runs the program in a person's account and holds what must be true of
// any run: it ends by itself, without a Go trace, within the four exit codes,
// and sends no control code but the line feed.
func runIn(t *testing.T, folder string, env []string, stdin string, args ...string) outcome {
	c := exec.Command(program, args...)
	c.Dir, c.Env, c.Stdin = folder, env, strings.NewReader(stdin)
	var out, errs bytes.Buffer
	c.Stdout, c.Stderr = &out, &errs
	var o outcome
	err := c.Run()
	var ended *exec.ExitError
	if errors.As(err, &ended) {
		o.code = ended.ExitCode()
	} else {
		require.NoError(t, err)
	}
	o.stdout, o.stderr = out.String(), errs.String()
	assert.Contains(t, []int{0, 1, 2, 3}, o.code)
	for _, said := range []string{o.stdout, o.stderr} {
		assert.NotContains(t, said, "goroutine ")
		assert.NotRegexp(t, "[\x00-\x08\x0b-\x1f\x7f\u0080-\u009f\u202a-\u202e\u2066-\u2069]", said)
	}
	return o
}

func TestHostileTrees(t *testing.T) {
	for name, text := range map[string]string{
		"empty":           "",
		"zeros":           strings.Repeat("\x00", 100),
		"not UTF-8":       "tree: a\xff\xfe\n",
		"UTF-16":          "\xff\xfet\x00r\x00e\x00e\x00",
		"too large":       "tree: big\n" + strings.Repeat("# filler\n", 200_000),
		"a long line":     "tree: " + strings.Repeat("x", 900_000),
		"deep":            "tree: deep\nsteps: " + strings.Repeat("[", 20_000),
		"deep mappings":   "tree: deep\nsteps: " + strings.Repeat("{a: ", 5_000),
		"an alias bomb":   "tree: bomb\na: &a [x,x,x,x,x,x,x,x]\nb: &b [*a,*a,*a,*a,*a,*a,*a]\nc: [*b,*b,*b,*b,*b,*b]\n",
		"itself":          "tree: &a [*a]\n",
		"two documents":   "tree: one\n---\ntree: two\n",
		"a tag":           "tree: !!binary aGVsbG8=\n",
		"control codes":   "tree: a\ntitle: \"\\e[2J\\e]0;owned\\a\"\nedition: 1\nbegin: \"\\x1b[31m\"\n",
		"turning letters": "tree: a\ntitle: \"\\u202Eevil\"\nedition: 1\nbegin: \"\u202ex\"\n",
		"a deep guard":    "tree: a\ntitle: a\nedition: 1\nbegin: s\nreadings: {r: {ask: r, short: r, unit: V, span: [0, 1]}}\nsteps: {s: {kind: measure, title: s, take: [r], branches: [{if: '" + strings.Repeat("(", 900) + "r" + strings.Repeat(")", 900) + " > 0', to: f}, {otherwise: f}]}}\nfindings: {f: {title: f, action: f}}\n",
		"a long guard":    "tree: a\ntitle: a\nedition: 1\nbegin: s\nreadings: {r: {ask: r, short: r, unit: V, span: [0, 1]}}\nsteps: {s: {kind: measure, title: s, take: [r], branches: [{if: 'r" + strings.Repeat(" + r", 5_000) + " > r', to: f}, {otherwise: f}]}}\nfindings: {f: {title: f, action: f}}\n",
	} {
		t.Run(name, func(t *testing.T) {
			folder, env := home(t)
			require.NoError(t, os.WriteFile(filepath.Join(folder, "bad.yaml"), []byte(text), 0o600))
			o := runIn(t, folder, env, "", "trees", "--check", "bad.yaml")
			assert.Equal(t, 1, o.code, "%s%s", o.stdout, o.stderr)
			assert.Contains(t, o.stdout, "bad.yaml")
			assert.Less(t, len(o.stdout), 100_000)
			names := runIn(t, folder, env, "", "trees", "--names", "--tree", "bad.yaml", "bad.yaml")
			assert.Contains(t, []int{0, 1}, names.code)
			assert.Less(t, len(names.stdout), 10_000)
			assert.NotContains(t, names.stdout+names.stderr, "\x1b")
			walk := runIn(t, folder, env, "", "walk", "--plain", "--kit", "all", "--tree", "bad.yaml")
			assert.Contains(t, []int{1, 2}, walk.code)
		})
	}
}

func TestHostileTables(t *testing.T) {
	tree := yardTree(t)
	for name, c := range map[string]struct {
		text string
		code int
		says string // on standard output
	}{
		"control codes":         {"vehicle,complaint\n\x1b[2J\x9b\u202evan,turns normally\n", 1, "line 2"},
		"a formula":             {"vehicle,complaint\n=1+1,turns normally\n", 0, "Cranks well but does not fire"},
		"a long row":            {"vehicle,complaint\n" + strings.Repeat("x", 1<<20) + "\nvan,turns normally\n", 1, "line 3 (van): Cranks well"},
		"many fields":           {"vehicle,complaint\n" + strings.Repeat(",", 60_000) + "\nvan,turns normally\n", 1, "line 3 (van): Cranks well"},
		"an open quote":         {"vehicle,complaint\n\"van,turns normally\nvan,turns normally\n", 1, "line 3 (van): Cranks well"},
		"zeros":                 {"vehicle,complaint\n\x00\x00,\x00\nvan,turns normally\n", 1, "line 3 (van): Cranks well"},
		"a long header":         {strings.Repeat("x", 1<<20), 1, ""},
		"many columns":          {strings.Repeat("x,", 30_000) + "\n", 1, ""},
		"deep JSON":             {strings.Repeat(`{"recheck":`, 5_000) + "\n" + `{"complaint":"turns normally"}` + "\n", 1, "line 2: Cranks well"},
		"a number out of reach": {"complaint,rest_voltage\nsilence,1e999\nsilence,NaN\nsilence,-Inf\nturns normally,\n", 1, "line 5: Cranks well"},
		"nothing":               {"", 1, ""},
	} {
		t.Run(name, func(t *testing.T) {
			folder, env := home(t)
			o := runIn(t, folder, env, c.text, "decide", "yard", "-", "--tree", tree)
			assert.Equal(t, c.code, o.code, "%s%s", o.stdout, o.stderr)
			assert.Contains(t, o.stdout, c.says)
			assert.Less(t, len(o.stderr), 10_000_000)
			for _, form := range []string{"--json", "--csv"} {
				again := runIn(t, folder, env, c.text, "decide", "yard", "-", "--tree", tree, form)
				assert.Equal(t, c.code, again.code)
			}
		})
	}
}

// What a person types, or a cat on the keyboard, neither breaks the walk nor
// reaches the terminal as a control code.
func TestHostileKeyboard(t *testing.T) {
	folder, env := home(t)
	for name, typed := range map[string]string{
		"control codes": "\x1b[A\x1b]0;owned\x07\n\x00\nnote \x1b[2Jgone\u202e\n",
		"a long line":   strings.Repeat("12.6 ", 300_000) + "\n",
		"many lines":    strings.Repeat("what?\n", 2_000),
		"not UTF-8":     "\xff\xfe\n",
		"no line feed":  "turns slowly",
	} {
		t.Run(name, func(t *testing.T) {
			o := runIn(t, folder, env, typed, "walk", "--tree", yardTree(t), "--kit", "all")
			assert.Equal(t, 1, o.code)
			assert.Contains(t, o.stderr, "Paused")
		})
	}
	listed := runIn(t, folder, env, "", "jobs")
	assert.Equal(t, 0, listed.code)
	assert.Equal(t, 6, strings.Count(listed.stdout, "\n"))
	for _, form := range []string{"text", "markdown", "json"} {
		assert.Equal(t, 0, runIn(t, folder, env, "", "report", "last", "--as", form).code)
	}
}

// sealed gives the lines of a job or a drill checksums that fit, as somebody does who
// changes one on purpose.
func sealed(data string) string {
	before, out := "", ""
	for line := range strings.Lines(data) {
		body, _, _ := strings.Cut(strings.TrimSuffix(line, "}\n"), `,"sum":"`)
		sum := sha256.Sum256([]byte(before + body))
		before = hex.EncodeToString(sum[:])[:16]
		out += body + `,"sum":"` + before + `"}` + "\n"
	}
	return out
}

// A job from a stranger cannot steer the terminal of whoever looks at it.
func TestHostileJobs(t *testing.T) {
	folder, env := home(t)
	require.Equal(t, 1, runIn(t, folder, env, "note HERE\n", "walk", "--tree", yardTree(t), "--kit", "all", "--job", "a.job").code)
	data, err := os.ReadFile(filepath.Join(folder, "a.job"))
	require.NoError(t, err)
	jobs := filepath.Join(folder, "state", "deadflat", "jobs")
	require.NoError(t, os.MkdirAll(jobs, 0o700))
	evil := strings.ReplaceAll(string(data), "HERE", `\u001b[2J\u202e <script>alert(1)</script>`)
	require.NotEqual(t, string(data), evil)
	evil = sealed(evil)
	require.NoError(t, os.WriteFile(filepath.Join(jobs, "evil.job"), []byte(evil), 0o600))
	title := regexp.MustCompile(`"title":"[^"]*"`).ReplaceAllString(string(data), `"title":"\u001b[2J\u202e\u0085T"`)
	state := regexp.MustCompile(`"state":"[^"]*"`).ReplaceAllString(title, `"state":"\u001b[2J\u2066\u009bS"`)
	tree := strings.Replace(string(data), `"tree":"yard"`, `"tree":"\u001b[2J\u202eX"`, 1)
	for name, text := range map[string]string{"title": title, "state": state, "tree": tree, "\x1b[2J\u202ename\u009b": string(data)} {
		require.NoError(t, os.WriteFile(filepath.Join(jobs, name+".job"), []byte(sealed(text)), 0o600))
	}
	require.NoError(t, os.WriteFile(filepath.Join(jobs, "none.job"), []byte("\x1b[2J"), 0o600))
	require.NoError(t, os.MkdirAll(filepath.Join(jobs, "folder.job"), 0o700))
	require.NoError(t, exec.Command("mkfifo", filepath.Join(jobs, "pipe.job")).Run())
	listed := runIn(t, folder, env, "", "jobs")
	assert.Equal(t, 0, listed.code)
	assert.Equal(t, 8, strings.Count(listed.stdout, "\n"), "%s", listed.stdout)
	for _, r := range listed.stdout {
		assert.False(t, unicode.In(r, unicode.Cc, unicode.Cf) && r != '\n', "%q in %q", r, listed.stdout)
	}
	for _, form := range []string{"text", "markdown", "html", "json"} {
		o := runIn(t, folder, env, "", "report", "evil", "--as", form)
		assert.Equal(t, 0, o.code, o.stderr)
		if form == "html" || form == "markdown" {
			assert.NotContains(t, o.stdout, "<script>")
		}
	}
	assert.Equal(t, 3, runIn(t, folder, env, "", "report", "none").code)
	assert.Equal(t, 3, runIn(t, folder, env, "", "report", jobs+"/folder.job").code)
}

// Output that nobody takes ends the program without a word; output that cannot
// be written is complained about.
func TestOutputThatGoesNowhere(t *testing.T) {
	folder, env := home(t)
	table := "complaint\n" + strings.Repeat("turns normally\n", 200_000)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "fleet.csv"), []byte(table), 0o600))
	for _, args := range [][]string{
		{"decide", "yard", "fleet.csv", "--tree", yardTree(t)},
		{"trees", "no-start"},
	} {
		c := exec.Command(program, args...)
		c.Dir, c.Env = folder, env
		reader, writer, err := os.Pipe()
		require.NoError(t, err)
		require.NoError(t, reader.Close())
		var errs bytes.Buffer
		c.Stdout, c.Stderr = writer, &errs
		err = c.Run()
		require.NoError(t, writer.Close())
		var ended *exec.ExitError
		require.ErrorAs(t, err, &ended)
		assert.Equal(t, 3, ended.ExitCode())
		assert.Empty(t, errs.String())
	}
}
