package report

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

var update = flag.Bool("update", false, "write the goldens anew")

// forms are the report's forms by the ending of their files.
var forms = map[string]func(io.Writer, *engine.Record) error{
	"txt":    func(w io.Writer, r *engine.Record) error { return Text(w, r, 80) },
	"40.txt": func(w io.Writer, r *engine.Record) error { return Text(w, r, 40) },
	"md":     Markdown,
	"html":   HTML,
	"json":   JSON,
}

func TestGoldens(t *testing.T) {
	for name, rec := range map[string]*engine.Record{"finished": finished(), "running": running()} {
		for ending, form := range forms {
			t.Run(name+"."+ending, func(t *testing.T) {
				var got bytes.Buffer
				require.NoError(t, form(&got, rec))
				golden := filepath.Join("testdata", name+"."+ending)
				if *update {
					require.NoError(t, os.WriteFile(golden, got.Bytes(), 0o644))
				}
				want, err := os.ReadFile(golden)
				require.NoError(t, err)
				assert.Equal(t, string(want), got.String())
			})
		}
	}
}

func TestSameRecordSameBytes(t *testing.T) {
	for ending, form := range forms {
		assert.Equal(t, render(t, form, finished()), render(t, form, finished()), ending)
	}
}

func TestEveryFormSaysWhatTheRecordHolds(t *testing.T) {
	rec := finished()
	for _, form := range []string{"txt", "md", "html"} {
		// Escapes, line breaks and hard spaces are the forms' own matter.
		text := strings.NewReplacer(`\`, "", "&#39;", "'", "\u00a0", " ").Replace(render(t, forms[form], rec))
		text = strings.Join(strings.Fields(text), " ")
		for _, take := range rec.Takes {
			assert.Contains(t, text, take.Text, form)
		}
		for _, round := range rec.Rounds {
			assert.Contains(t, text, round.Result.Finding.Title, form)
			assert.Contains(t, text, round.Result.Customer, form)
			for _, visit := range round.Steps {
				if visit.Explanation == nil {
					continue
				}
				for _, rule := range visit.Explanation.Rules {
					assert.Contains(t, text, rule.Source, form)
					assert.Contains(t, text, rule.Limit, form)
				}
				assert.Contains(t, text, visit.Explanation.Flip, form)
			}
		}
		for _, want := range []string{rec.Tree.Hash, "edition 3", "workshop", "once", "3, those taken back included", "could not be taken: cover riveted on"} {
			assert.Contains(t, text, want, form)
		}
	}
}

func TestCustomerComesFirstAndCautionsBeforeTheWork(t *testing.T) {
	text := render(t, forms["txt"], finished())
	order := []string{"For the customer", "What each round found", "CAUTION", "What to do:", "What was measured", "How it was reached", "Close calls", "Before and after", "What was ruled out", "What the tests changed", "Notes", "About this report", "Annex"}
	at := 0
	for _, want := range order {
		next := strings.Index(text[at:], want)
		require.GreaterOrEqual(t, next, 0, want)
		at += next
	}
}

func TestUnfinishedWalkSaysWhatIsNeeded(t *testing.T) {
	text := render(t, forms["txt"], running())
	for _, want := range []string{
		"What is needed next", "“Crank and read at the posts”; 2 to 5 steps with a question to come", "wheels chocked", "before: 10.90 V ± 0.07 V",
		"may be skipped", "- Battery worn out", "Still so, to be put back before the vehicle is used. Ignition off, and the fuse back in its slot.", "Job left and taken up again: once",
	} {
		assert.Contains(t, strings.Join(strings.Fields(text), " "), want)
	}
	var doc Document
	require.NoError(t, json.Unmarshal([]byte(render(t, JSON, running())), &doc))
	assert.False(t, doc.Finished)
	assert.Equal(t, []Wanted{{Reading: "crank_voltage", Name: "crank_voltage", Ask: "Voltage at the posts while cranking", Unit: "V"},
		{Reading: "turned", Name: "turned", Ask: "How the engine turned", Choices: []string{"normally", "slowly", "not at all"}, Optional: true}}, doc.Next.Readings)
	assert.Nil(t, doc.Rounds[0].Result)
}

func TestRecordBeforeTheFirstAnswer(t *testing.T) {
	b := build("Vehicle will not start")
	b.rec.Rounds, b.rec.Begun, b.at = nil, time.Time{}, time.Time{}
	for ending, form := range forms {
		assert.Contains(t, render(t, form, b.done(nil)), "not finished", ending)
	}
}

func TestJSONQuantitiesHaveUnits(t *testing.T) {
	var doc Document
	require.NoError(t, json.Unmarshal([]byte(render(t, JSON, finished())), &doc))
	rest := doc.Takes[3]
	assert.Equal(t, "rest_voltage", rest.Reading)
	assert.Equal(t, &Quantity{12.46, "V"}, rest.Best)
	assert.Equal(t, &Quantity{12.38, "V"}, rest.Low)
	assert.Equal(t, &Quantity{12.54, "V"}, rest.High)
	assert.Equal(t, "2031-03-04T09:10:00Z", rest.At)
	assert.True(t, rest.Stale)
	assert.Nil(t, doc.Takes[0].Best, "a choice has no number")
	assert.Equal(t, []Retake{{"ice", 3, 9}, {"crank_voltage", 5, 10}, {"turned", 6, 11}, {"positive_drop", 7, 12}}, doc.BeforeAfter)
	assert.Equal(t, &Quantity{0.06, "V"}, doc.Rounds[0].Result.Close[0].Margin)
}

func TestComparisonsAsSentences(t *testing.T) {
	for want, c := range map[string]engine.Comparison{
		"Rest voltage (12.62 V) is at or above 12.40 V (charged), by 0.22 V – source: a manual.": {Left: "rest voltage", Value: "12.62 V", Is: "is at or above", Limit: "12.40 V (charged)", Holds: "clear", Margin: "0.22 V", Source: "a manual", Drawn: true},
		"Rest voltage (12.42 V) is too close to 12.40 V.":                                        {Left: "rest voltage", Value: "12.42 V", Is: "is too close to", Limit: "12.40 V", Holds: "too close to call", Drawn: true},
		"Ice (not sure) may or may not be ice or slush.":                                         {Left: "ice", Value: "not sure", Is: "is", Limit: "ice or slush", Holds: "too close to call"},
		"How current compares with 5 A is not known.":                                            {Left: "current", Limit: "5 A", Holds: "not known"},
		"The answer to “Is there ice?” is none.":                                                 {Left: "is there ice?", Value: "none", Is: "is", Limit: "none", Holds: "clear"},
		"Crank at the posts was done.":                                                           {Left: "Crank at the posts", Is: "was done", Holds: "clear"},
	} {
		assert.Equal(t, want, text.Sentence(verdict(c)))
	}
}

func TestAReadingIsNamedOnceForAllItsLimits(t *testing.T) {
	above, below := volts(12.62, 0.06, 12.4), volts(12.62, 0.06, 18)
	above.Is, below.Is = "is at or above", "is below"
	unknown := engine.Comparison{Left: "battery voltage at rest", Limit: "5 V", Holds: "not known"}
	assert.Equal(t, []string{"battery voltage at rest (read) is at or above 12.40 V; is below 18.00 V", "how battery voltage at rest compares with 5 V is not known"},
		compared([]engine.Comparison{above, unknown, below}, predicate))
}

func TestAnOnlyWayOnIsNotCalledSure(t *testing.T) {
	only := &engine.Branch{}
	step := &engine.Step{Branches: []*engine.Branch{only}, Unable: &engine.Branch{}}
	assert.Empty(t, slots("", &engine.Explanation{Step: step, Branch: only, Sure: "It holds."})[3].text)
	unable := &engine.Explanation{Step: step, Branch: step.Unable, Sure: "Not tested: no room."}
	assert.NotEmpty(t, slots("", unable)[3].text)
	assert.Equal(t, "Not tested: no room.", because(unable), "and said at once")
}

func TestAStuckTreeIsSaid(t *testing.T) {
	rec := running()
	rec.Next.Stuck = "no branch holds"
	assert.Contains(t, render(t, forms["txt"], rec), "The tree cannot decide here. No branch holds.")
}

func TestDaysAreNamedWhenTheJobTookSeveral(t *testing.T) {
	rec := running()
	rec.Ended = rec.Ended.AddDate(0, 0, 1)
	text := render(t, forms["txt"], rec)
	assert.Contains(t, text, "4 March 2031, 09:02, to 5 March 2031, 09:10")
	assert.Contains(t, text, "4 Mar, 09:06")
}

func TestNotesAreFiledByTheirFirstWord(t *testing.T) {
	for text, want := range map[string][2]string{
		"declined: a new battery":  {"declined", "a new battery"},
		"Old  Battery : 60 Ah EN":  {"old battery", "60 Ah EN"},
		"the strap: green":         {"", "the strap: green"},
		"no colon":                 {"", "no colon"},
		": nothing before a colon": {"", ": nothing before a colon"},
	} {
		head, rest := noteHead(text)
		assert.Equal(t, want, [2]string{head, rest})
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestAWriteThatFailsIsAnError(t *testing.T) {
	for ending, form := range forms {
		assert.ErrorContains(t, form(full{}, finished()), "disk full", ending)
	}
}
