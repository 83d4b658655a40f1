package terminal

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

func TestFindCommand(t *testing.T) {
	for _, c := range []struct{ line, word, rest string }{
		{"back", "back", ""},
		{"BACK  3", "back", "3"},
		{"undo 2", "back", "2"},
		{"/", "back", ""},
		{"*", "why", ""},
		{"+", "skip", ""},
		{"?", "help", ""},
		{"quit", "pause", ""},
		{"note The owner says Fine", "note", "The owner says Fine"},
		{"noted", "noted", ""},
		{"I suspect the strap", "suspect", "the strap"},
		{"put back fuel fuse", "put back", "fuel fuse"},
		{"putback", "put back", ""},
		{"change rest 12.4", "change", "rest 12.4"},
		{"unable  no room", "unable", "no room"},
		{"back corroded", "", ""},
		{"done and dusted", "", ""},
		{"1", "", ""},
		{"+0.5", "", ""},
		{"-0.5", "", ""},
		{"no", "", ""},
		{"not sure", "", ""},
		{"rest 12.6", "", ""},
		{"", "", ""},
	} {
		got, rest := findCommand(c.line)
		word := ""
		if got != nil {
			word = got.word
		}
		assert.Equal(t, c.word, word, c.line)
		if word != "" {
			assert.Equal(t, c.rest, rest, c.line)
		}
	}
}

// A word that is a choice now is the answer, not the command.
func TestAChoiceGoesBeforeACommand(t *testing.T) {
	p := &engine.Prompt{Fields: []engine.Field{{Reading: &engine.Reading{Domain: eval.Domain{Kind: eval.Choice, Choices: []string{"back", "front"}}}}}}
	assert.True(t, isChoice(p, "Back"))
	assert.False(t, isChoice(p, "why"))
}

func TestSuggestedKeepsTheRestOfTheLine(t *testing.T) {
	ref := &engine.Refusal{Reading: &engine.Reading{Short: "pos"}, Suggest: "150 mV"}
	assert.Equal(t, "pos 150 mV", suggested(ref, "150"))
	assert.Equal(t, "rest 12.6 pos 150 mV neg 2.4", suggested(ref, "rest 12.6 pos 150 neg 2.4"))
	assert.Equal(t, "", suggested(ref, "12.6 150"), "no guess which number is meant")
}

func TestStepTime(t *testing.T) {
	for text, want := range map[string]string{"15 s": "15 seconds", "2 min": "2 minutes", "1 min": "1 minute", "4 h": "4 hours", "90 s": "90 seconds", "1 d": "24 hours"} {
		d, ok := stepTime(&engine.Step{For: text})
		assert.True(t, ok, text)
		assert.Equal(t, want, spell(d), text)
	}
	d, _ := stepTime(&engine.Step{For: "1.5 min"})
	assert.Equal(t, 90*time.Second, d)
	for _, text := range []string{"", "15", "s", "-3 s", "2 weeks"} {
		_, ok := stepTime(&engine.Step{For: text})
		assert.False(t, ok, text)
	}
	_, ok := stepTime(nil)
	assert.False(t, ok)
}
