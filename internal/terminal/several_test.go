package terminal

import (
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

const lamps = `tree: bench
title: Lamps
edition: 1
begin: look
readings:
  dark: {ask: "Which lamps stay dark?", short: dark, choices: [left, right, plate], several: true, unsure: true}
steps:
  look:
    {kind: inspect, title: Look, take: [dark], unable: {to: none}, unsure: {to: none}, branches: [{if: '"left" in dark', to: some}, {otherwise: none}]}
findings:
  some: {title: Left is dark, action: a}
  none: {title: Left shines, action: b}
`

// Several choices are ticked by their keys or the space bar, Enter gives them all, and
// Enter with nothing ticked answers nothing. Words can still be typed.
func TestSeveralChoicesAreTicked(t *testing.T) {
	for name, c := range map[string]struct {
		act  func(s *sitter)
		want []string
	}{
		"keys":           {func(s *sitter) { s.enters("13") }, []string{"left and plate"}},
		"a tick removed": {func(s *sitter) { s.types("1"); s.types("2"); s.enters("1") }, []string{"right"}},
		"the space bar": {func(s *sitter) {
			s.press(tea.KeyDown)
			s.types(" ")
			s.press(tea.KeyEnter)
		}, []string{"right"}},
		"none":           {func(s *sitter) { s.enters("4") }, []string{"none"}},
		"words":          {func(s *sitter) { s.enters("left right") }, []string{"left and right"}},
		"nothing, first": {func(s *sitter) { s.press(tea.KeyEnter); require.Empty(t, s.saved); s.enters("2") }, []string{"right"}},
	} {
		t.Run(name, func(t *testing.T) {
			s := sit(walkOf([]byte(lamps)), testOptions(), 80, 24)
			assert.Contains(t, s.sees(), "4 none")
			c.act(s)
			require.Len(t, s.saved, 1, s.sees())
			assert.Equal(t, c.want, s.saved[0].Answer.Choice)
		})
	}
	s := sit(walkOf([]byte(lamps)), testOptions(), 80, 24)
	s.enters("5")
	require.Len(t, s.saved, 1)
	assert.True(t, s.saved[0].Answer.Unsure)
	s = sit(walkOf([]byte(lamps)), testOptions(), 80, 24)
	s.enters("unable too bright")
	require.Len(t, s.saved, 1)
	assert.Equal(t, engine.DoUnable, s.saved[0].Do, "a command can be typed at the list")
	s = sit(walkOf([]byte(lamps)), testOptions(), 80, 24)
	s.enters("14")
	assert.Empty(t, s.saved)
	assert.Contains(t, s.sees(), `"none" cannot stand beside others`)
}
