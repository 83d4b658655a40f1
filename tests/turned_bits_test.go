package tests

import (
	"bytes"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/eval"
	jobs "deadflat/internal/job"
	"deadflat/internal/leadacid"
	"deadflat/internal/report"
)

// reportedOf is what is said of a job file.
func reportedOf(path string) (string, error) {
	var trade []*eval.Func
	for _, f := range leadacid.All() {
		if f.Unit != nil {
			trade = append(trade, f)
		}
	}
	j, err := jobs.Read(path, trade...)
	if err != nil {
		return "", err
	}
	walk, err := j.Replay()
	if err != nil {
		return "", err
	}
	var said bytes.Buffer
	err = report.Text(&said, walk.Record(), 80)
	return said.String(), err
}

// turned turns one bit of a job's file and demands that the file is refused with a
// place, or that what is reported stays as it is.
func turned(t *testing.T, path string, data []byte, bit int, whole string) (refused bool) {
	changed := bytes.Clone(data)
	changed[bit/8] ^= 1 << (bit % 8)
	return held(t, path, changed, bit, whole)
}

func held(t *testing.T, path string, changed []byte, bit int, whole string) (refused bool) {
	require.NoError(t, os.WriteFile(path, changed, 0o600))
	said, err := reportedOf(path)
	if err == nil {
		require.True(t, whole == said, "another report comes of bit %d of byte %d", bit%8, bit/8)
		return false
	}
	require.Regexp(t, `line \d+|its first line|format version|the text of "`, err.Error(), "bit %d of byte %d", bit%8, bit/8)
	return true
}

// A bit of a finished no-start job turns, in any kind of place.
func TestATurnedBitOfAJobIsNoticed(t *testing.T) {
	const tries = 2000
	folder, env := home(t)
	made := runIn(t, folder, env, "", "trial", "no-start", "--vehicles", "1", "--seed", "3", "--population", "bench", "--job", "real.job")
	require.Equal(t, 0, made.code, made.stderr)
	path := filepath.Join(folder, "real.job")
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	whole, err := reportedOf(path)
	require.NoError(t, err)
	require.True(t, strings.Contains(whole, "Worn-out battery. This finding is firm"), "another vehicle hides behind that seed")

	random := rand.New(rand.NewPCG(2031, 5))
	within := func(from, to int) func() int { return func() int { return from + random.IntN(to-from) } }
	head := bytes.IndexByte(data, '\n')
	kinds := []func() int{
		within(0, bytes.Index(data, []byte(`"sources"`))), // header and meter
		within(0, head), // nearly all of it text of trees
		within(head, len(data)),
	}
	for _, mark := range []string{`"value":`, `"sum":"`} {
		var places []int
		for at := range data {
			if bytes.HasPrefix(data[at:], []byte(mark)) {
				places = append(places, at)
			}
		}
		require.NotEmpty(t, places)
		kinds = append(kinds, func() int { return places[random.IntN(len(places))] + random.IntN(len(mark)+4) })
	}
	refused := 0
	for i := range tries {
		if turned(t, path, data, kinds[i%len(kinds)]()*8+random.IntN(8), whole) {
			refused++
		}
	}
	t.Logf("%d bits, %d refused", tries, refused)
}

// Somebody changes a value, or what was typed, and the checksums so that they fit: the
// two are held against one another.
func TestATurnedBitOfAValueIsNoticed(t *testing.T) {
	folder, env := home(t)
	made := runIn(t, folder, env, "turns slowly\n\n12.71\nsound\n2.35\n", "walk", "--plain", "--tree", yardTree(t), "--kit", "all", "--job", "yard.job")
	require.Equal(t, 0, made.code, made.stderr)
	path := filepath.Join(folder, "yard.job")
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(data), sealed(string(data)))
	whole, err := reportedOf(path)
	require.NoError(t, err)
	const value = `"typed":"12.71","value":12.71`
	at := bytes.Index(data, []byte(value))
	require.Positive(t, at)
	refused := 0
	for bit := 8 * at; bit < 8*(at+len(value)); bit++ {
		require.True(t, turned(t, path, data, bit, whole), "without new checksums")
		changed := bytes.Clone(data)
		changed[bit/8] ^= 1 << (bit % 8)
		if held(t, path, []byte(sealed(string(changed))), bit, whole) {
			refused++
		}
	}
	assert.Greater(t, refused, 8*len(value)*9/10)
	t.Logf("%d bits, %d refused with checksums that fit", 8*len(value), refused)
}
