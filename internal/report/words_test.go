package report

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"deadflat/internal/engine"
)

func TestCleanKeepsWordsAndShowsWhatItTookAway(t *testing.T) {
	for in, want := range map[string]string{
		"  two\n\twords ":        "two words",
		"\x1b[2Jred":             "\ufffd[2Jred",
		"\u009b2J":               "\ufffd2J",
		"a\u202eb\u2066c":        "a\ufffdb\ufffdc",
		"\xffx":                  "\ufffdx",
		"co\u00adop \u200dé":     "co\u00adop \u200dé",
		"\ufdd0\uffff\U0001fffe": "\ufffd\ufffd\ufffd",
		"hard\u00a0space":        "hard space",
	} {
		assert.Equal(t, want, clean(in))
	}
}

func TestSentences(t *testing.T) {
	assert.Equal(t, "First. Second! Third?", sentences("first", "", "second!", "third?"))
	assert.Equal(t, "mV is small.", sentence("mV is small"), "a unit keeps its case")
	assert.Equal(t, "É.", sentence("é"))
	assert.Empty(t, sentences("", " "))
	assert.Equal(t, "a, b and c", series([]string{"a", "b", "c"}))
	assert.Equal(t, "a and b", series([]string{"a", "b"}))
}

func TestNumbersKeepTheirUnitsOnOneLine(t *testing.T) {
	assert.Equal(t, []string{"read", "12.55 V ± 0.06 V."}, wrap("read 12.55 V ± 0.06 V.", 18))
	assert.Equal(t, []string{"3 posts"}, wrap("3 posts", 18))
	assert.Equal(t, []string{"abcde", "fgh"}, wrap("abcdefgh", 5), "a word too long is broken")
	assert.Equal(t, []string{"漢字", "漢字"}, wrap("漢字漢字", 5), "wide letters count twice")
	assert.Empty(t, wrap("", 5))
}

func TestCertaintyIsSaidInWords(t *testing.T) {
	said := map[string]bool{}
	for _, c := range []engine.Certainty{engine.Firm, engine.NotFirm, engine.NotKnown} {
		assert.NotEmpty(t, certainty(c))
		said[certainty(c)] = true
	}
	assert.Len(t, said, 3)
}

func TestRemarksOnATake(t *testing.T) {
	for want, take := range map[string]engine.Take{
		"":                                      {State: "taken", Text: "none"},
		"assumed, not measured":                 {State: "assumed"},
		"looked odd, asked about and confirmed": {State: "taken", Answer: engine.Answer{Sure: true}},
		"out of date since later work":          {State: "skipped", Text: "skipped", Stale: true},
	} {
		assert.Equal(t, want, remark(take))
	}
}

func TestWhatProvesTheRepair(t *testing.T) {
	d := &draft{rec: finished()}
	for by, want := range map[string]string{
		"":             "",
		"crank":        "After the work take the same test again: Crank and read at the posts.",
		"rest_voltage": "After the work take the same reading again: Battery voltage at rest.",
		"some_step":    "After the work take the same test again: some step.",
	} {
		assert.Equal(t, want, d.proof(&engine.Finding{ProveBy: by}))
	}
}

func TestKitAndCountsInWords(t *testing.T) {
	assert.Equal(t, "everything the tree asks for", equipment(engine.Kit{}))
	assert.Equal(t, "nothing but the meter", equipment(engine.Kit{Has: []string{}}))
	assert.Equal(t, "load tester and lamp", equipment(engine.Kit{Has: []string{"load_tester", "lamp"}}))
	for n, want := range []string{"none", "once", "twice", "3 times"} {
		assert.Equal(t, want, times(n))
	}
	assert.Empty(t, clock{}.at(time.Time{}))
}

func TestStepsToCome(t *testing.T) {
	assert.Empty(t, left(&engine.Prompt{}))
	assert.Equal(t, "; 1 step with a question to come", left(&engine.Prompt{Fewest: 1, Most: 1}))
	assert.Equal(t, "; 2 to 5 steps with a question to come", left(&engine.Prompt{Fewest: 2, Most: 5}))
}

func TestTheCustomerHearsWhatDecided(t *testing.T) {
	only := &engine.Branch{}
	putBack := &engine.Step{Branches: []*engine.Branch{only}}
	round := engine.RoundRecord{Steps: []engine.Visit{
		{Explanation: &engine.Explanation{Rules: []engine.Comparison{{Left: "did the engine turn?", Value: "slowly"}}}},
		{Explanation: &engine.Explanation{Step: putBack, Branch: only}},
	}}
	assert.Equal(t, "What decided this was the answer to “Did the engine turn?”: slowly", decidedBy(round))
	hazard := engine.Visit{Explanation: &engine.Explanation{Step: putBack, Branch: &engine.Branch{Index: -1}}}
	round.Steps = append(round.Steps, hazard)
	assert.Empty(t, decidedBy(round), "a hazard rule ended it, not the reading before")
	assert.Empty(t, decidedBy(engine.RoundRecord{}))
}
