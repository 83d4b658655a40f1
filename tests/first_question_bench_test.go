package tests

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/creack/pty"
)

// BenchmarkFirstQuestion: from the start of the program to its first question on
// the screen, against the least program that shows one huh form (aim: within 1.3
// times). Both on a terminal that answers no queries.
func BenchmarkFirstQuestion(b *testing.B) {
	folder := b.TempDir()
	bare := filepath.Join(folder, "bareform")
	if out, err := exec.Command("go", "build", "-o", bare, "./testdata/bareform").CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, out)
	}
	ours := filepath.Join(folder, "deadflat")
	if out, err := exec.Command("go", "build", "-o", ours, "../cmd/deadflat").CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, out)
	}
	for b.Loop() {
		form := firstShown(b, bare)
		walk := firstShown(b, ours, "walk", "--meter", "workshop", "--kit", "all")
		b.ReportMetric(float64(walk.Milliseconds()), "ms")
		b.ReportMetric(float64(walk)/float64(form), "x-bare-form")
	}
}

// firstShown is the best of several starts, from exec to the question's words.
func firstShown(b *testing.B, program string, args ...string) time.Duration {
	best := time.Hour
	for range 9 {
		home := b.TempDir()
		cmd := exec.Command(program, args...)
		cmd.Env = append(os.Environ(), "TERM=xterm-256color", "XDG_STATE_HOME="+home, "XDG_CONFIG_HOME="+home)
		start := time.Now()
		tty, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 24, Cols: 80})
		if err != nil {
			b.Fatal(err)
		}
		var seen bytes.Buffer
		buf := make([]byte, 4096)
		for !bytes.Contains(seen.Bytes(), []byte("What kind of battery")) {
			n, err := tty.Read(buf)
			seen.Write(buf[:n])
			if err != nil {
				b.Fatalf("%s ended before its question: %s", program, seen.String())
			}
		}
		best = min(best, time.Since(start))
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		_ = tty.Close()
	}
	return best
}
