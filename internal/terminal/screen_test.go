package terminal

import (
	"errors"
	"regexp"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// A sitter presses keys at a screen that has no terminal under it.
type sitter struct {
	*screen
	walk  *engine.Walk
	saved []engine.Event
}

func sit(w *engine.Walk, o Options, width, height int) *sitter {
	s := &sitter{walk: w}
	o.Save = func(ev engine.Event) error { s.saved = append(s.saved, ev); return nil }
	s.screen = newScreen(newSession(w, o), o)
	s.screen.Update(tea.WindowSizeMsg{Width: width, Height: height})
	return s
}

func (s *sitter) press(keys ...tea.KeyType) {
	for _, k := range keys {
		s.screen.Update(tea.KeyMsg{Type: k})
	}
}

// types sends text as a terminal does: a message for each word and each blank.
func (s *sitter) types(text string) {
	for i, word := range strings.Split(text, " ") {
		if i > 0 {
			s.screen.Update(tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}})
		}
		if word != "" {
			s.screen.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(word)})
		}
	}
}

func (s *sitter) enters(text string) {
	s.types(text)
	s.press(tea.KeyEnter)
}

var style = regexp.MustCompile("\x1b\\[[0-9;]*m")

// sees is the screen without its styles.
// sees is what stands on the screen; a hard space looks like any other.
func (s *sitter) sees() string {
	return strings.ReplaceAll(style.ReplaceAllString(s.View(), ""), "\u00a0", " ")
}

func TestScreenShowsTheStep(t *testing.T) {
	s := sit(bench(), testOptions(), 80, 24)
	for _, want := range []string{
		"Rest voltage", "round 1, 2 to 4 steps to go", "Still possible 6: Battery flat; Bad joint at the positive post; +4 (list)",
		"Red on the battery positive post; black on the battery negative post", "Vehicle: Doors closed, key off.",
		"A good one reads: 12.40 V or more.", "| + |--R--", "| - |--B--", "Battery voltage at rest, in V (rest)",
		"Esc or / back | * why | how, unable REASON, help | Ctrl-C pause",
	} {
		assert.Contains(t, s.sees(), want)
	}
}

func TestScreenExplainsBeforeTheNextQuestion(t *testing.T) {
	s := sit(bench(), testOptions(), 80, 24)
	s.enters("12.6")
	assert.Contains(t, s.sees(), "Charged enough to test.")
	assert.Contains(t, s.sees(), "Source: common practice, no source")
	assert.NotContains(t, s.sees(), "Positive clamp")
	s.press(tea.KeyEnter)
	assert.Contains(t, s.sees(), "Positive clamp on its post (poslook)")
}

func TestScreenInBriefGoesStraightOn(t *testing.T) {
	s := sit(bench(), brief(), 80, 24)
	s.enters("12.6")
	assert.Contains(t, s.sees(), "Charged enough to test: battery voltage at rest 12.60 V")
	assert.Contains(t, s.sees(), "Positive clamp on its post (poslook)")
}

// What is typed at a page answers nothing, however many lines of it: the question
// behind it has not been seen. Enter by itself goes on.
func TestKeysTypedAtAPageAnswerNothing(t *testing.T) {
	s := sit(bench(), testOptions(), 80, 24)
	s.enters("12.6")
	for _, line := range []string{"2", "1", "no lamp", "y"} {
		s.enters(line)
	}
	s.types("2")
	s.press(tea.KeyBackspace, tea.KeyTab)
	require.Len(t, s.saved, 1)
	assert.Contains(t, s.sees(), "Charged enough to test.")
	assert.Contains(t, s.sees(), "what is typed here is not taken")
	s.press(tea.KeyEnter)
	assert.Contains(t, s.sees(), "Positive clamp on its post (poslook)")
	assert.Contains(t, s.sees(), "> choose", "nothing of it stands in the field")
	require.Len(t, s.saved, 1)
}

// atTheCrank has answered everything up to the two readings of the crank.
func atTheCrank(o Options) *sitter {
	s := sit(bench(), o, 80, 24)
	for _, line := range []string{"12.6", "1", "", "", "1"} {
		s.enters(line)
	}
	return s
}

// The lock-up of a form with an invalid field does not happen.
func TestBackWithRefusedTextInTheField(t *testing.T) {
	s := atTheCrank(brief())
	s.enters("11.x")
	assert.Contains(t, s.sees(), "11.x")
	assert.Contains(t, s.sees(), "not")
	require.Len(t, s.saved, 5)
	s.press(tea.KeyEsc)
	assert.Contains(t, s.sees(), "Is there ice inside?")
	s.enters("1")
	assert.Contains(t, s.sees(), "> 11.x", "half-typed text waits for its field")
}

