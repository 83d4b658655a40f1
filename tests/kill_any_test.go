package tests

import (
	"bytes"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// kills is how often a program is killed at any moment: DEADFLAT_KILLS.
func kills(t *testing.T) int {
	n, err := strconv.Atoi(os.Getenv("DEADFLAT_KILLS"))
	if err != nil {
		n = 8
	}
	t.Logf("%d kills", n)
	return n
}

// said is a line and what shows once it has been taken.
type said struct{ types, then string }

// cutShort starts the program without naming its file, types one line after the other
// as each is acknowledged, and kills it some time after line at is typed, -1 for after
// its start. It gives how many lines were acknowledged, -1 where not even the first
// prompt showed.
func cutShort(t *testing.T, c *exec.Cmd, prompt string, lines []said, at int, after time.Duration) (acknowledged int) {
	keys, screen := onPipes(t, c)
	kill := func() { _ = c.Process.Kill() }
	defer func() { _ = c.Wait() }()
	if at < 0 {
		time.AfterFunc(after, kill)
	}
	if _, err := shows(screen, prompt); err != nil {
		return -1
	}
	for i, l := range lines {
		if _, err := io.WriteString(keys, l.types+"\n"); err != nil {
			return i
		}
		if i == at {
			time.AfterFunc(after, kill)
		}
		if _, err := shows(screen, l.then); err != nil {
			return i
		}
	}
	kill()
	return len(lines)
}

// killedAtAnyMoment does that many times over, from before the file is there to after
// the last line. There is a whole file or none, with every line that was acknowledged
// in it and no more than one besides; goOn takes it from there.
func killedAtAnyMoment(t *testing.T, kind, prompt string, lines []said, args []string, goOn func(t *testing.T, folder string, env []string, name string, kept int)) {
	start := func(at int, after time.Duration) (folder string, env []string, acknowledged int) {
		folder, env = home(t)
		c := exec.Command(program, args...)
		c.Dir, c.Env = folder, env
		return folder, env, cutShort(t, c, prompt, lines, at, after)
	}
	begun := time.Now()
	_, _, all := start(-1, time.Minute)
	whole := time.Since(begun)
	require.Equal(t, len(lines), all)
	random := rand.New(rand.NewPCG(8, 3))
	met := map[int]int{}
	for range kills(t) {
		// Half of them at the start, the others soon after a line was typed.
		at, within := -1, whole
		if random.IntN(2) == 1 {
			at, within = random.IntN(len(lines)), whole/200
		}
		folder, env, acknowledged := start(at, time.Duration(random.Float64()*float64(within)))
		met[acknowledged]++
		files, err := filepath.Glob(filepath.Join(folder, "state", "deadflat", kind+"s", "*."+kind))
		require.NoError(t, err)
		if len(files) == 0 {
			require.Equal(t, -1, acknowledged, "nothing is asked before there is a file")
			continue
		}
		require.Len(t, files, 1)
		data, err := os.ReadFile(files[0])
		require.NoError(t, err)
		kept := bytes.Count(data, []byte("\n")) - 1
		assert.GreaterOrEqual(t, kept, max(acknowledged, 0))
		assert.LessOrEqual(t, kept, max(acknowledged, 0)+1)
		name, err := filepath.Rel(folder, files[0])
		require.NoError(t, err)
		goOn(t, folder, env, name, kept)
	}
	t.Logf("by lines acknowledged, -1 for no prompt: %v", met)
}

func TestAWalkKilledAtAnyMoment(t *testing.T) {
	var lines []said
	for _, s := range yardWalk {
		lines = append(lines, said{s.types, s.then})
	}
	killedAtAnyMoment(t, "job", yardFirst, lines, []string{"walk", "--tree", yardTree(t), "--kit", "all", "--plain"}, goOn)
}

func TestADrillKilledAtAnyMoment(t *testing.T) {
	whole := drillFrom(t, 0, nil, "")
	killedAtAnyMoment(t, "drill", "What next", drillLines, append(slices.Clone(drillArgs), "--plain"), func(t *testing.T, folder string, env []string, name string, kept int) {
		assert.Equal(t, whole, finishDrill(t, folder, env, []string{"drill", "--resume", name, "--plain"}, kept))
	})
}
