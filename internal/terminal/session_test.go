package terminal

import (
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// enter types lines at a session and gives the last Reply.
func enter(t *testing.T, s *session, typed ...string) Reply {
	t.Helper()
	var r Reply
	for _, line := range typed {
		var err error
		r, err = s.answer(line, nil)
		require.NoError(t, err)
	}
	return r
}

func TestDoneLeavesOutWhatIsOptional(t *testing.T) {
	s := newSession(bench(), testOptions())
	enter(t, s, "12.6", "1", "+", "done", "1", "crank 11.4", "done")
	events := s.walk.Events()
	assert.Equal(t, engine.DoSkip, events[len(events)-1].Do)
	assert.Equal(t, "crank_current", events[len(events)-1].Reading)
	assert.NotNil(t, s.walk.Next().Result)
}

func TestUnableTakesTheWayOnThatTheTreeKeeps(t *testing.T) {
	s := newSession(bench(), testOptions())
	enter(t, s, "12.6", "1", "+", "done", "1", "unable no helper at the key")
	r := s.walk.Next().Result
	require.NotNil(t, r)
	assert.Equal(t, "not_judged", r.Finding.ID)
	assert.Equal(t, "no helper at the key", s.walk.Events()[5].Text)
}

func TestWhyTellsTheWholeOfWhatWasDecided(t *testing.T) {
	s := newSession(bench(), testOptions())
	r := enter(t, s, "12.6", "why")
	require.NotNil(t, r.Page)
	var told []string
	for _, p := range r.Page.Parts {
		told = append(told, p.whole())
	}
	for _, l := range s.last[0].Lines() {
		assert.Contains(t, told, text.Clean(l))
	}
}

// Every accepted event is saved once, in order, also when only a part of a line
// is accepted.
func TestEveryAcceptedEventIsSavedOnce(t *testing.T) {
	var saved []engine.Event
	o := testOptions()
	o.Save = func(ev engine.Event) error { saved = append(saved, ev); return nil }
	w := bench()
	s := newSession(w, o)
	enter(t, s, "crank 11.4 rest 16", "n", "rest 12.6", "back", "note heard a click", "change crank 11.2", "12.5")
	assert.Equal(t, w.Events(), saved)
	for i, ev := range saved {
		assert.Equal(t, i+1, ev.Seq)
		assert.Equal(t, o.Clock(), ev.At)
	}
}

// A resumed walk is saved from where it was left.
func TestAResumedWalkIsNotSavedAgain(t *testing.T) {
	w := bench()
	enter(t, newSession(w, testOptions()), "12.6")
	var saved []engine.Event
	o := testOptions()
	o.Save = func(ev engine.Event) error { saved = append(saved, ev); return nil }
	enter(t, newSession(w, o), "1")
	require.Len(t, saved, 1)
	assert.Equal(t, "positive_terminal", saved[0].Reading)
}

// Where there is nothing to take back, nothing is written into the job.
func TestBackAtTheStartSaysSo(t *testing.T) {
	s := newSession(bench(), testOptions())
	assert.Equal(t, "There is nothing to take back.", enter(t, s, "back").Refused[0].Text)
	assert.Empty(t, s.walk.Events())
	enter(t, s, "12.6", "back", "back 4")
	assert.Len(t, s.walk.Events(), 2)
}

func TestBackSaysWhatItTookBack(t *testing.T) {
	s := newSession(bench(), testOptions())
	for _, c := range []struct{ typed, gone string }{
		{"12.6", "rest 12.60 V"}, {"1", "poslook clean and tight"}, {"+", "odometer left out"}, {"done", `"Keep it from starting" done`},
		{"ice none", "ice none seen"}, {"unable no helper", `unable at "Crank at the posts"`}, {"crank 8.8 clampread 82", "clampread 82 A"},
	} {
		enter(t, s, c.typed)
		r := enter(t, s, "back")
		assert.Equal(t, "Taken back: "+c.gone, r.Told[0].whole())
		enter(t, s, c.typed)
		if c.typed == "unable no helper" {
			enter(t, s, "back")
		}
	}
	s = newSession(bench(), testOptions())
	enter(t, s, "12.6", "1", "change poslook loose")
	assert.Equal(t, "Taken back: poslook loose; rest 12.60 V", enter(t, s, "back 2").Told[0].whole())
}

func TestPutBackWithoutAWordDoesNothing(t *testing.T) {
	s := newSession(bench(), testOptions())
	assert.Equal(t, "Nothing is changed on the vehicle.", enter(t, s, "put back").Refused[0].Text)
	enter(t, s, "12.6", "1", "+", "done")
	before := len(s.walk.Events())
	trouble := enter(t, s, "put back").Refused
	assert.Equal(t, "Still changed on the vehicle: fuel fuse out. Say which is as it was: put back fuel fuse out.", trouble[0].Text)
	assert.Equal(t, "How (fuel fuse out): Ignition off, and the fuse of the fuel pump back in its slot.", trouble[1].whole())
	assert.Len(t, s.walk.Events(), before)
	assert.Equal(t, "Put back: fuel fuse out is no longer so.", enter(t, s, "put back fuel").Told[0].whole())
	assert.Empty(t, s.walk.Next().PutBack)
}

func TestRefusalsSayLittleOfALongLineBack(t *testing.T) {
	long := strings.Repeat("quite \"a\" lot of words ", 30)
	for _, line := range []string{long, "poslook " + long, "suspect " + long, strings.Repeat("x", 3000)} {
		s := newSession(bench(), testOptions())
		enter(t, s, "12.6")
		r := enter(t, s, line)
		require.NotEmpty(t, r.Refused)
		assert.Less(t, len(r.Refused[0].Text), 200, r.Refused[0].Text)
	}
}

// What stops the walk is no guess at the fault; the likelier come first.
func TestTheLikelierFindingsAreNamed(t *testing.T) {
	p := &engine.Prompt{Possible: []*engine.Finding{
		{Title: "Frozen", Stop: true, Weight: 9}, {Title: "Cable", Weight: 1}, {Title: "Flat", Weight: 5}, {Title: "Joint", Weight: 1},
	}}
	assert.Equal(t, "Still possible 4: Flat; Cable; +2 (list)", possible(p, 2))
	assert.Equal(t, "Still possible 4: Flat; +3 (list)", possible(p, 1))
	assert.Equal(t, "Still possible: 4 (list)", possible(p, 0))
	p.Possible = p.Possible[2:]
	assert.Equal(t, "Still possible 2: Flat; Joint", possible(p, 2))
	p.Possible = []*engine.Finding{{Title: "Frozen", Stop: true}}
	assert.Equal(t, "Still possible: 1 (list)", possible(p, 2))
}

// At most two comparisons are told at once, the nearest to falling the other way
// first; why tells them all.
func TestTheNearestComparisonsAreTold(t *testing.T) {
	at := func(left string, best float64) engine.Comparison {
		return engine.Comparison{Left: left, Value: "x", Is: "is below", Limit: "y", Drawn: true, Best: best, Lo: best - 1, Hi: best + 1, LimitLo: 50, LimitHi: 50}
	}
	e := &engine.Explanation{Claim: "Claim.", Sure: certain, Clears: []string{"Flat", "Bad joint", "ECU fault"},
		Rules: []engine.Comparison{{Left: "chemistry", Value: "agm"}, at("far", 10), at("near", 48), at("nearer", 51)}}
	told := func(whole bool) string { return strings.Join(lay(inFull(e, whole), 80), "\n") }
	assert.Equal(t, "Claim.\nHeld against: nearer x is below y.\nHeld against: near x is below y.\nRuled out: flat; bad joint; ECU fault.\nMore was looked at: type why.", told(false))
	assert.Contains(t, told(true), "Held against: far x is below y.")
	assert.Contains(t, told(true), certain)
	assert.Equal(t, []string{"Flat", "Bad joint", "ECU fault"}, e.Clears, "the explanation itself is left alone")

	rest, ice := &engine.Reading{Ask: "rest"}, &engine.Reading{Ask: "ice"}
	e.Rules[2].Reading = rest
	facts := []engine.Fact{{Reading: rest}, {Reading: ice}, {Reading: ice}, {Reading: ice}}
	assert.Equal(t, facts[:1], behind(e.Rules, facts))
	assert.Len(t, behind(e.Rules, facts[:3]), 3, "a few are all told")

	s := newSession(bench(), testOptions())
	assert.Equal(t, certain, enter(t, s, "12.6").decided[0].Sure, "as the engine words it")
}

func TestNoLongerAppliesNamesReadingsInShort(t *testing.T) {
	s := newSession(bench(), testOptions())
	enter(t, s, "12.6", "1", "+")
	r := enter(t, s, "change rest 11.9")
	require.Len(t, r.Told, 2)
	assert.Equal(t, "No longer applies: poslook clean and tight", r.Told[1].whole())
}

// The acknowledgement of a suspicion is seen at every size.
func TestASuspicionIsAcknowledged(t *testing.T) {
	s := sit(bench(), brief(), 40, 20)
	s.enters("suspect strap")
	assert.Contains(t, s.sees(), "Suspected: High resistance in the engine")
	assert.Contains(t, s.sees(), "This test proves or kills it: Crank at")
	s.press(tea.KeyEnter)
	assert.Contains(t, s.sees(), "Is there ice inside?")
}

func TestALongWaitIsNotStoodThrough(t *testing.T) {
	p := &engine.Prompt{Step: &engine.Step{For: "4 h"}}
	assert.Equal(t, "4 hours; type pause, and come back to it later.", instructed(p, "", true)[0].Text)
	p.Step.For = "2 min"
	assert.Equal(t, "2 minutes; type timer to count it down.", instructed(p, "", true)[0].Text)
	assert.Equal(t, "2 minutes.", instructed(p, "", false)[0].Text)
}

// Yes takes the answer and no does not, whichever way the tree words its
// question; what else stood on the line is not lost.
func TestNoAtAnOddAnswerKeepsTheRestOfTheLine(t *testing.T) {
	s := newSession(bench(), testOptions())
	enter(t, s, "rest 16 poslook clean")
	require.NotNil(t, s.doubt)
	r := enter(t, s, "n")
	assert.Equal(t, "Not taken: 16.00 V. It is asked again.", r.Told[0].Text)
	require.Len(t, s.walk.Events(), 1)
	assert.Equal(t, "positive_terminal", s.walk.Events()[0].Reading)
	assert.Equal(t, "rest_voltage", s.walk.Next().Fields[0].Reading.ID)
}

func TestAnOddChange(t *testing.T) {
	s := newSession(bench(), testOptions())
	enter(t, s, "12.6", "change rest 16")
	require.NotNil(t, s.doubt)
	assert.Equal(t, "Not changed: rest stays as it was.", enter(t, s, "n").Told[0].Text)
	enter(t, s, "change rest 16", "y")
	assert.Equal(t, 16.0, s.walk.Record().Takes[0].Answer.Value)
	assert.True(t, s.walk.Record().Takes[0].Answer.Sure)
}

// There is a way out of every question: any other word ends it.
func TestAnyWordLeavesAnOddQuestion(t *testing.T) {
	for _, word := range []string{"back", "why", "help", "note seen", "12.6", "pause", "list"} {
		s := newSession(bench(), testOptions())
		enter(t, s, "16", word)
		assert.Nil(t, s.doubt, word)
		for _, ev := range s.walk.Events() {
			assert.False(t, ev.Answer != nil && ev.Answer.Sure, word)
		}
	}
}

// A technician is told how a load is put on and which figure was worked out, in
// a line or two.
func TestBriefKeepsWhatMustBeDoneRight(t *testing.T) {
	do := "Draw 300 A for 15 s, read while it draws."
	raw := "Draw {load_amps} for 15 s, read while it draws."
	first, last := "Tester off, clips on the posts, red to positive.", "Tester off before the clips come off, and leave the battery to recover for a while before the next test of it."
	assert.Equal(t, first+" "+do+" Type how for the rest.", twoLines(first+" "+do+" "+last, first+" "+raw+" "+last))
	assert.Equal(t, first+" "+do+" Type how for the rest.", twoLines(first+" "+last+" "+do, first+" "+last+" "+raw), "the figure is never what is left out")
	assert.Equal(t, first+" "+do, twoLines(first+" "+do, first+" "+raw))

	s := newSession(bench(), brief())
	enter(t, s, "11.9", "1")
	p := *s.walk.Next()
	require.Equal(t, engine.Charge, p.Step.Kind)
	p.Ack = false
	assert.Equal(t, "Connect the charger, red first.", inShort(&p, false)[0].Text)
	p.Step.Kind = engine.Measure
	assert.Empty(t, inShort(&p, false))
}

// What is to be told before anything is asked stands on the first page.
func TestNotesStandOnTheFirstPage(t *testing.T) {
	o := testOptions()
	o.Notes = []string{"the last line was cut off"}
	out, _ := lines(t, bench(), o, "pause")
	assert.True(t, strings.HasPrefix(out, "The last line was cut off.\n\nStep: Rest voltage."), out)
	s := sit(bench(), o, 40, 20)
	assert.Contains(t, s.sees(), "The last line was cut off.")
	s.enters("12.6")
	s.press(tea.KeyEnter)
	assert.NotContains(t, s.sees(), "The last line was cut off.")
}