func TestTypingReplacesRefusedTextAndEditingMendsIt(t *testing.T) {
	s := sit(bench(), brief(), 80, 24)
	s.enters("12.x")
	s.enters("why")
	assert.Contains(t, s.sees(), "Why\n", "a word typed after a refusal is that word")
	s.press(tea.KeyEnter)
	s.enters("12.x")
	s.press(tea.KeyBackspace)
	s.enters("6")
	require.Len(t, s.saved, 1)
	assert.Equal(t, "12.6", s.saved[0].Answer.Typed)
}

func TestEnterNeverAnswersAHazardQuestion(t *testing.T) {
	s := sit(bench(), brief(), 80, 24)
	for _, line := range []string{"12.6", "1", "", ""} {
		s.enters(line)
	}
	require.Contains(t, s.sees(), "Is there ice inside?")
	saved := len(s.saved)
	for range 5 {
		s.press(tea.KeyEnter)
	}
	assert.Len(t, s.saved, saved)
	assert.Contains(t, s.sees(), "This is about safety: Enter alone does not answer it")
	s.press(tea.KeyDown, tea.KeyEnter)
	require.Len(t, s.saved, saved+1)
	assert.Equal(t, []string{"none seen"}, s.saved[saved].Answer.Choice)
}

func TestFirstLettersMoveTheCursor(t *testing.T) {
	s := sit(bench(), brief(), 80, 24)
	s.enters("12.6")
	s.types("lo")
	assert.Contains(t, s.sees(), "> 3 loose")
	assert.Contains(t, s.sees(), "> lo_")
	s.press(tea.KeyBackspace, tea.KeyBackspace)
	assert.Contains(t, s.sees(), "> choose:")
	s.types("4")
	assert.Contains(t, s.sees(), "> 4 damaged")
	s.press(tea.KeyEnter)
	assert.Equal(t, []string{"damaged"}, s.saved[1].Answer.Choice)
}

func TestFieldsOfOneActStandTogether(t *testing.T) {
	s := atTheCrank(brief())
	assert.Contains(t, s.sees(), "Voltage at the posts while cranking, in V (crank)")
	assert.Contains(t, s.sees(), "Current while cranking, in A (clampread)")
	assert.Contains(t, s.sees(), "Still changed on the vehicle: fuel fuse out")
	s.types("11.4")
	s.press(tea.KeyTab)
	assert.Contains(t, s.sees(), "Clamp round the battery negative lead")
	s.enters("180")
	require.Len(t, s.saved, 6)
	assert.Equal(t, "crank_current", s.saved[5].Reading)
	assert.Equal(t, "crank", s.saved[5].Step)
	assert.Contains(t, s.sees(), "> 11.4", "the other field keeps its text")
}

func TestAWholeLineInOneField(t *testing.T) {
	s := atTheCrank(brief())
	s.enters("clampread 180 crank 11.4")
	require.Len(t, s.saved, 7)
	assert.Contains(t, s.sees(), "Finding: No fault found while tested")
}

func TestALikelyMeaningIsAskedOnce(t *testing.T) {
	s := sit(bench(), brief(), 80, 24)
	s.enters("150")
	assert.Contains(t, s.sees(), "Is 150 mV meant? (y or n)")
	s.press(tea.KeyEnter)
	assert.Empty(t, s.saved, "Enter alone is no yes")
	s.enters("y")
	require.Len(t, s.saved, 1)
	assert.Equal(t, "mV", s.saved[0].Answer.Unit)
}

// The tree's question is a thought; what y and n do is asked plainly, at every
// size, and n gives the field back empty.
func TestAnOddAnswerIsAskedAbout(t *testing.T) {
	for _, width := range []int{80, 40} {
		s := sit(bench(), brief(), width, 20)
		s.enters("16")
		assert.Contains(t, s.sees(), "16.00 V is unlikely here. Is a charger")
		assert.Contains(t, s.sees(), "Take it all the same? (y or n)")
		s.press(tea.KeyEnter)
		assert.Contains(t, s.sees(), "Type y or n.")
		assert.Contains(t, s.sees(), "unlikely here", "the thought stays with its question")
		s.enters("n")
		assert.Contains(t, s.sees(), "Not taken: 16.00 V. It is asked again.")
		assert.NotContains(t, s.sees(), "> 16")
		assert.Empty(t, s.saved)
		s.enters("16")
		s.enters("yes")
		require.Len(t, s.saved, 1)
		assert.True(t, s.saved[0].Answer.Sure)
	}
}

