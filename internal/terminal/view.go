package terminal

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// A layout is the screen in its four parts, and how many lines are left for
// what to know and do.
type layout struct {
	head, form, foot, keys []string
	room                   int
}

func (m *screen) layout(p *engine.Prompt) layout {
	l := layout{head: m.head(p), foot: append(m.typing(), paintAll(m.wrong, m.width)...), keys: m.keys(p)}
	l.room = m.height - len(l.head) - len(l.foot) - len(l.keys)
	l.form = m.form.lines(max(l.room, 3))
	l.room -= len(l.form)
	return l
}

// View draws the step: its name, where the walk stands, what to know and do,
// the form, and at the foot the keys. The form never leaves the screen; what
// does not fit above it can be turned with PgDn.
func (m *screen) View() string {
	if m.over() || m.err != nil {
		return ""
	}
	if len(m.pages) > 0 {
		return m.pageView(m.pages[0])
	}
	p := m.walk.Next()
	l := m.layout(p)
	body := m.body(p)
	if drawn := m.picture(p); len(body)+len(drawn) < l.room {
		body = append(body, drawn...)
	}
	if len(body) > 0 && len(body)+2 <= l.room {
		body = append([]string{""}, body...)
	}
	lines := append(l.head, m.fit(body, l.room)...)
	lines = append(append(lines, l.form...), l.foot...)
	for len(lines) < m.height-len(l.keys) {
		lines = append(lines, "")
	}
	return strings.Join(append(lines, l.keys...), "\n")
}

// head is the name of the step and where the walk stands.
func (m *screen) head(p *engine.Prompt) []string {
	name, where := heading(p)
	name = text.Clean(name)
	var lines []string
	if gap := m.width - text.Width(name) - text.Width(where); gap >= 2 {
		lines = []string{bold.Render(name) + strings.Repeat(" ", gap) + faint.Render(where)}
	} else {
		lines = append(paintAll(say(title, "", name), m.width), faint.Render(where))
	}
	if s := m.possible(p); s != "" {
		lines = append(lines, faint.Render(s))
	}
	return append(lines, paintAll(oneLine(append(kept(p), m.countdown()...), m.width), m.width)...)
}

// oneLine joins parts when they fit on one line together.
func oneLine(parts []part, width int) []part {
	var all []string
	for _, p := range parts {
		all = append(all, p.whole())
	}
	if s := strings.Join(all, " | "); len(parts) > 1 && text.Width(s) <= width {
		return say(state, "", s)
	}
	return parts
}

// possible is one line: the count, and as many names as fit.
func (m *screen) possible(p *engine.Prompt) string {
	for n := few; n > 0; n-- {
		if s := text.Clean(possible(p, n)); text.Width(s) <= m.width {
			return s
		}
	}
	return text.Clean(possible(p, 0))
}

func (m *screen) countdown() []part {
	if m.until.IsZero() {
		return nil
	}
	left := m.until.Sub(m.o.Clock()).Round(time.Second)
	return say(state, "Timer", fmt.Sprintf("%d:%02d left; type timer to stop it", int(left.Minutes()), int(left.Seconds())%60))
}

// body is what to know and do before answering, cautions first.
func (m *screen) body(p *engine.Prompt) []string {
	if m.odd != nil {
		return paintAll(say(trouble, "", m.odd.thought), m.width)
	}
	if p.Result != nil {
		return paintAll(append(slices.Clone(m.said), result(p.Result, true)[1:]...), m.width) // its name is in the head
	}
	lines := paintAll(append(append(cautions(p), putBackHere(p)...), m.said...), m.width)
	if m.o.Brief {
		lines = append(lines, paintAll(inShort(p, true), m.width)...)
	} else {
		lines = append(lines, shorten(paintAll(instruction(p, true), m.width), 4)...)
	}
	fd := m.focused(p)
	if fd == nil {
		return lines
	}
	lines = append(lines, paintAll(placing(*fd), m.width)...)
	lines = append(lines, paintAll(passing(p, *fd), m.width)...)
	if len(m.form.fields) == 1 {
		lines = append(lines, paintAll(then(p, fd.Reading), m.width)...)
	}
	if m.o.Brief {
		return lines
	}
	return append(lines, paintAll(expected(*fd), m.width)...)
}

// picture is the circuit with the probes of the field, nil in brief.
func (m *screen) picture(p *engine.Prompt) []string {
	fd := m.focused(p)
	if fd == nil || m.o.Brief {
		return nil
	}
	if drawn := picture(fd.Reading); drawn != nil {
		return append([]string{""}, drawn...)
	}
	return nil
}

// focused is the field of the prompt that the form's keys go to.
func (m *screen) focused(p *engine.Prompt) *engine.Field {
	for i := range p.Fields {
		if len(m.form.fields) > 0 && p.Fields[i].Reading == m.form.fields[m.form.at].reading {
			return &p.Fields[i]
		}
	}
	return nil
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
	mark := "-- more: PgDn --"
	if end == len(lines) {
		mark = "-- before this: PgUp --"
	}
	return append(append([]string{}, lines[m.top:end]...), faint.Render(mark))
}

// typing shows the letters typed at a list.
func (m *screen) typing() []string {
	if len(m.form.fields) == 0 {
		return nil
	}
	if fd := m.form.fields[m.form.at]; fd.ahead != "" {
		return []string{"> " + fd.ahead + "_"}
	}
	return nil
}

// keys is the foot of the screen.
func (m *screen) keys(p *engine.Prompt) []string {
	s := "Esc or / back | * why | "
	if fd := m.focused(p); fd != nil && fd.Optional {
		s += "+ skip | "
	}
	s += "how, "
	if len(p.Fields) > 0 && p.Gate == nil {
		s += "unable REASON, "
	}
	s += "help | Ctrl-C pause"
	return paintAll(say(state, "", s), m.width)
}

func (m *screen) pageView(pg *page) string {
	keys := m.pageKeys()
	lines := append(m.pageHead(pg), m.fit(paintAll(pg.parts, m.width), m.pageRoom())...)
	for len(lines) < m.height-len(keys) {
		lines = append(lines, "")
	}
	return strings.Join(append(lines, keys...), "\n")
}

func (m *screen) pageHead(pg *page) []string {
	return paintAll(append(say(title, "", pg.head), part{kind: gap}), m.width)
}

func (m *screen) pageKeys() []string {
	return paintAll(say(state, "", "Enter goes on | arrows turn | what is typed here is not taken | Ctrl-C pause"), m.width)
}

// pageRoom is how many lines of the page on top can be shown.
func (m *screen) pageRoom() int {
	return m.height - len(m.pageHead(m.pages[0])) - len(m.pageKeys())
}
