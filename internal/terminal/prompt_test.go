package terminal

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/engine"
)

// clicked chooses something that a prompt offers, without knowing what it means: a
// choice of a field, a way to leave one out, a number where there are no choices, or
// one of the words.
func clicked(t *rapid.T, p Prompt) (field, line string) {
	fd := rapid.SampledFrom(p.Fields).Draw(t, "field")
	var may []string
	for _, c := range fd.Choices {
		may = append(may, c.Line)
	}
	if len(may) == 0 {
		may = []string{"8.8", "12.6", "180"}
	}
	if fd.Optional {
		may = append(may, "skip")
	}
	for _, c := range p.Commands {
		if c.Args == "" {
			may = append(may, c.Word)
		}
	}
	return fd.Name, rapid.SampledFrom(may).Draw(t, "line")
}

// A face needs nothing but prompts and replies: whoever clicks on what is offered, and
// knows nothing of walks, comes to an end, is refused nothing but "back" at the
// beginning and a number that cannot be, and never answers a question of safety with an
// empty line.
func TestAPromptIsAllThatAFaceNeeds(t *testing.T) {
	ended := 0
	rapid.Check(t, func(t *rapid.T) {
		var d Dialog = newSession(bench(), testOptions())
		for turn := 0; turn < 60 && !d.Over(); turn++ {
			p := d.Prompt()
			require.NotEmpty(t, p.Fields)
			require.NotEmpty(t, p.Key)
			require.NotEmpty(t, p.Title)
			assert.Equal(t, p, d.Prompt(), "a prompt changes nothing")
			_, err := json.Marshal(p)
			require.NoError(t, err, "it is data")
			if fd := p.Fields[0]; fd.Hazard {
				r, err := d.Answer(fd.Name, "")
				require.NoError(t, err)
				assert.NotEmpty(t, r.Refused)
				assert.Equal(t, p, d.Prompt())
			}
			field, line := clicked(t, p)
			r, err := d.Answer(field, line)
			require.NoError(t, err)
			if len(p.Fields[0].Choices) > 0 && line != "back" {
				assert.Empty(t, r.Refused, "%q at %q", line, p.Title)
			}
		}
		if d.Over() {
			ended++
		}
	})
	assert.Positive(t, ended)
}

// What can be shown of a step stands in its prompt.
func TestWhatAPromptHolds(t *testing.T) {
	s := newSession(bench(), testOptions())
	fd := s.Prompt().Fields[0]
	assert.Equal(t, "rest_voltage", fd.Name)
	assert.NotEmpty(t, fd.Drawing)
	assert.NotEmpty(t, fd.Place)
	assert.NotEmpty(t, fd.Expected)
	enter(t, s, "16")
	assert.NotEmpty(t, s.Prompt().Doubt)
	assert.Len(t, s.Prompt().Fields[0].Choices, 2)
	enter(t, s, "n", "11.9", "1")
	p := s.Prompt()
	assert.Positive(t, p.Timer)
	assert.True(t, p.Fields[0].Hazard, "a charge takes a deliberate key")
	enter(t, s, "done")
	assert.NotEmpty(t, s.Prompt().Result)
	assert.NotEmpty(t, s.Prompt().Text)

	d := newKitDialog(engine.Meters(), []string{"clamp", "charger"})
	assert.True(t, d.Prompt().Fields[0].Enter)
	_, err := d.Answer("", "basic")
	require.NoError(t, err)
	assert.True(t, d.Prompt().Fields[0].Many)
	assert.True(t, d.Prompt().Fields[0].Choices[1].Ticked)
}