func TestCtrlCPausesAndSaves(t *testing.T) {
	s := sit(bench(), brief(), 80, 24)
	s.enters("12.6")
	_, cmd := s.screen.Update(tea.KeyMsg{Type: tea.KeyCtrlC})
	require.NotNil(t, cmd)
	assert.Equal(t, tea.Quit(), cmd())
	require.Len(t, s.saved, 2)
	assert.Equal(t, engine.DoPause, s.saved[1].Do)
}

func TestAFailedSaveEndsTheScreen(t *testing.T) {
	s := sit(bench(), brief(), 80, 24)
	s.Dialog.(*session).o.Save = func(engine.Event) error { return errors.New("disk full") }
	s.enters("12.6")
	assert.ErrorContains(t, s.err, "the answer is not saved: disk full")
	assert.Empty(t, s.View(), "no further question shows")
}

func TestTheTimerCountsDownAndRings(t *testing.T) {
	o := brief()
	now := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	o.Clock = func() time.Time { return now }
	var bell strings.Builder
	o.Err = &bell
	s := sit(bench(), o, 80, 24)
	s.enters("11.9")
	s.enters("1")
	assert.Contains(t, s.sees(), "Time: 15 seconds; type timer to count it down.")
	s.enters("timer")
	assert.Contains(t, s.sees(), "Timer: 0:15 left")
	now = now.Add(9 * time.Second)
	s.screen.Update(tick{})
	assert.Contains(t, s.sees(), "Timer: 0:06 left")
	now = now.Add(6 * time.Second)
	_, cmd := s.screen.Update(tick{})
	require.NotNil(t, cmd)
	cmd()
	assert.Equal(t, "\a", bell.String())
	assert.Contains(t, s.sees(), "Time is up.")
	s.press(tea.KeyEnter)
	assert.Contains(t, s.sees(), `type "done" or 1`, "a charge is not done by Enter alone")
}

func TestTheFindingAndItsWaysOn(t *testing.T) {
	s := atTheCrank(brief())
	s.enters("crank 8.8 clampread 180")
	assert.Contains(t, s.sees(), "Finding: High resistance in the engine earth strap")
	assert.Contains(t, s.sees(), "Caution: Disconnect the battery, negative first")
	s.enters("done")
	assert.Contains(t, s.sees(), "Not yet; still changed on the vehicle: fuel fuse out.")
	s.types("1")
	assert.Contains(t, s.sees(), "> 1 put back fuel fuse out")
	s.press(tea.KeyEnter)
	assert.Equal(t, engine.DoPutBack, s.saved[len(s.saved)-1].Do)
	assert.NotContains(t, s.sees(), "Still changed")
	s.enters("1")
	assert.True(t, s.Over(), "digits do for everything on the last page")
}

func TestTheNextRound(t *testing.T) {
	s := sit(bench(), brief(), 80, 24)
	for _, line := range []string{"11.9", "1", "done"} {
		s.enters(line)
	}
	assert.Contains(t, s.sees(), "Finding: Battery flat")
	s.press(tea.KeyEnter)
	assert.False(t, s.Over(), "Enter alone does not choose between two ways on")
	s.enters("go on")
	assert.Contains(t, s.sees(), "round 2")
	assert.Contains(t, s.sees(), "Battery voltage at rest")
}

// Whatever the texts and the size, the screen is filled and not overfilled, the
// line with the cursor is on it, and every caution has been shown.
func TestTheFieldStaysOnScreen(t *testing.T) {
	word := rapid.StringMatching(`[a-z]{1,12}[,.]?`)
	prose := rapid.Map(rapid.SliceOfN(word, 1, 80), func(w []string) string { return strings.Join(w, " ") })
	rapid.Check(t, func(t *rapid.T) {
		w := bench()
		for _, st := range w.Next().Tree.Steps {
			st.Cautions = rapid.SliceOfN(prose, 0, 3).Draw(t, "cautions")
			st.Title = prose.Draw(t, "title")[:1]
		}
		width, height := rapid.IntRange(40, 100).Draw(t, "width"), rapid.IntRange(16, 50).Draw(t, "height")
		s := sit(w, testOptions(), width, height)
		seen := ""
		for _, typed := range []string{"12.6", "1", "+", "done", "1", "crank 8.8 clampread 180", "1", "done"} {
			for turns := 0; len(s.pages) > 0 && turns < 9; turns++ {
				seen += readThrough(t, s, width, height)
			}
			seen += readThrough(t, s, width, height)
			assert.Contains(t, s.sees(), cursor)
			if st := w.Next().Step; st != nil {
				for _, c := range st.Cautions {
					require.Contains(t, squeeze(strings.ToLower(seen)), squeeze(c), "before %q", typed)
				}
			}
			s.enters(typed)
		}
		assert.True(t, s.Over())
	})
}

