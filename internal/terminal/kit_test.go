package terminal

import (
	"bytes"
	"context"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// kitTree needs a clamp for a reading, a load tester and a charger for steps,
// and a helper for nothing.
func kitTree() *engine.Tree {
	return &engine.Tree{
		Words:    engine.Words{Equipment: []string{"meter", "clamp", "load_tester", "helper", "charger"}},
		Readings: []*engine.Reading{{ID: "rest"}, {ID: "current", Needs: []string{"clamp"}}},
		Steps:    []*engine.Step{{ID: "load", Needs: []string{"load_tester"}}, {ID: "charge", Needs: []string{"charger"}}},
	}
}

func askKit(typed ...string) (engine.Kit, string, error) {
	var out bytes.Buffer
	in := strings.NewReader(strings.Join(typed, "\n"))
	kit, err := AskKit(context.Background(), engine.Meters(), kitTree(), Options{Plain: true, In: in, Out: &out, Err: &out})
	rest := make([]byte, in.Len())
	_, _ = in.Read(rest)
	return kit, out.String() + "|" + string(rest), err
}

// Only what some reading or step needs is asked about; the rest is there.
func TestAskKit(t *testing.T) {
	kit, out, err := askKit("", "9", "2", "1, 7", "1 3", "12.6")
	require.NoError(t, err)
	assert.Equal(t, engine.Kit{Meter: "workshop", Has: []string{"clamp", "charger", "meter", "helper"}}, kit)
	assert.Contains(t, out, "  2 load tester\n  3 charger\nType")
	assert.NotContains(t, out, "helper\n")
	assert.Contains(t, out, `"7" is none of these: clamp, load tester, charger.`)
	assert.Contains(t, out, `"9" is none of these: basic, workshop, calibrated.`)
	assert.Contains(t, out, "At hand: clamp, charger.")
	assert.True(t, strings.HasSuffix(out, "|12.6"), "the next line is left for the walk")
}

func TestAskKitByName(t *testing.T) {
	for _, line := range []string{"clamp, load tester", "Load_Tester clamp", "1 load tester", "clamp;2", "clamp,load_tester,clamp"} {
		kit, _, err := askKit("Calibrated", line)
		require.NoError(t, err, line)
		assert.Equal(t, "calibrated", kit.Meter)
		assert.ElementsMatch(t, []string{"clamp", "load_tester", "meter", "helper"}, kit.Has, line)
	}
}

func TestAskKitAllAndNone(t *testing.T) {
	kit, _, err := askKit("1", "all")
	require.NoError(t, err)
	assert.Nil(t, kit.Has, "everything, also what another tree may need")
	kit, out, err := askKit("1", "", "none")
	require.NoError(t, err)
	assert.Equal(t, []string{"meter", "helper"}, kit.Has, "nothing at hand is not the same as everything")
	assert.Contains(t, out, "Nothing is at hand: no clamp, no load tester, no charger.")
}

// atTheKit is a screen at the question for the kit.
func atTheKit(equipment []string, width int) (*kitDialog, *screen) {
	d := newKitDialog(engine.Meters(), equipment)
	m := newScreen(d, Options{})
	m.Update(tea.WindowSizeMsg{Width: width, Height: 20})
	return d, m
}

// pressKit presses keys at the form of the kit.
func pressKit(m *screen, keys string) {
	for _, r := range keys {
		msg := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}}
		switch r {
		case '\r':
			msg = tea.KeyMsg{Type: tea.KeyEnter}
		case '<':
			msg = tea.KeyMsg{Type: tea.KeyEsc}
		case ' ':
			msg = tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{r}}
		}
		m.Update(msg)
	}
}

func TestTheKitFormTicksEverythingAtFirst(t *testing.T) {
	d, m := atTheKit([]string{"clamp", "load_tester", "charger"}, 40)
	pressKit(m, "2\r")
	fits(t, style.ReplaceAllString(m.View(), ""), 40, 20)
	assert.Contains(t, m.View(), "3 charger")
	pressKit(m, "\r")
	assert.True(t, d.Over())
	assert.Equal(t, engine.Kit{Meter: "workshop", Has: []string{"clamp", "load_tester", "charger"}}, d.kit)
}

func TestDigitsToggleTheKit(t *testing.T) {
	d, m := atTheKit([]string{"clamp", "load_tester", "charger"}, 80)
	pressKit(m, "3\r<1\r2 1\r")
	assert.True(t, d.Over())
	assert.Equal(t, "basic", d.kit.Meter)
	assert.ElementsMatch(t, []string{"load_tester", "charger"}, d.kit.Has)
}

// An empty list is asked about in words before it is believed.
func TestAnEmptyKitIsConfirmed(t *testing.T) {
	d, m := atTheKit([]string{"clamp", "charger"}, 80)
	pressKit(m, "1\r12\r")
	assert.False(t, d.Over())
	assert.Contains(t, m.View(), "Nothing is at hand: no clamp, no charger.")
	assert.Contains(t, m.View(), "Is that right?")
	pressKit(m, "\r")
	assert.False(t, d.Over(), "Enter alone is no yes")
	pressKit(m, "n\r1\r")
	assert.Equal(t, []string{"clamp"}, d.kit.Has)
	d, m = atTheKit([]string{"clamp", "charger"}, 80)
	pressKit(m, "1\r12\ry\r")
	assert.True(t, d.Over())
	assert.Empty(t, d.kit.Has)
}

func TestAskKitLeft(t *testing.T) {
	_, _, err := askKit("1")
	assert.ErrorIs(t, err, ErrLeft)
}

// What is lent or handed back in the middle of a walk changes what is asked.
func TestTheKitChangesInMidWalk(t *testing.T) {
	w := walkOf(bytes.Replace(benchYAML, []byte("    clamp: battery_negative_lead\n"), []byte("    clamp: battery_negative_lead\n    needs: [clamp]\n"), 1))
	s := newSession(w, testOptions())
	enter(t, s, "12.6", "1", "+", "done", "1")
	require.Len(t, w.Next().Fields, 2)
	assert.Equal(t, []string{"At hand: clamp."}, told(enter(t, s, "kit")))
	assert.Equal(t, []string{`"ladder" is none of these: clamp.`}, told(enter(t, s, "kit ladder")))

	assert.Equal(t, []string{"Nothing is at hand: no clamp."}, told(enter(t, s, "kit none")))
	require.Len(t, w.Next().Fields, 1, "the clamp is not asked for")
	assert.Equal(t, []string{"meter", "charger"}, w.Record().Kit.Has, "the rest stays")
	assert.Equal(t, []string{"Nothing is at hand: no clamp."}, told(enter(t, s, "kit")))

	enter(t, s, "kit clamp")
	assert.Len(t, w.Next().Fields, 2)
	assert.Nil(t, w.Record().Kit.Has)

	assert.Equal(t, []string{"This tree needs no equipment of its own."}, told(enter(t, newSession(bench(), testOptions()), "kit")))
}
