package tests

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// BenchmarkLists: ten thousand finished no-start jobs in a list, and the last of ten
// thousand drills found and talked over; against one of each.
func BenchmarkLists(b *testing.B) {
	folder := b.TempDir()
	program := filepath.Join(folder, "deadflat")
	if out, err := exec.Command("go", "build", "-o", program, "../cmd/deadflat").CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, out)
	}
	for _, c := range []struct {
		kind       string
		begin, ask []string
	}{
		{"job", []string{"trial", "no-start", "--vehicles", "1", "--seed", "58"}, []string{"jobs"}},
		{"drill", []string{"drill", "--level", "1", "--seed", "3"}, []string{"drill", "--debrief", "last"}},
	} {
		b.Run(c.kind+"s", func(b *testing.B) {
			home := b.TempDir()
			run := func(args ...string) {
				p := exec.Command(program, args...)
				p.Env = append(os.Environ(), "HOME="+home, "XDG_STATE_HOME="+home, "XDG_CONFIG_HOME="+home)
				if out, err := p.CombinedOutput(); err != nil && p.ProcessState.ExitCode() != 1 {
					b.Fatalf("%v: %s", err, out)
				}
			}
			one := filepath.Join(home, "one."+c.kind)
			run(append(c.begin, "--job", one)...)
			data, err := os.ReadFile(one)
			if err != nil {
				b.Fatal(err)
			}
			kept := filepath.Join(home, "deadflat", c.kind+"s")
			if err := os.MkdirAll(kept, 0o700); err != nil {
				b.Fatal(err)
			}
			took := func() time.Duration {
				begun := time.Now()
				run(c.ask...)
				return time.Since(begun)
			}
			if err := os.WriteFile(filepath.Join(kept, "real."+c.kind), data, 0o600); err != nil {
				b.Fatal(err)
			}
			alone := took()
			for i := range 10_000 {
				if err := hollow(filepath.Join(kept, fmt.Sprintf("%05d.%s", i, c.kind)), data); err != nil {
					b.Fatal(err)
				}
			}
			for b.Loop() {
				all := took()
				b.ReportMetric(float64(all.Milliseconds()), "ms")
				b.ReportMetric(float64(all)/float64(alone), "x-one")
			}
		})
	}
}

// hollow writes a file with the two ends of data and a hole in between, which takes
// less room on the disk than ten thousand whole ones.
func hollow(path string, data []byte) error {
	const end = 8192
	if len(data) <= 2*end {
		return os.WriteFile(path, data, 0o600)
	}
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	if _, err := f.Write(data[:end]); err != nil {
		return err
	}
	tail := data[len(data)-end:]
	_, err = f.WriteAt(tail[bytes.IndexByte(tail, '\n')+1:], int64(len(data)-end+bytes.IndexByte(tail, '\n')+1))
	return err
}
