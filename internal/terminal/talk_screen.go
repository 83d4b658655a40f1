package terminal

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	_ "deadflat/internal/background" // before bubbletea asks the terminal
	"deadflat/internal/text"
)

// talker is the face that carries on a talk on a terminal's second screen: what is
// asked above, what has been said under it, the line to type on at the foot.
type talker struct {
	talk          Talk
	o             Options
	width, height int

	asked Asked
	form  *form
	log   []string // what was typed and what came of it, laid out, latest last
	wrong []string // why the last line was not taken
	up    int      // lines that the body is turned back by
	most  int      // lines of it that there was no room for

	typed []string // the lines typed so far
	again int      // how many of them back the one is that stands on the line

	page *talkPage // to be read before the next line
	film *Film
	at   float64 // s that the film has come to

	paused bool
	err    error
}

// talkPage is a longer text, or what a film has come to, which has no text.
type talkPage struct {
	head string
	text []string
	top  int
}

// frame is a moment of a film.
type frame struct{ film *Film }

// fromTheTop turns a body back to its beginning, however long it is.
const fromTheTop = 1 << 20

// framesOfFilm is how often a second a film is drawn.
const framesOfFilm = 20

func talkScreen(ctx context.Context, t Talk, o Options) error {
	m := newTalker(t, o)
	err := show(ctx, m, o)
	switch {
	case m.err != nil:
		return m.err
	case err != nil:
		return err
	case !t.Over():
		return ErrPaused
	}
	return nil
}

func newTalker(t Talk, o Options) *talker {
	m := &talker{talk: t, o: o, width: columns(o), height: 24}
	m.ask("")
	return m
}

// ask builds the line, or the list, for what is asked now. Typed is what stands on
// it.
func (m *talker) ask(typed string) {
	was := m.asked.Text
	m.asked = m.talk.Ask()
	if m.asked.Fresh && !slices.Equal(was, m.asked.Text) {
		m.up = fromTheTop
	}
	m.form = &form{fields: []*field{{ask: m.asked.Question, value: typed}}}
	m.form.build(m.width)
}

func (m *talker) Init() tea.Cmd { return m.form.huh.Init() }

func (m *talker) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		return m, m.resize(msg)
	case tea.KeyMsg:
		return m, m.key(msg)
	case frame:
		return m, m.play(msg)
	}
	_, cmd := m.form.huh.Update(msg)
	return m, cmd
}

// resize lays the line out anew. Huh asks for the size after each form, so an
// unchanged size must end here.
func (m *talker) resize(msg tea.WindowSizeMsg) tea.Cmd {
	width := within(msg.Width, m.o)
	if width == m.width && msg.Height == m.height {
		return nil
	}
	m.width, m.height = width, msg.Height
	m.ask(m.form.fields[0].value)
	return m.form.huh.Init()
}

func (m *talker) key(msg tea.KeyMsg) tea.Cmd {
	switch msg.Type {
	case tea.KeyCtrlC:
		m.paused = true
		return tea.Quit
	case tea.KeyCtrlZ:
		return tea.Suspend
	}
	switch {
	case m.film != nil:
		return m.endFilm(msg)
	case m.page != nil:
		return m.turn(msg)
	}
	switch msg.Type {
	case tea.KeyPgUp:
		m.up = min(m.most, m.up) + m.height/2
		return nil
	case tea.KeyPgDown:
		m.up = max(0, min(m.most, m.up)-m.height/2)
		return nil
	case tea.KeyEnter:
		return m.submit(m.form.fields[0].line())
	case tea.KeyUp:
		return m.recall(1)
	case tea.KeyDown:
		return m.recall(-1)
	case tea.KeyTab, tea.KeyShiftTab:
		return nil // there is one line
	}
	return m.form.key(msg)
}

// recall puts an earlier line on the line, or a later one again.
func (m *talker) recall(by int) tea.Cmd {
	m.again = max(0, min(len(m.typed), m.again+by))
	line := ""
	if m.again > 0 {
		line = m.typed[len(m.typed)-m.again]
	}
	m.ask(line)
	return m.form.huh.Init()
}

// endFilm takes a key at a film: Enter or Esc goes to its end, and from there on.
func (m *talker) endFilm(msg tea.KeyMsg) tea.Cmd {
	if msg.Type != tea.KeyEnter && msg.Type != tea.KeyEsc {
		return nil
	}
	if m.at < m.film.Seconds {
		m.at = m.film.Seconds
		return nil
	}
	m.film = nil
	return m.goOn()
}

// turn takes a key at a page: what is typed there was meant for a line that has not
// been seen.
func (m *talker) turn(msg tea.KeyMsg) tea.Cmd {
	all, room := len(m.pageLines()), m.pageRoom()
	switch msg.Type {
	case tea.KeyUp:
		m.page.top = max(0, m.page.top-1)
	case tea.KeyDown:
		m.page.top = min(max(0, all-room), m.page.top+1)
	case tea.KeyPgUp:
		m.page.top = max(0, m.page.top-room)
	case tea.KeyPgDown:
		m.page.top = min(max(0, all-room), m.page.top+room)
	case tea.KeyEnter:
		if m.page.top+room < all {
			m.page.top = min(all-room, m.page.top+room)
			return nil
		}
		m.page = nil
		return m.goOn()
	case tea.KeyEsc:
		m.page = nil
		return m.goOn()
	}
	return nil
}

// goOn ends a talk that is over once everything has been seen.
func (m *talker) goOn() tea.Cmd {
	if m.talk.Over() {
		return tea.Quit
	}
	return nil
}

