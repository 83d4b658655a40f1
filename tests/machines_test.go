package tests

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

// A trial reads the same on every machine. Here is one of 32 bits, where other machine code works
// out exponentials and logarithms, and one that multiplies and adds in one rounding, as an arm64
// machine does.
func TestTrialIsTheSameOnEveryMachine(t *testing.T) {
	if runtime.GOARCH != "amd64" || runtime.GOOS != "linux" {
		t.Skip("the other machines' programs run on amd64 under Linux only")
	}
	folder, env := home(t)
	tried := []string{"trial", "no-start", "--vehicles", "500", "--seed", "1", "--json"}
	kept := []string{"trial", "no-start", "--vehicles", "1", "--seed", "47", "--job"}
	result := func(name string) (report, job string) {
		report = runIn(t, folder, env, "", tried...).stdout
		runIn(t, folder, env, "", append(kept, name+".job")...)
		data, err := os.ReadFile(filepath.Join(folder, name+".job"))
		require.NoError(t, err)
		return report, string(data)
	}
	report, job := result("here")
	require.NotEmpty(t, report)
	here := program
	defer func() { program = here }()
	for _, machine := range []string{"GOARCH=386", "GOAMD64=v3"} {
		if machine == "GOAMD64=v3" && !fused(t) {
			continue
		}
		other := filepath.Join(t.TempDir(), "deadflat")
		build := exec.Command("go", "build", "-o", other, "deadflat/cmd/deadflat")
		build.Env = append(os.Environ(), "CGO_ENABLED=0", machine)
		out, err := build.CombinedOutput()
		require.NoError(t, err, "%s", out)
		program = other
		r, j := result(machine)
		require.Equal(t, report, r, machine)
		require.Equal(t, job, j, machine)
	}
}

// fused tells whether this machine multiplies and adds in one.
func fused(t *testing.T) bool {
	cpu, err := os.ReadFile("/proc/cpuinfo")
	require.NoError(t, err)
	return regexp.MustCompile(`\bfma\b.*\bavx2\b|\bavx2\b.*\bfma\b`).Match(cpu)
}
