package terminal

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"

	"deadflat/internal/text"
)

// chat is a dialog of three questions, of which it says something each.
type chat struct {
	lines []string
	fresh bool // each question stands for itself
	long  bool
	left  bool
	fail  error
}

func (c *chat) Over() bool { return len(c.lines) == 3 || c.left }

func (c *chat) Leave() error {
	c.left = len(c.lines) < 3
	return nil
}

func (c *chat) Prompt() Prompt {
	n := len(c.lines) + 1
	p := Prompt{Title: "A talk", Where: fmt.Sprintf("line %d of 3", n), Log: true, Fields: []Field{{Name: "line", Ask: "What next"}}}
	p.Text = Paragraphs([]string{"Known from the beginning.", "  set in by two blanks, and so long that it does not fit on one line of a narrow terminal"})
	if c.fresh {
		p.Key, p.Log = fmt.Sprint(n), false
		p.Fields[0].Choices = []Choice{{Key: "1", Name: "this", Line: "1"}, {Key: "2", Name: "that", Line: "2"}}
		p.Text = Paragraphs([]string{fmt.Sprint("Question ", n, " for you.")})
		for i := range 20 {
			if c.long {
				p.Text = append(p.Text, Part{Text: fmt.Sprintf("Line %d.", i)})
			}
		}
	} else if n == 2 {
		p.Do = Paragraphs([]string{"Now do the second."})
	}
	return p
}

func (c *chat) Answer(_, line string) (Reply, error) {
	switch {
	case c.fail != nil:
		return Reply{}, c.fail
	case line == "":
		return Refuse("nothing was typed"), nil
	case line == "pause":
		return Reply{}, c.Leave()
	case line == "help":
		return Reply{Page: &Page{Head: "help", Parts: Paragraphs(strings.Split(strings.Repeat("A line of help.\n", 60)+"The last one.", "\n"))}}, nil
	case line == "drawing":
		c.lines = append(c.lines, line)
		return Reply{Told: Paragraphs([]string{"Drawn."}), Animation: &Animation{Head: "A drawing", Seconds: 1, Slower: 2, Frame: func(at float64, columns, rows int) []string {
			return []string{fmt.Sprintf("at %.2f   in %d columns", at, columns)}
		}}}, nil
	}
	c.lines = append(c.lines, line)
	return Reply{Told: Paragraphs([]string{"You said " + line + "."})}, nil
}

func conversed(t *testing.T, c *chat, typed string, width int) (string, error) {
	var said bytes.Buffer
	err := Converse(context.Background(), c, Options{In: strings.NewReader(typed), Err: &said, Plain: true, Width: width})
	for _, l := range strings.Split(said.String(), "\n") {
		assert.LessOrEqual(t, text.Width(l), width, l)
	}
	return said.String(), err
}

func TestDialogInPlainLines(t *testing.T) {
	c := &chat{}
	said, err := conversed(t, c, "one\n\ndrawing\nthree\n", 40)
	require.NoError(t, err)
	assert.Equal(t, []string{"one", "drawing", "three"}, c.lines)
	assert.Equal(t, 1, strings.Count(said, "Known from the beginning."), "said once")
	for _, s := range []string{"A talk.", "What next: one", "You said one.", "Now do the second.", "Nothing was typed.", "A drawing, 2 times as long as it takes:", "at 1.00   in 40 columns"} {
		assert.Contains(t, said, s)
	}

	c = &chat{fresh: true}
	said, err = conversed(t, c, "1\n2\nthat\n", 60)
	require.NoError(t, err)
	assert.Contains(t, said, "  1 this\n  2 that")
	assert.Contains(t, said, "Question 3 for you.")
}

// A dialog that is left, or whose input ends, is paused; what was said is kept by the
// dialog itself.
func TestDialogIsPaused(t *testing.T) {
	for _, typed := range []string{"", "one\n", "one\npause\nthree\n"} {
		c := &chat{}
		_, err := conversed(t, c, typed, 80)
		assert.NoError(t, err)
		assert.True(t, c.left, typed)
		assert.LessOrEqual(t, len(c.lines), 1)
	}
	c := &chat{fail: errors.New("the disk is full")}
	_, err := conversed(t, c, "one\n", 80)
	assert.ErrorContains(t, err, "the disk is full")
}

// What is over asks nothing: a finished drill that is taken up again, a kit of which a
// tree needs nothing.
func TestWhatIsOverIsNotShown(t *testing.T) {
	require.NoError(t, Converse(context.Background(), &chat{lines: []string{"1", "2", "3"}}, Options{}))
	kit, err := AskKit(context.Background(), nil, &engine.Tree{}, Options{})
	require.NoError(t, err)
	assert.Equal(t, engine.Kit{}, kit)
}

// No control code that was typed, or that a dialog says, reaches the terminal.
func TestDialogIsClean(t *testing.T) {
	c := &chat{}
	said, err := conversed(t, c, "a\x1b[2Jb\nb\u202Ec\nc\x07\n", 80)
	require.NoError(t, err)
	assert.NotRegexp(t, "[\x00-\x09\x0b-\x1f\x7f\u202e]", said)
}

// A chatter presses keys at a talk that has no terminal under it.
type chatter struct{ *screen }

func chatAt(c *chat, width, height int) *chatter {
	s := &chatter{newScreen(c, Options{})}
	s.Update(tea.WindowSizeMsg{Width: width, Height: height})
	return s
}

func (s *chatter) press(keys ...tea.KeyType) (last tea.Cmd) {
	for _, k := range keys {
		_, last = s.Update(tea.KeyMsg{Type: k})
	}
	return last
}

func (s *chatter) enters(text string) tea.Cmd {
	s.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(text)})
	return s.press(tea.KeyEnter)
}

