package terminal

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"deadflat/internal/text"
)

// A layout is the screen in its four parts, and how many lines are left for
// what to know and do.
type layout struct {
	head, form, foot, keys []string
	room                   int
}

func (m *screen) layout() layout {
	l := layout{head: m.head(), foot: append(m.typing(), paintAll(m.wrong, m.width)...), keys: m.keys()}
	l.room = m.height - len(l.head) - len(l.foot) - len(l.keys)
	rows := l.room
	if len(m.prompt.Text) > 0 { // what is known is read beside the choices
		rows /= 2
	}
	l.form = m.form.lines(max(rows, 3))
	if m.prompt.Log { // what is to be done now stands right over the line
		if do := paintAll(m.prompt.Do, m.width); len(do)+len(l.form)+len(l.foot) <= m.height/2 {
			l.form = append(do, l.form...)
		}
	}
	l.room -= len(l.form)
	if l.room < 0 { // a small screen: the line and why it was not taken come first
		l.head, l.keys = nil, nil
		l.room = max(m.height-len(l.form)-len(l.foot), 0)
	}
	return l
}

// View draws the prompt: its title, where the dialog stands, what to know and do,
// the form, and at the foot the keys. The form never leaves the screen; what
// does not fit above it can be turned with PgDn.
func (m *screen) View() string {
	switch {
	case m.err != nil:
		return ""
	case m.animation != nil:
		return m.animationView()
	case len(m.pages) > 0:
		return m.pageView(m.pages[0])
	case m.Over():
		return ""
	}
	l := m.layout()
	body := m.body()
	if fd := m.form.fields[m.form.at]; len(fd.Drawing) > 0 && len(m.prompt.Doubt) == 0 && !m.o.Brief && len(body)+len(fd.Drawing)+1 < l.room {
		body = append(append(body, ""), fd.Drawing...)
	}
	if len(body) > 0 && len(body)+2 <= l.room && !m.prompt.Log {
		body = append([]string{""}, body...)
	}
	lines := append(l.head, m.fit(body, l.room)...)
	if m.prompt.Log { // the line stands at the foot
		lines = m.fill(lines, len(l.form)+len(l.foot)+len(l.keys))
	}
	lines = append(append(lines, l.form...), l.foot...)
	return strings.Join(append(m.fill(lines, len(l.keys)), l.keys...), "\n")
}

// fill adds empty lines until so many are left of the screen.
func (m *screen) fill(lines []string, left int) []string {
	for len(lines) < m.height-left {
		lines = append(lines, "")
	}
	return lines
}

// head is the title and where the dialog stands.
func (m *screen) head() []string {
	p := m.prompt
	title, where := text.Clean(p.Title), text.Clean(p.Where)
	var lines []string
	if gap := m.width - text.Width(title) - text.Width(where); gap >= 2 {
		lines = []string{bold.Render(title) + strings.Repeat(" ", gap) + faint.Render(where)}
	} else {
		lines = append(paintAll(say(Title, "", title), m.width), paintAll(say(State, "", where), m.width)...)
	}
	for i, s := range p.Possible {
		if s = text.Clean(s); text.Width(s) <= m.width || i == len(p.Possible)-1 {
			lines = append(lines, faint.Render(s))
			break
		}
	}
	return append(lines, paintAll(oneLine(append(slices.Clone(p.State), m.countdown()...), m.width), m.width)...)
}

// oneLine joins parts when they fit on one line together.
func oneLine(parts []Part, width int) []Part {
	var all []string
	for _, p := range parts {
		all = append(all, p.whole())
	}
	if s := strings.Join(all, " | "); len(parts) > 1 && text.Width(s) <= width {
		return say(State, "", s)
	}
	return parts
}

func (m *screen) countdown() []Part {
	if m.until.IsZero() {
		return nil
	}
	left := m.until.Sub(m.o.Clock()).Round(time.Second)
	return say(State, "Timer", fmt.Sprintf("%d:%02d left; type timer to stop it", int(left.Minutes()), int(left.Seconds())%60))
}

