package terminal

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

func askKit(typed ...string) (engine.Kit, string, error) {
	var out bytes.Buffer
	in := strings.NewReader(strings.Join(typed, "\n"))
	kit, err := AskKit(context.Background(), engine.Meters(), []string{"meter", "clamp", "load_tester"}, Options{Plain: true, In: in, Out: &out, Err: &out})
	rest := make([]byte, in.Len())
	_, _ = in.Read(rest)
	return kit, out.String() + "|" + string(rest), err
}

func TestAskKit(t *testing.T) {
	kit, out, err := askKit("", "9", "2", "1, 7", "1 3", "12.6")
	require.NoError(t, err)
	assert.Equal(t, engine.Kit{Meter: "workshop", Has: []string{"meter", "load_tester"}}, kit)
	assert.Contains(t, out, "  3 load tester")
	assert.Contains(t, out, `"7" is none of the numbers.`)
	assert.Equal(t, 2, strings.Count(out, "Type one of the numbers."))
	assert.True(t, strings.HasSuffix(out, "|12.6"), "the next line is left for the walk")
}

func TestAskKitAllAndNone(t *testing.T) {
	kit, _, err := askKit("1", "all")
	require.NoError(t, err)
	assert.Equal(t, []string{"meter", "clamp", "load_tester"}, kit.Has)
	kit, _, err = askKit("1", "none")
	require.NoError(t, err)
	assert.Equal(t, []string{}, kit.Has, "nothing at hand is not the same as everything")
}

func TestAskKitLeft(t *testing.T) {
	_, _, err := askKit("1")
	assert.ErrorIs(t, err, ErrLeft)
}
