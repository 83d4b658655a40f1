package report

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// walked is a record as the engine makes one: the tree of testdata/walk, each
// line typed at the prompt that stood then.
func walked(t *testing.T, lines ...string) *engine.Record {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", "walk", "van.yaml"))
	require.NoError(t, err)
	lib, faults := engine.Load([]engine.Source{{Name: "van.yaml", Data: text}})
	var wrong bytes.Buffer
	faults.Print(&wrong)
	require.True(t, faults.Empty(), wrong.String())
	w := engine.NewWalk(lib.Tree("van"), engine.FindMeter("workshop"), engine.Kit{Meter: "workshop"})
	at := time.Date(2031, 3, 4, 9, 0, 0, 0, time.UTC)
	for i, line := range lines {
		_, err := w.Answer(events(t, w.Next(), line, at.Add(time.Duration(i)*3*time.Minute))...)
		require.NoError(t, err, line)
	}
	return w.Record()
}

// events turns a line into what it says: "done", "round", "note TEXT", or
// readings.
func events(t *testing.T, p *engine.Prompt, line string, at time.Time) []engine.Event {
	t.Helper()
	e := engine.Event{At: at}
	if p.Step != nil {
		e.Step = p.Step.ID
	}
	verb, rest, _ := strings.Cut(line, " ")
	switch verb {
	case "done", "round", "note":
		e.Do, e.Text = engine.Do(verb), rest
		return []engine.Event{e}
	}
	typed, refusal := p.Tree.ParseLine(p.Fields, line, p.Meter)
	require.Nil(t, refusal, line)
	var out []engine.Event
	for _, a := range typed {
		e := e
		e.Do, e.Reading, e.Answer = engine.DoAnswer, a.Reading.ID, &a.Answer
		out = append(out, e)
	}
	return out
}

func TestReportOfARealWalk(t *testing.T) {
	rec := walked(t, "rest 12.62 odometer 148210", "note vehicle: van of the bakery", "ice none", "drop 1.84 current 190", "done",
		"round", "rest 12.6", "ice none", "drop 0.22 current 210")
	page := render(t, HTML, rec)
	checkHTML(t, page)
	checkText(t, render(t, forms["40.txt"], rec), 40)
	checkMarkdown(t, render(t, Markdown, rec))

	text := strings.Join(strings.Fields(render(t, func(w io.Writer, r *engine.Record) error { return Text(w, r, 100) }, rec)), " ")
	for _, want := range []string{
		"A joint on the positive side let too little current through.",
		"The reading that decided this was 1.84 V ± 0.01 V (voltage drop over the positive path).",
		"Vehicle: van of the bakery",
		"Round 1: A van turns slowly", "Round 2: A van turns slowly",
		"CAUTION. Before the work: - Negative clamp off first and on last. What to do: Clean the joints to bright metal.",
		"How the repair is proved: After the work take the same test again: Positive path while cranking.",
		"– source: TM 10-3930-671-24, Volt Drop Tests",
		"Between them: joint and positive cable.",
		"Fuel fuse out Still so, to be put back before the vehicle is used. Fuse back in slot 9.",
		"Decision tree: van (“A van turns slowly”), edition 2 Its fingerprint",
		"Crank attempts: 2, those taken back included",
		"What is needed next is the step “Fit the fuel fuse again”",
	} {
		assert.Contains(t, text, want)
	}
	assert.Equal(t, 1, strings.Count(page, `<figure class="circuit">`), "under the finding")
	assert.Equal(t, 4, strings.Count(page, `<figure class="scale">`), "rest and drop, both rounds")
	require.Len(t, NewDocument(rec).BeforeAfter, 4)
}

func TestReportOfARealUnfinishedWalk(t *testing.T) {
	rec := walked(t, "rest 12.62 odometer 148210")
	for ending, form := range forms {
		text := strings.Join(strings.Fields(render(t, form, rec)), " ")
		assert.Contains(t, text, "Positive path while cranking", ending)
		assert.NotContains(t, text, "This finding is", ending)
	}
}