// submit gives a line to the talk and shows what came of it.
func (m *talker) submit(line string) tea.Cmd {
	if leaves(line) {
		m.paused = true
		return tea.Quit
	}
	told, err := m.talk.Take(line)
	if err != nil {
		m.err = err
		return tea.Quit
	}
	m.wrong, m.again = nil, 0
	if line != "" {
		m.typed = append(m.typed, line)
	}
	switch {
	case told.Wrong:
		m.wrong = told.Text
		m.ask(line) // to be mended
		return m.form.huh.Init()
	case told.Long:
		m.page = &talkPage{head: text.Clean(line), text: told.Text}
	default:
		m.up = 0
		if m.asked.Fresh {
			m.log = nil
		}
		m.log = append(m.log, "> "+text.Clean(line))
		for _, t := range told.Text {
			m.log = append(m.log, "  "+t)
		}
	}
	if told.Film != nil {
		m.film, m.at = told.Film, 0
	}
	if m.talk.Over() {
		if m.film == nil && m.page == nil {
			return tea.Quit
		}
		return m.nextFrame()
	}
	m.ask("")
	return tea.Batch(m.form.huh.Init(), m.nextFrame())
}

func (m *talker) nextFrame() tea.Cmd {
	f := m.film
	if f == nil {
		return nil
	}
	return tea.Tick(time.Second/framesOfFilm, func(time.Time) tea.Msg { return frame{f} })
}

// play goes on with the film that a frame belongs to, if it is still on.
func (m *talker) play(f frame) tea.Cmd {
	if m.film != f.film || m.at >= m.film.Seconds {
		return nil
	}
	m.at = min(m.film.Seconds, m.at+1/(framesOfFilm*m.film.Slower))
	return m.nextFrame()
}

// View draws what is asked, what has been said, and the line.
func (m *talker) View() string {
	if m.err != nil || m.paused {
		return ""
	}
	switch {
	case m.film != nil:
		return m.filmView()
	case m.page != nil:
		return m.pageView()
	case m.talk.Over():
		return ""
	}
	head, keys := m.head(), paintAll(say(state, "", "Enter takes the line | Up the last one | help | PgUp turns back | Ctrl-C pause"), m.width)
	foot := append(paragraphs(plainText, m.asked.Next, m.width), m.form.all()...)
	if len(foot) > m.height/2 {
		foot = m.form.all()
	}
	foot = append(foot, paragraphs(trouble, m.wrong, m.width)...)
	room := m.height - len(head) - len(foot) - len(keys)
	if room < 1 { // a small screen: the line and why it was not taken come first
		head, keys = nil, nil
		room = max(0, m.height-len(foot))
	}
	lines := append(head, m.body(room)...)
	for len(lines) < m.height-len(foot)-len(keys) {
		lines = append(lines, "")
	}
	return strings.Join(append(append(lines, foot...), keys...), "\n")
}

// head is what this is and where it stands.
func (m *talker) head() []string {
	a := m.asked
	if gap := m.width - text.Width(text.Clean(a.Head)) - text.Width(text.Clean(a.Where)); gap >= 2 {
		return []string{bold.Render(text.Clean(a.Head)) + strings.Repeat(" ", gap) + faint.Render(text.Clean(a.Where))}
	}
	return append(paragraphs(title, []string{a.Head}, m.width), paragraphs(state, []string{a.Where}, m.width)...)
}

// body is the last of what stands to be known and has been said, or what was turned
// back to.
func (m *talker) body(room int) []string {
	text := append(slices.Clone(m.asked.Text), m.log...)
	if m.asked.Fresh {
		text = append(slices.Clone(m.log), m.asked.Text...)
	}
	lines := paragraphs(plainText, append(text, numbered(m.asked.Choices)...), m.width)
	m.most = max(0, len(lines)-room)
	if m.most == 0 {
		return lines
	}
	if room < 3 {
		return lines[len(lines)-room:]
	}
	up := min(m.up, m.most)
	end := len(lines) - up
	cut := append([]string{}, lines[end-room:end]...)
	if end > room {
		cut[0] = faint.Render("-- before this: PgUp --")
	}
	if up > 0 {
		cut[room-1] = faint.Render("-- more: PgDn --")
	}
	return cut
}

// pageLines is the page on top, laid out.
func (m *talker) pageLines() []string { return paragraphs(plainText, m.page.text, m.width) }

func (m *talker) pageKeys() []string {
	return paintAll(say(state, "", "Enter goes on | arrows turn | Ctrl-C pause"), m.width)
}

// pageRoom is how many lines of a page there is room for, under its head.
func (m *talker) pageRoom() int { return max(1, m.height-2-len(m.pageKeys())) }

func (m *talker) pageView() string {
	lines, room := m.pageLines(), m.pageRoom()
	end := min(len(lines), m.page.top+room)
	shown := append([]string{bold.Render(m.page.head), ""}, lines[min(m.page.top, end):end]...)
	for len(shown) < 2+room {
		shown = append(shown, "")
	}
	return strings.Join(append(shown, m.pageKeys()...), "\n")
}

func (m *talker) filmView() string {
	head := m.film.Head
	if m.film.Slower != 1 {
		head += fmt.Sprintf(", %g times as long as it takes", m.film.Slower)
	}
	keys := "Enter goes to the end"
	if m.at >= m.film.Seconds {
		keys = "Enter goes on"
	}
	foot := paintAll(say(state, "", keys+" | Ctrl-C pause"), m.width)
	top := paragraphs(title, []string{head}, m.width)
	lines := append(top, m.film.Frame(m.at, m.width, m.height-len(top)-len(foot))...)
	for len(lines) < m.height-len(foot) {
		lines = append(lines, "")
	}
	return strings.Join(append(lines, foot...), "\n")
}
