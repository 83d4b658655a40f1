package tests

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Two programs go on with one file at once: one of them has it, with every line that it
// acknowledged, once and in order; the other is refused and writes nothing.
func TestTwoProgramsOnOneFile(t *testing.T) {
	const lines = 30
	for _, c := range []struct {
		name   string
		begin  []string
		resume []string
		types  string // with a number of its own
		then   string // as often as that was taken
		kept   string
	}{
		{"a.job", []string{"walk", "--tree", yardTree(t), "--kit", "all"}, []string{"walk"}, "note a%d", "Noted: a%d", `"text":"a(\d+)"`},
		{"a.drill", drillArgs, []string{"drill"}, "wait 0.%d", "time has passed", `"do":"wait 0.(\d+)"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			folder, env := home(t)
			runIn(t, folder, env, "", append(c.begin, "--job", c.name)...)
			var both sync.WaitGroup
			acknowledged, refused := [2][]string{}, [2]string{}
			for i := range 2 {
				p := exec.Command(program, append(c.resume, "--resume", c.name, "--plain")...)
				p.Dir, p.Env = folder, env
				keys, screen := onPipes(t, p)
				both.Go(func() {
					defer keys.(interface{ Close() error }).Close()
					for n := range lines {
						number := fmt.Sprint(1000*(i+1) + n)
						types, then := strings.Replace(c.types, "%d", number, 1), strings.Replace(c.then, "%d", number, 1)
						_, _ = fmt.Fprintln(keys, types) // one that has ended takes nothing
						seen, err := shows(screen, then)
						if err != nil {
							refused[i] = seen
							return
						}
						acknowledged[i] = append(acknowledged[i], number)
					}
				})
				t.Cleanup(func() { _ = p.Process.Kill(); _ = p.Wait() })
			}
			both.Wait()
			winner := 0
			if len(acknowledged[0]) == 0 {
				winner = 1
			}
			assert.Len(t, acknowledged[winner], lines)
			assert.Empty(t, acknowledged[1-winner])
			assert.Contains(t, refused[1-winner], "is in use: another deadflat is going on with it")
			data, err := os.ReadFile(filepath.Join(folder, c.name))
			require.NoError(t, err)
			var kept []string
			for _, found := range regexp.MustCompile(c.kept).FindAllStringSubmatch(string(data), -1) {
				kept = append(kept, found[1])
			}
			assert.Equal(t, acknowledged[winner], kept)
		})
	}
}
