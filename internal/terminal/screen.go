package terminal

import (
	"context"
	"fmt"
	"io"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	_ "deadflat/internal/background" // before bubbletea asks the terminal
	"deadflat/internal/engine"
)

// screen is the face that draws forms on a terminal's second screen, so that
// nothing it draws is left behind. One program runs from the first question to
// the end: keys typed ahead of a question are not lost between two forms.
type screen struct {
	*session
	width, height int

	form   *form
	typed  map[string]string // half-typed text by reading
	said   []part            // what came of the last line
	wrong  []part            // why the last line was not taken
	pages  []*page           // to be read before the next question
	blind  bool              // something was typed at a page
	top    int               // first line shown of the page or of the body
	shown  string            // the step whose body is shown
	warned string            // the step whose cautions were put on a page
	until  time.Time         // when the countdown ends; zero when none runs
	err    error
}

type tick struct{}

// frames is how often a second the screen may be drawn: the most there may be, so
// that the first question does not wait for its turn.
const frames = 120

func newScreen(s *session) *screen {
	m := &screen{session: s, width: widest, height: 24, typed: map[string]string{}, said: s.notes()}
	m.ask()
	return m
}

func runScreen(ctx context.Context, s *session, o Options) error {
	m := newScreen(s)
	err := show(ctx, m, o)
	if m.err != nil {
		return m.err
	}
	if err != nil {
		return leaveAfter(s, err)
	}
	if err := s.leave(); err != nil {
		return err
	}
	if r := s.walk.Next().Result; r != nil {
		return print(o.Out, lay(result(r, o.Brief), columns(o)))
	}
	return nil
}

// show runs a screen until it ends or ctx does. Signals come by ctx alone: bubbletea's
// own handler would take each of them as well, and waits for ever to hand it to a loop
// that ctx has ended.
func show(ctx context.Context, m tea.Model, o Options) error {
	p := tea.NewProgram(m, tea.WithContext(ctx), tea.WithoutSignalHandler(), tea.WithInput(o.In), tea.WithOutput(o.Err), tea.WithAltScreen(), tea.WithFPS(frames))
	if _, err := p.Run(); err != nil && ctx.Err() == nil {
		return fmt.Errorf("cannot use the terminal: %w", err)
	}
	return nil
}

func (m *screen) Init() tea.Cmd { return m.form.huh.Init() }

// ask builds the form for what is asked now, and puts a page before it when its
// cautions do not fit beside it.
func (m *screen) ask() {
	p := m.walk.Next()
	m.form = m.fitForm()
	key := pageKey(p)
	if key != m.shown {
		m.shown, m.top, m.until = key, 0, time.Time{}
	}
	l := m.layout(p)
	if all := cautions(p); key != m.warned && p.Result == nil && len(lay(all, m.width)) >= l.room+len(l.foot) {
		m.warned = key
		m.pages = append(m.pages, &page{head: "Before: " + p.Step.Title, parts: all})
	}
}

// fitForm builds the form with what is known of each choice, or without where
// that saves a good part of a small screen; "how" tells it.
func (m *screen) fitForm() *form {
	full := newForm(m.session, m.typed, m.width, m.o.Brief)
	if rows := len(full.all()); !m.o.Brief && rows > m.height/2 {
		if short := newForm(m.session, m.typed, m.width, true); len(short.all())+2 < rows {
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
		if fd.reading == nil {
			continue
		}
		m.typed[fd.reading.ID] = fd.ahead
		if fd.list == nil {
			m.typed[fd.reading.ID] = fd.value
		}
	}
}

func (m *screen) key(msg tea.KeyMsg) tea.Cmd {
	switch msg.Type {
	case tea.KeyCtrlC:
		m.err = m.leave()
		return tea.Quit
	case tea.KeyCtrlZ:
		return tea.Suspend
	case tea.KeyPgUp:
		m.top = max(m.top-m.height/2, 0)
		return nil
	case tea.KeyPgDown:
		m.top += m.height / 2 // the view holds it back at the end
		return nil
	}
	if len(m.pages) > 0 {
		return m.turn(msg)
	}
	switch f := m.form; {
	case msg.Type == tea.KeyEsc, msg.Type == tea.KeyShiftTab && f.at == 0:
		m.remember()
		return m.submit("back")
	case msg.Type == tea.KeyEnter:
		line := f.fields[f.at].line()
		m.remember()
		if r := f.fields[f.at].reading; r != nil {
			delete(m.typed, r.ID)
		}
		return m.submit(line)
	case msg.Type == tea.KeyShiftTab:
		return f.move(-1)
	case msg.Type == tea.KeyTab:
		if f.at < len(f.fields)-1 {
			return f.move(1)
		}
		return nil
	}
	return m.form.key(msg)
}

// turn handles a key on a page. Enter goes on to what has not been read, then
// to the next question. What is typed at a page is not taken, nor the Enter that
// ends it: it was meant for a question that has not been seen.
func (m *screen) turn(msg tea.KeyMsg) tea.Cmd {
	blind := m.blind
	m.blind = msg.Type == tea.KeyRunes || msg.Type == tea.KeySpace
	if m.blind || blind && msg.Type == tea.KeyEnter {
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
		all, room := len(lay(m.pages[0].parts, m.width)), m.pageRoom()
		if all > room && m.top+room-1 < all {
			m.top += room - 1
			return nil
		}
	case tea.KeyEsc:
	default:
		return nil
	}
	m.pages, m.top = m.pages[1:], 0
	return nil
}

// submit gives a line to the session and shows what came of it.
func (m *screen) submit(line string) tea.Cmd {
	var focus *engine.Reading
	if len(m.form.fields) > 0 {
		focus = m.form.fields[m.form.at].reading
	}
	r, err := m.take(line, focus)
	if err != nil {
		m.err = err
		return tea.Quit
	}
	if m.over() {
		return tea.Quit
	}
	if focus != nil && len(r.trouble) > 0 && focus.Number() {
		m.typed[focus.ID] = line // to be mended
	}
	m.wrong, m.top = r.trouble, 0
	if len(r.trouble) == 0 {
		m.said = r.told
	}
	m.explain(r.decided)
	if r.page != nil {
		m.pages = append(m.pages, r.page)
	}
	cmd := tea.Cmd(nil)
	if r.timer {
		cmd = m.startTimer()
	}
	m.ask()
	for _, fd := range m.form.fields {
		fd.old = fd.value != ""
	}
	return tea.Batch(cmd, m.form.huh.Init())
}

// explain shows the decisions of one answer: in brief above the next question,
// else on a page to be read before it.
func (m *screen) explain(decided []*engine.Explanation) {
	switch {
	case m.o.Brief:
		m.said = append(m.said, inBrief(decided)...)
	case len(decided) > 0:
		m.pages = append(m.pages, &page{head: "What that means", parts: allInFull(decided, false)})
	}
}

// startTimer starts the countdown of the step, or stops the one that runs.
func (m *screen) startTimer() tea.Cmd {
	if !m.until.IsZero() {
		m.until = time.Time{}
		return nil
	}
	d, _ := stepTime(m.walk.Next().Step)
	m.until = m.o.Clock().Add(d)
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
	m.said = append(m.said, part{plainText, "", "Time is up."})
	return func() tea.Msg {
		_, _ = io.WriteString(m.o.Err, "\a") // a bell that does not ring is no reason to stop
		return nil
	}
}