// readThrough turns one view to its end, closes it if it is a page, and gives
// what was to be read.
func readThrough(t assert.TestingT, s *sitter, width, height int) (seen string) {
	page := len(s.pages) > 0
	for range 60 {
		view := s.sees()
		fits(t, view, width, height)
		seen += view
		if !strings.Contains(view, "-- more") {
			break
		}
		for range 4 {
			s.pageDown(page)
		}
	}
	if page {
		left := len(s.pages)
		s.press(tea.KeyEnter)
		assert.Len(t, s.pages, left-1, "Enter at the end of a page closes it")
	}
	return seen
}

func (s *sitter) pageDown(page bool) {
	if page {
		s.press(tea.KeyDown)
		return
	}
	s.press(tea.KeyPgDown)
}

func squeeze(s string) string { return strings.Join(strings.Fields(s), "") }

func fits(t assert.TestingT, view string, width, height int) {
	lines := strings.Split(view, "\n")
	assert.LessOrEqual(t, len(lines), height, view)
	for _, l := range lines {
		assert.LessOrEqual(t, text.Width(l), width, "%q", l)
	}
}

// Nothing that a tree holds or a person types steers the terminal.
func TestTheScreenShowsNoControlCodes(t *testing.T) {
	words := rapid.Map(rapid.SliceOf(rapid.Rune()), func(r []rune) string { return string(r) + "\x1b]0;x\x07\u202e\x9b2J" })
	rapid.Check(t, func(t *rapid.T) {
		w := strange(t, words)
		s := sit(w, testOptions(), 80, 24)
		for _, typed := range []string{"note " + words.Draw(t, "note"), words.Draw(t, "typed"), "how", "12.6", "1", "", "1", "list", "crank 8.8 clampread 180", "noted", "1", "done"} {
			s.types(typed)
			for _, line := range strings.Split(s.sees(), "\n") {
				assert.False(t, strings.ContainsFunc(line, text.Hidden), "%q", line)
			}
			s.press(tea.KeyEsc) // a page, if one is open
			s.enters(typed)
		}
	})
}

// On a small screen the cautions come on a page of their own, also when the
// size is known only after the first frame.
func TestCautionsThatDoNotFitComeFirst(t *testing.T) {
	w := bench()
	w.Next().Step.Cautions = []string{"Eye protection on, rings and watch off, and no flame and no smoking anywhere near the battery, ever.", "Orange cables: hands off, and out of scope.", "Nobody under the vehicle, and the brake on, with the wheels chocked at both ends."}
	s := sit(w, testOptions(), 40, 15)
	assert.Contains(t, s.sees(), "Before: Rest voltage")
	assert.Contains(t, s.sees(), "Orange cables")
	assert.Contains(t, s.sees(), "at both ends.")
	s.press(tea.KeyEnter)
	assert.Contains(t, s.sees(), "Battery voltage at rest")
	s.press(tea.KeyEnter)
	assert.NotContains(t, s.sees(), "Before:", "once is enough")
}

func TestResizeKeepsWhatIsTyped(t *testing.T) {
	s := sit(bench(), brief(), 80, 24)
	s.types("12.")
	s.screen.Update(tea.WindowSizeMsg{Width: 40, Height: 20})
	s.enters("6")
	require.Len(t, s.saved, 1)
	assert.Equal(t, "12.6", s.saved[0].Answer.Typed)
}

// Huh asks for the window's size after each form: the same size must not build
// another one, or it would never end.
func TestAnUnchangedSizeBuildsNothing(t *testing.T) {
	s := sit(bench(), brief(), 80, 24)
	form := s.form
	_, cmd := s.screen.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	assert.Nil(t, cmd)
	assert.Same(t, form, s.form)
}
