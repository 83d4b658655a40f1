package terminal

import (
	"context"
	"fmt"
	"io"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	_ "deadflat/internal/background" // before bubbletea asks the terminal
)

// screen is the face that draws forms on a terminal's second screen, so that
// nothing it draws is left behind. One program runs from the first question to
// the end: keys typed ahead of a question are not lost between two forms.
type screen struct {
	Dialog
	o             Options
	width, height int

	prompt Prompt
	form   *form
	typed  map[string]string // half-typed text by field
	told   []Part            // what came of the last line, or of all of them
	wrong  []Part            // why the last line was not taken
	pages  []Page            // to be read before the next question
	unread bool              // something was typed at a page
	top    int               // first line shown of the page or of the body
	warned string            // the prompt whose cautions were put on a page
	until  time.Time         // when the countdown ends; zero when none runs

	animation *Animation
	at        float64 // s that it has come to

	lines []string // typed so far where they stay in sight
	again int      // how many of them back the one is that stands on the line
	err   error
}

type tick struct{}

// frames is how often a second the screen may be drawn: the most there may be, so
// that the first question does not wait for its turn.
const frames = 120

// atEnd turns a text to its end, however long it is.
const atEnd = 1 << 20

func newScreen(d Dialog, o Options) *screen {
	m := &screen{Dialog: d, o: o, width: columns(o), height: 24, typed: map[string]string{}, told: notes(o)}
	m.ask()
	return m
}

// runScreen shows a dialog until it or ctx ends. Signals come by ctx alone: bubbletea's
// own handler would take each of them as well, and waits for ever to hand it to a loop
// that ctx has ended.
func runScreen(ctx context.Context, d Dialog, o Options) error {
	m := newScreen(d, o)
	p := tea.NewProgram(m, tea.WithContext(ctx), tea.WithoutSignalHandler(), tea.WithInput(o.In), tea.WithOutput(o.Err), tea.WithAltScreen(), tea.WithFPS(frames))
	_, err := p.Run()
	switch {
	case m.err != nil:
		return m.err
	case err != nil && ctx.Err() == nil:
		return leaveAfter(d, fmt.Errorf("cannot use the terminal: %w", err))
	}
	if err := d.Leave(); err != nil {
		return err
	}
	return print(o.Out, lay(d.Prompt().Result, columns(o)))
}

func (m *screen) Init() tea.Cmd { return m.form.huh.Init() }

// ask builds the form for what is asked now, and puts a page before it when its
// cautions do not fit beside it.
func (m *screen) ask() {
	was := m.prompt.Key
	m.prompt = m.Prompt()
	p := m.prompt
	m.form = m.fitForm()
	if p.Key != was {
		m.top, m.until = 0, time.Time{}
	}
	if p.Log && len(m.pages) == 0 {
		m.top = atEnd
	}
	if l := m.layout(); p.Key != m.warned && len(p.Cautions) > 0 && len(lay(p.Cautions, m.width)) >= l.room+len(l.foot) {
		m.warned = p.Key
		m.pages = append(m.pages, Page{Head: "Before: " + p.Title, Parts: p.Cautions})
	}
}

// fitForm builds the form with what is known of each choice, or without where
// that saves a good part of a small screen; "how" tells it.
func (m *screen) fitForm() *form {
	full := newForm(m.prompt.Fields, m.typed, m.width, false)
	if rows := len(full.all()); rows > m.height/2 {
		if short := newForm(m.prompt.Fields, m.typed, m.width, true); len(short.all())+2 < rows {
			return short
		}
	}
	return full
}

func (m *screen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		return m, m.resize(msg)
	case tick:
		return m, m.tick()
	case frame:
		return m, m.play(msg)
	case tea.KeyMsg:
		return m, m.key(msg)
	}
	_, cmd := m.form.huh.Update(msg)
	return m, cmd
}

// resize lays the form out anew. Huh asks for the size after each form, so an
// unchanged size must end here.
func (m *screen) resize(msg tea.WindowSizeMsg) tea.Cmd {
	width := within(msg.Width, m.o)
	if width == m.width && msg.Height == m.height {
		return nil
	}
	m.width, m.height = width, msg.Height
	m.remember()
	m.ask()
	return m.form.huh.Init()
}

// remember keeps half-typed text for when its field is shown again.
func (m *screen) remember() {
	for _, fd := range m.form.fields {
		if fd.Name != "" {
			m.typed[fd.Name] = fd.half()
		}
	}
}

func (m *screen) key(msg tea.KeyMsg) tea.Cmd {
	switch msg.Type {
	case tea.KeyCtrlC:
		m.err = m.Leave()
		return tea.Quit
	case tea.KeyCtrlZ:
		return tea.Suspend
	}
	switch {
	case m.animation != nil:
		return m.skipAnimation(msg)
	case msg.Type == tea.KeyPgUp:
		m.top = max(m.top-m.height/2, 0)
		return nil
	case msg.Type == tea.KeyPgDown:
		m.top += m.height / 2 // the view holds it back at the end
		return nil
	case len(m.pages) > 0:
		return m.turn(msg)
	}
	switch f := m.form; msg.Type {
	case tea.KeyEnter:
		fd := f.fields[f.at]
		line := fd.line()
		m.remember()
		delete(m.typed, fd.Name)
		return m.submit(line)
	case tea.KeyEsc:
		return m.back()
	case tea.KeyShiftTab:
		if f.at == 0 {
			return m.back()
		}
		return f.move(-1)
	case tea.KeyTab:
		if f.at < len(f.fields)-1 {
			return f.move(1)
		}
		return nil
	case tea.KeyUp, tea.KeyDown:
		if m.prompt.Log {
			return m.recall(msg.Type)
		}
	}
	return m.form.key(msg)
}

