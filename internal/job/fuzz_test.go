package job

import (
	"bytes"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzOpen gives what Open does with a file's bytes any bytes at all: it must
// refuse them, or read a job that, written out again, reads as the same job.
func FuzzOpen(f *testing.F) {
	data := write(f, filepath.Join(f.TempDir(), "seed.job"))
	f.Add(data)
	f.Add(data[:len(data)-9])
	f.Add(bytes.Replace(data, []byte(`"seq":4`), []byte(`"seq":5`), 1))
	f.Add([]byte(`{"format":"deadflat job","version":1}` + "\n"))
	f.Add([]byte(`{"format":"deadflat job","version":99}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := parse(data)
		if err != nil {
			return
		}
		require.Equal(t, int64(len(data)), p.whole+p.torn)
		again, err := parse(written(t, p))
		require.NoError(t, err)
		require.Equal(t, written(t, p), written(t, again))
		require.Zero(t, again.torn)
		if j, err := resolve(p, nil); err == nil {
			_, _ = j.Replay() // may be refused, may not panic
		}
	})
}

// written gives a job as its file holds it.
func written(t *testing.T, p *parsed) []byte {
	out, err := encode(p.header)
	require.NoError(t, err)
	for _, ev := range p.events {
		line, err := encode(ev)
		require.NoError(t, err)
		out = append(out, line...)
	}
	return out
}
