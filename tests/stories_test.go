package tests

import (
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite the expected output in the stories")

// TestStories runs the scripts under testdata/stories: each tells one workshop
// story from the command line. "code N PROGRAM ARG..." runs a program that must
// end with exit code N; "tear FILE N" cuts N bytes off a file; files that "cmp"
// compares with are rewritten with -update.
func TestStories(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("testdata", "stories"),
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			e.Vars = append(e.Vars, accountIn(e.WorkDir)...)
			trees, err := filepath.Abs(filepath.Join("testdata", "trees"))
			e.Setenv("TREES", trees)
			return err
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"code": code, "tear": tear},
	})
}

// tear cuts bytes off the end of a file, as a power cut does.
func tear(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: tear FILE BYTES")
	}
	path := ts.MkAbs(args[0])
	cut, err := strconv.Atoi(args[1])
	ts.Check(err)
	info, err := os.Stat(path)
	ts.Check(err)
	ts.Check(os.Truncate(path, info.Size()-int64(cut)))
}

// code runs a program and compares its exit code. The output of the program
// stays for the stdout and stderr commands that follow.
func code(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: code N PROGRAM ARG...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec(args[1], args[2:]...)
	got := 0
	var ended *exec.ExitError
	if errors.As(err, &ended) {
		got = ended.ExitCode()
	} else {
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("%s ended with exit code %d, expected %d", strings.Join(args[1:], " "), got, want)
	}
}
