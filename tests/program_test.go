// Package tests tries the whole program: workshop stories told as scripts,
// hostile input, a kill in mid-walk, the commands of the documents, and the
// arrows of import. It imports what it must from the packages and is imported
// by nobody.
package tests

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// program is the path of the deadflat binary under test.
var program string

func TestMain(m *testing.M) { os.Exit(buildAndRun(m)) }

func buildAndRun(m *testing.M) int {
	folder, err := os.MkdirTemp("", "deadflat-test-*")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(folder)
	program = filepath.Join(folder, "deadflat")
	build := exec.Command("go", "build", "-o", program, "deadflat/cmd/deadflat")
	if raceDetector {
		build = exec.Command("go", "build", "-race", "-o", program, "deadflat/cmd/deadflat")
	}
	if out, err := build.CombinedOutput(); err != nil {
		fmt.Fprintf(os.Stderr, "the program does not build: %s\n%s", err, out)
		return 1
	}
	return m.Run()
}

// home makes a person's empty account and gives the environment to run in.
func home(t *testing.T) (folder string, env []string) {
	folder = t.TempDir()
	return folder, accountIn(folder)
}

// accountIn is the environment of a person whose home is folder.
func accountIn(folder string) []string {
	return []string{
		"HOME=" + folder,
		"XDG_STATE_HOME=" + filepath.Join(folder, "state"),
		"XDG_CONFIG_HOME=" + filepath.Join(folder, "config"),
		"PATH=" + filepath.Dir(program) + string(filepath.ListSeparator) + os.Getenv("PATH"),
		"TERM=dumb",
		"TZ=UTC",
	}
}