// back goes back where the dialog knows of it.
func (m *screen) back() tea.Cmd {
	if !slices.ContainsFunc(m.prompt.Commands, func(c Command) bool { return c.Word == "back" }) {
		return nil
	}
	m.remember()
	return m.submit("back")
}

// recall puts an earlier line on the line, or a later one again.
func (m *screen) recall(key tea.KeyType) tea.Cmd {
	by := 1
	if key == tea.KeyDown {
		by = -1
	}
	m.again = min(max(m.again+by, 0), len(m.lines))
	line := ""
	if m.again > 0 {
		line = m.lines[len(m.lines)-m.again]
	}
	m.typed[m.prompt.Fields[0].Name] = line
	m.ask()
	return m.form.huh.Init()
}

// turn handles a key on a page. Enter goes on to what has not been read, then
// to the next question. What is typed at a page is not taken, nor the Enter that
// ends it: it was meant for a question that has not been seen.
func (m *screen) turn(msg tea.KeyMsg) tea.Cmd {
	unread := m.unread
	m.unread = msg.Type == tea.KeyRunes || msg.Type == tea.KeySpace
	if m.unread || unread && msg.Type == tea.KeyEnter {
		return nil
	}
	switch msg.Type {
	case tea.KeyUp:
		m.top = max(m.top-1, 0)
		return nil
	case tea.KeyDown:
		m.top++
		return nil
	case tea.KeyEnter:
		all, room := len(lay(m.pages[0].Parts, m.width)), m.pageRoom()
		if all > room && m.top+room-1 < all {
			m.top += room - 1
			return nil
		}
	case tea.KeyEsc:
	default:
		return nil
	}
	m.pages, m.top = m.pages[1:], 0
	if m.prompt.Log {
		m.top = atEnd
	}
	return m.goOn()
}

// seen reports whether nothing stands before the next question, or the end.
func (m *screen) seen() bool { return len(m.pages) == 0 && m.animation == nil }

// goOn ends a dialog that is over once everything has been seen.
func (m *screen) goOn() tea.Cmd {
	if m.Over() && m.seen() {
		return tea.Quit
	}
	return nil
}

// submit gives a line to the dialog and shows what came of it.
func (m *screen) submit(line string) tea.Cmd {
	fd := m.form.fields[m.form.at]
	log := m.prompt.Log
	r, err := m.Answer(fd.Name, line)
	if err != nil {
		m.err = err
		return tea.Quit
	}
	if len(r.Refused) > 0 && fd.Name != "" && !fd.list() {
		m.typed[fd.Name] = line // to be mended
	}
	m.wrong, m.top, m.again = r.Refused, 0, 0
	switch {
	case log:
		m.logged(line, r)
	case len(r.Refused) == 0:
		m.told = r.Told
	}
	if len(r.Decided) > 0 {
		m.pages = append(m.pages, Page{Head: "What that means", Parts: r.Decided})
	}
	if r.Page != nil {
		m.pages = append(m.pages, *r.Page)
	}
	if m.Over() && r.Animation == nil {
		return m.goOn()
	}
	var cmd tea.Cmd
	if r.Timer {
		cmd = m.startTimer()
	}
	if r.Animation != nil {
		m.animation, m.at = r.Animation, 0
		cmd = m.nextFrame()
	}
	m.ask()
	for _, fd := range m.form.fields {
		fd.old = fd.value != ""
	}
	return tea.Batch(cmd, m.form.huh.Init())
}

// logged adds a line that was taken, and what came of it, to those in sight.
func (m *screen) logged(line string, r Reply) {
	if line != "" {
		m.lines = append(m.lines, line)
	}
	if len(r.Refused) > 0 || r.Page != nil {
		return
	}
	m.told = append(m.told, Part{Text: cursor + line})
	for _, p := range r.Told {
		p.In += len(cursor)
		m.told = append(m.told, p)
	}
}

// startTimer starts the countdown of the step, or stops the one that runs.
func (m *screen) startTimer() tea.Cmd {
	if !m.until.IsZero() {
		m.until = time.Time{}
		return nil
	}
	m.until = m.o.Clock().Add(m.prompt.Timer)
	return everySecond()
}

func everySecond() tea.Cmd {
	return tea.Tick(time.Second, func(time.Time) tea.Msg { return tick{} })
}

// tick goes on counting, and rings when the time is up.
func (m *screen) tick() tea.Cmd {
	switch {
	case m.until.IsZero():
		return nil
	case m.o.Clock().Before(m.until):
		return everySecond()
	}
	m.until = time.Time{}
	m.told = append(m.told, Part{Text: "Time is up."})
	return func() tea.Msg {
		_, _ = io.WriteString(m.o.Err, "\a") // a bell that does not ring is no reason to stop
		return nil
	}
}