// body is what to know and do before answering, cautions first.
func (m *screen) body() []string {
	p := m.prompt
	switch {
	case len(p.Doubt) > 0:
		return paintAll(p.Doubt, m.width)
	case p.Log:
		return paintAll(append(slices.Clone(p.Text), m.told...), m.width)
	}
	lines := paintAll(slices.Concat(p.Cautions, m.told, p.Text), m.width)
	do := paintAll(p.Do, m.width)
	if !m.o.Brief {
		do = shorten(do, 4)
	}
	fd := m.form.fields[m.form.at]
	lines = slices.Concat(lines, do, paintAll(fd.Place, m.width), paintAll(fd.Passing, m.width))
	if len(m.form.fields) == 1 {
		lines = append(lines, paintAll(fd.Next, m.width)...)
	}
	if m.o.Brief {
		return lines
	}
	return append(lines, paintAll(fd.Expected, m.width)...)
}

// shorten keeps a long instruction from crowding out the rest; "how" shows it
// whole.
func shorten(lines []string, n int) []string {
	if len(lines) <= n {
		return lines
	}
	return append(lines[:n-1:n-1], faint.Render("... type how for the rest"))
}

// fit cuts lines to room, beginning at the line turned to.
func (m *screen) fit(lines []string, room int) []string {
	if room < 2 {
		return nil
	}
	if len(lines) <= room {
		m.top = 0
		if len(lines) < room {
			lines = append(lines, "")
		}
		return lines
	}
	m.top = min(m.top, len(lines)-room+1)
	end := min(m.top+room-1, len(lines))
	shown := slices.Clone(lines[m.top:end])
	before := faint.Render("-- before this: PgUp --")
	switch {
	case end < len(lines):
		return append(shown, faint.Render("-- more: PgDn --"))
	case m.prompt.Log && len(m.pages) == 0:
		return append([]string{before}, shown...)
	}
	return append(shown, before)
}

// typing shows the letters typed at a list.
func (m *screen) typing() []string {
	if fd := m.form.fields[m.form.at]; fd.ahead != "" {
		return []string{cursor + fd.ahead + "_"}
	}
	return nil
}

// keys is the foot of the screen.
func (m *screen) keys() []string {
	var keyed, words []string
	if m.form.fields[m.form.at].Many {
		keyed = append(keyed, "Digits or the space bar tick and untick", "Enter goes on")
	}
	if m.prompt.Log {
		keyed = append(keyed, "Enter takes the line", "Up the last one", "PgUp turns back")
	}
	for _, c := range m.prompt.Commands {
		word := strings.TrimSpace(c.Word + " " + c.Args)
		switch {
		case c.Word == "back" && c.Key != "":
			keyed = append(keyed, "Esc or "+c.Key+" back")
		case c.Word == "back":
			keyed = append(keyed, "Esc back")
		case c.Key != "":
			keyed = append(keyed, c.Key+" "+word)
		default:
			words = append(words, word)
		}
	}
	if len(words) > 0 {
		keyed = append(keyed, strings.Join(words, ", "))
	}
	return m.footOf(append(keyed, "Ctrl-C pause")...)
}

func (m *screen) footOf(keys ...string) []string {
	return paintAll(say(State, "", strings.Join(keys, " | ")), m.width)
}

func (m *screen) pageView(pg Page) string {
	keys := m.pageKeys()
	lines := append(m.pageHead(pg), m.fit(paintAll(pg.Parts, m.width), m.pageRoom())...)
	return strings.Join(append(m.fill(lines, len(keys)), keys...), "\n")
}

func (m *screen) pageHead(pg Page) []string {
	return paintAll(append(say(Title, "", pg.Head), Part{Kind: Gap}), m.width)
}

func (m *screen) pageKeys() []string {
	return m.footOf("Enter goes on", "arrows turn", "what is typed here is not taken", "Ctrl-C pause")
}

// pageRoom is how many lines of the page on top can be shown.
func (m *screen) pageRoom() int {
	return m.height - len(m.pageHead(m.pages[0])) - len(m.pageKeys())
}
