package terminal

import (
	"fmt"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// An Animation is a drawing that comes about in time.
type Animation struct {
	Head    string
	Seconds float64 // how long it takes
	Slower  float64 // by how much it is slowed down; 1 is as long as it takes
	// Frame draws it up to a moment, in so many columns and rows.
	Frame func(at float64, columns, rows int) []string
}

// title is the animation's head, with how much it is slowed down.
func (a *Animation) title() string {
	if a.Slower == 1 {
		return a.Head
	}
	return fmt.Sprintf("%s, %g times as long as it takes", a.Head, a.Slower)
}

// animationRows is how high an animation is where lines run on. Common practice, no
// source: it fits on every screen with what stands under it.
const animationRows = 20

// moves is how often a second an animation is drawn.
const moves = 20

// frame is a moment of an animation.
type frame struct{ of *Animation }

func (m *screen) nextFrame() tea.Cmd {
	a := m.animation
	return tea.Tick(time.Second/moves, func(time.Time) tea.Msg { return frame{a} })
}

// play goes on with the animation that a frame belongs to, if it is still on.
func (m *screen) play(f frame) tea.Cmd {
	if m.animation == nil || m.animation != f.of || m.at >= f.of.Seconds {
		return nil
	}
	m.at = min(f.of.Seconds, m.at+1/(moves*f.of.Slower))
	return m.nextFrame()
}

// skipAnimation takes a key at an animation: Enter or Esc goes to its end, and from
// there on.
func (m *screen) skipAnimation(msg tea.KeyMsg) tea.Cmd {
	switch {
	case msg.Type != tea.KeyEnter && msg.Type != tea.KeyEsc:
		return nil
	case m.at < m.animation.Seconds:
		m.at = m.animation.Seconds
		return nil
	}
	m.animation = nil
	return m.goOn()
}

func (m *screen) animationView() string {
	keys := "Enter goes to the end"
	if m.at >= m.animation.Seconds {
		keys = "Enter goes on"
	}
	foot := m.footOf(keys, "Ctrl-C pause")
	lines := paintAll(say(Title, "", m.animation.title()), m.width)
	lines = append(lines, m.animation.Frame(m.at, m.width, m.height-len(lines)-len(foot))...)
	return strings.Join(append(m.fill(lines, len(foot)), foot...), "\n")
}