func (s *chatter) sees() string {
	lines := strings.Split(style.ReplaceAllString(s.View(), ""), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return strings.Join(lines, "\n")
}

func TestDialogOnAScreen(t *testing.T) {
	c := &chat{}
	s := chatAt(c, 80, 24)
	assert.Contains(t, s.sees(), "Known from the beginning.")
	assert.Contains(t, s.sees(), "line 1 of 3")
	s.enters("one")
	assert.Contains(t, s.sees(), "> one\n  You said one.")
	assert.NotContains(t, s.sees(), "Nothing was typed.")
	assert.Contains(t, s.sees(), "Now do the second.\n┃ What next")
	s.press(tea.KeyEnter)
	assert.Contains(t, s.sees(), "Nothing was typed.")
	assert.Equal(t, []string{"one"}, c.lines)

	s.enters("help")
	assert.Contains(t, s.sees(), "A line of help.")
	assert.NotContains(t, s.sees(), "The last one.")
	s.press(tea.KeyEnter, tea.KeyEnter, tea.KeyEnter)
	s.press(tea.KeyUp, tea.KeyDown, tea.KeyPgUp, tea.KeyPgDown)
	assert.Contains(t, s.sees(), "The last one.")
	s.press(tea.KeyEnter)
	assert.Contains(t, s.sees(), "What next")

	s.press(tea.KeyUp)
	assert.Contains(t, s.sees(), "┃ > help")
	s.press(tea.KeyUp, tea.KeyUp, tea.KeyUp)
	assert.Contains(t, s.sees(), "┃ > one", "there is no earlier line")
	s.press(tea.KeyDown, tea.KeyDown)
	assert.NotContains(t, s.sees(), "┃ > help")
	s.enters("two")
	cmd := s.enters("three")
	require.NotNil(t, cmd)
	assert.Equal(t, tea.Quit(), cmd(), "it is over")
}

// A drawing goes on by its frames, and Enter goes to its end and from there on.
func TestAnimationOnAScreen(t *testing.T) {
	c := &chat{}
	s := chatAt(c, 80, 24)
	s.enters("drawing")
	assert.Contains(t, s.sees(), "A drawing, 2 times as long as it takes\nat 0.00   in 80 columns")
	f := frame{s.animation}
	for range 10 {
		s.Update(f)
	}
	assert.Contains(t, s.sees(), "at 0.25")
	s.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("x")}) // meant for a line that is not there
	s.press(tea.KeyEnter)
	assert.Contains(t, s.sees(), "at 1.00")
	_, cmd := s.Update(f)
	assert.Nil(t, cmd, "nothing more is to come")
	s.press(tea.KeyEnter)
	assert.Contains(t, s.sees(), "Drawn.")
	assert.NotContains(t, s.sees(), "> x")
	s.Update(f) // a frame that came late
	assert.Contains(t, s.sees(), "Drawn.")
}

// A new question shows from its beginning, under what was said of the last answer
// alone.
func TestQuestionsOnAScreen(t *testing.T) {
	s := chatAt(&chat{fresh: true}, 40, 12)
	s.enters("1")
	assert.Contains(t, s.sees(), "You said 1.\nQuestion 2 for you.")
	s.enters("2")
	assert.NotContains(t, s.sees(), "You said 1.")
}

// A question that does not fit is shown from its beginning, also on a screen that
// has become smaller, and can be turned to its end and back.
func TestLongQuestionsAreTurned(t *testing.T) {
	s := chatAt(&chat{fresh: true, long: true}, 40, 24)
	_ = s.sees()
	s.Update(tea.WindowSizeMsg{Width: 40, Height: 14})
	assert.Contains(t, s.sees(), "Question 1 for you.")
	assert.NotContains(t, s.sees(), "Line 19.")
	for range 5 {
		s.press(tea.KeyPgDown)
		_ = s.sees()
	}
	assert.Contains(t, s.sees(), "Line 19.")
	s.press(tea.KeyPgUp)
	assert.NotContains(t, s.sees(), "Line 19.")
	for range 5 {
		s.press(tea.KeyPgUp)
		_ = s.sees()
	}
	assert.Contains(t, s.sees(), "Question 1 for you.")
	s.press(tea.KeyPgDown)
	assert.NotContains(t, s.sees(), "Question 1 for you.", "turning further than there is was not counted")
}

// Whatever the size, the screen fits and the line can be seen; whatever is typed, no
// control code comes out.
func TestDialogFitsTheScreen(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {40, 20}, {40, 10}, {40, 5}, {132, 50}, {10, 4}} {
		for _, fresh := range []bool{false, true} {
			s := chatAt(&chat{fresh: fresh}, size[0], size[1])
			for _, line := range []string{"", strings.Repeat("long ", 40), "a\x1b[2J\u202eb"} {
				for range 2 {
					view := s.sees()
					lines := strings.Split(view, "\n")
					assert.LessOrEqual(t, len(lines), size[1], "%v", size)
					assert.Contains(t, view, "┃ >")
					assert.NotRegexp(t, "[\x00-\x09\x0b-\x1f\x7f\u202e]", view)
					for _, l := range lines {
						assert.LessOrEqual(t, text.Width(l), max(size[0], narrowest), "%v %q", size, l)
					}
					s.press(tea.KeyPgUp)
				}
				s.enters(line)
			}
		}
	}
}

func TestDialogIsLeftByKey(t *testing.T) {
	c := &chat{}
	s := chatAt(c, 80, 24)
	cmd := s.press(tea.KeyCtrlC)
	require.NotNil(t, cmd)
	assert.Equal(t, tea.Quit(), cmd())
	assert.True(t, c.left)
	c = &chat{}
	s = chatAt(c, 80, 24)
	s.enters("pause")
	assert.True(t, c.left)
}
