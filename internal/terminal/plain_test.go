package terminal

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

var update = flag.Bool("update", false, "rewrite the golden transcripts")

// lines runs the plain face over typed lines and gives what a person saw.
func lines(t require.TestingT, w Walk, o Options, typed ...string) (string, End) {
	var out bytes.Buffer
	o.Plain, o.In, o.Out, o.Err = true, strings.NewReader(strings.Join(typed, "\n")), &out, &out
	end, err := Run(context.Background(), w, o)
	require.NoError(t, err)
	return out.String(), end
}

// steady is a walk whose explanations are short and always the same, so that
// the transcripts hold the wizard to its words and not the engine.
type steady struct{ *engine.Walk }

func (w steady) Answer(events ...engine.Event) (*engine.Outcome, error) {
	out, err := w.Walk.Answer(events...)
	for i, e := range out.Decided {
		out.Decided[i] = &engine.Explanation{Step: e.Step, Claim: "Decided at: " + e.Step.Title + ".", Sure: "Clear."}
	}
	return out, err
}

func golden(t *testing.T, got string) {
	t.Helper()
	name := filepath.Join("testdata", strings.ReplaceAll(t.Name(), "/", "_")+".txt")
	if *update {
		require.NoError(t, os.WriteFile(name, []byte(got), 0o644))
	}
	want, err := os.ReadFile(name)
	require.NoError(t, err)
	assert.Equal(t, string(want), got)
}

func TestPlainFull(t *testing.T) {
	o := testOptions()
	o.Resume = "deadflat walk --resume van"
	got, end := lines(t, steady{bench()}, o, "why", "how", "150", "n", "16", "y", "back", "12.6 V", "unable",
		"note owner says \x1b[31mit\x07 was fine", "2", "", "back 2", "clean", "", "", "", "", "none", "crank 8.8", "+", "done", "put back", "1", "done")
	golden(t, got)
	assert.False(t, end.Paused)
	assert.Equal(t, "strap", end.Result.Finding.ID)
}

func TestPlainBrief(t *testing.T) {
	got, end := lines(t, steady{bench()}, brief(), "12,6", "1", "+", "+", "done", "1", "clampread 180 crank 11.4", "put back fuel", "")
	golden(t, got)
	assert.Equal(t, "sound", end.Result.Finding.ID)
}

func TestPlainPagesAndCommands(t *testing.T) {
	got, _ := lines(t, steady{bench()}, brief(), "help", "12.6 clampread 180", "noted", "list", "suspect nonsense", "suspect strap", "back",
		"change rest 12.5", "change nothing 1", "timer", "skip", "done", "put back", "back 2", "back", "go on", "unable no helper")
	golden(t, got)
}

// The end of the input pauses the job: what was answered is saved, and the way
// back is said.
func TestPlainEndOfInput(t *testing.T) {
	o := brief()
	o.Resume = "deadflat walk --resume van"
	var saved []engine.Event
	o.Save = func(ev engine.Event) error { saved = append(saved, ev); return nil }
	got, end := lines(t, bench(), o, "12.6")
	assert.True(t, end.Paused)
	assert.Nil(t, end.Result)
	require.Len(t, saved, 2)
	assert.Equal(t, engine.DoPause, saved[1].Do)
	assert.Contains(t, got, "Paused. Everything answered so far is saved. Go on with: deadflat walk")
}

// An answer is on disk before the next question shows.
func TestPlainSavesBeforeItAsksOn(t *testing.T) {
	var out bytes.Buffer
	o := brief()
	o.Plain, o.In, o.Out, o.Err = true, strings.NewReader("12.6\n1\n"), &out, &out
	o.Save = func(ev engine.Event) error {
		if ev.Do == engine.DoAnswer {
			assert.NotContains(t, out.String(), "Terminals")
			return errors.New("disk full")
		}
		return nil
	}
	_, err := Run(context.Background(), bench(), o)
	assert.ErrorContains(t, err, "the answer is not saved: disk full")
	assert.NotContains(t, out.String(), "Terminals")
}

func TestPlainPausesWhenItIsStopped(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	in, _ := io.Pipe() // nobody ever types
	o := brief()
	o.Plain, o.In, o.Out, o.Err = true, in, io.Discard, io.Discard
	o.Save = func(engine.Event) error { return nil }
	cancel()
	end, err := Run(ctx, bench(), o)
	require.NoError(t, err)
	assert.True(t, end.Paused)
}

// strange fills the tree of a walk with drawn texts.
func strange(t *rapid.T, text *rapid.Generator[string]) *engine.Walk {
	w := bench()
	tree := w.Next().Tree
	for _, st := range tree.Steps {
		st.Title, st.Cautions = text.Draw(t, "title"), []string{text.Draw(t, "caution")}
	}
	for _, r := range tree.Readings {
		r.Ask = text.Draw(t, "ask")
	}
	tree.Words.Back["fuel_fuse_out"] = text.Draw(t, "how it is put back")
	for _, f := range tree.Findings {
		f.Title = text.Draw(t, "finding")
	}
	return w
}

// Whatever stands in a tree or is typed, no control code is printed.
func TestPlainPrintsNoControlCodes(t *testing.T) {
	words := rapid.Map(rapid.SliceOf(rapid.Rune()), func(r []rune) string { return string(r) + "\x1b]0;x\x07\u202e\x9b2J" })
	rapid.Check(t, func(t *rapid.T) {
		out, _ := lines(t, strange(t, words), testOptions(), "why", "how", "list", words.Draw(t, "typed"), "12.6", "1",
			"note "+words.Draw(t, "note"), "", "1", "crank 8.8", "+", "list", "noted", "1", "done")
		for _, line := range strings.Split(out, "\n") {
			assert.False(t, strings.ContainsFunc(line, text.Hidden), "%q", line)
		}
	})
}

// No line is longer than the width, whatever the tree says.
func TestPlainKeepsTheWidth(t *testing.T) {
	words := rapid.Map(rapid.SliceOf(rapid.RuneFrom([]rune("abc é°Ω漢"))), func(r []rune) string { return string(r) })
	rapid.Check(t, func(t *rapid.T) {
		o := testOptions()
		o.Width = rapid.IntRange(40, 80).Draw(t, "width")
		out, _ := lines(t, strange(t, words), o, "help", "why", "how", "list", "150", "12.6", "1", "", "1", "8.8", "+", "list", "noted", "done", "put back", "1", "done")
		for _, line := range strings.Split(out, "\n") {
			assert.LessOrEqual(t, text.Width(line), o.Width, "%q", line)
		}
	})
}

// FuzzTyped: no line makes the wizard fail, and none but a sensible answer is
// taken for one.
func FuzzTyped(f *testing.F) {
	for _, line := range []string{"12.6", "back 99999999999999999999", "change rest", "rest 12.6 crank 11.4", "suspect", "put back x", "150", "\xff\x1b[2J", "not sure", "+", "/", "?"} {
		f.Add(line, "y")
	}
	f.Fuzz(func(t *testing.T, one, two string) {
		s := newSession(bench(), testOptions())
		for _, line := range []string{one, two, "12.6", one, two} {
			_, err := s.answer(line, nil)
			require.NoError(t, err)
			if s.Over() {
				return
			}
		}
	})
}
