package job

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzOpen gives what Open does with a file's bytes any bytes at all, as they are and
// with checksums that fit: it must refuse them, or read a job whose events, written
// out again, are the same events.
func FuzzOpen(f *testing.F) {
	data := write(f, filepath.Join(f.TempDir(), "seed.job"))
	f.Add(data)
	f.Add(data[:len(data)-9])
	f.Add(bytes.Replace(data, []byte(`"seq":4`), []byte(`"seq":5`), 1))
	old, err := os.ReadFile("testdata/version-1.job")
	require.NoError(f, err)
	f.Add(old)
	f.Add([]byte(`{"format":"deadflat job","version":1}` + "\n"))
	f.Add([]byte(`{"format":"deadflat job","version":99}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, text := range []string{string(data), sealed(string(data))} {
			l, err := Kind.Parse([]byte(text))
			if err != nil {
				continue
			}
			j, err := decode("fuzz.job", l)
			if err != nil {
				continue
			}
			for _, ev := range j.Events {
				once, err := json.Marshal(ev)
				require.NoError(t, err)
				again := ev
				require.NoError(t, json.Unmarshal(once, &again))
				twice, err := json.Marshal(again)
				require.NoError(t, err)
				require.Equal(t, string(once), string(twice))
			}
			if err = bounded(func() error { return j.load(nil) }); err == nil {
				_, err = j.Replay()
			}
			require.False(t, err != nil && strings.Contains(err.Error(), "breaks this program"), "%v", err)
		}
	})
}
