package terminal

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/huh"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// A form is the huh form of one step, and what stands in its fields. It is
// built anew after every answer, which keeps huh to what it does well: drawing
// fields and editing them. Submitting, going back and refusing are ours,
// because a huh form with an invalid field accepts no key any more.
type form struct {
	huh    *huh.Form
	group  *huh.Group
	fields []*field
	at     int // the field that has the keys
}

// A field is one line to type on, or one list to choose from.
type field struct {
	reading *engine.Reading // nil for yes or no, done, the ways on, and a talk's line
	ask     string          // over a talk's line
	value   string          // text typed, or the line of the option under the cursor
	old     bool            // the text stood here before: typing replaces it, editing mends it
	input   *huh.Input      // nil for a list
	options []option
	list    *huh.Select[string] // nil for a field to type on
	ahead   string              // letters typed at a list
}

// line is what Enter submits.
func (f *field) line() string {
	if f.ahead != "" {
		return f.ahead
	}
	return f.value
}

// choose is the first row of a list: no answer stands under the cursor before
// one has been picked.
var choose = option{"choose: number, letters or arrows", ""}

// newForm builds the form for what is asked now. Typed holds half-typed text
// by reading, so that going away and coming back loses nothing. Short leaves out
// what is known of each choice.
func newForm(s *session, typed map[string]string, width int, short bool) *form {
	p := s.walk.Next()
	f := &form{}
	switch {
	case s.odd != nil:
		f.addList(nil, s.odd.ask+" (y or n)", []option{choose, {"y yes", "y"}, {"n no", "n"}})
	case p.Result != nil:
		f.addList(nil, "What next", append([]option{choose}, ways(p.Result)...))
	case p.Stuck != "":
		f.addList(nil, "What next", []option{choose, {"back: take back the last answer", "back"}, {"pause: leave; everything is saved", "pause"}})
	case p.Ack:
		f.addAck(p.Step)
	default:
		f.addFields(p, typed, short)
	}
	f.build(width)
	return f
}

// build makes huh's form of the fields.
func (f *form) build(width int) {
	all := make([]huh.Field, len(f.fields))
	for i, fd := range f.fields {
		all[i] = fd.build()
	}
	f.group = huh.NewGroup(all...).WithShowHelp(false).WithShowErrors(false)
	keys := huh.NewDefaultKeyMap()
	keys.Quit.SetEnabled(false)
	keys.Select.Filter.SetEnabled(false)
	// The border at its left comes on top of the width.
	f.huh = huh.NewForm(f.group).WithTheme(theme()).WithKeyMap(keys).WithWidth(width - 1)
	f.huh.Init()
	f.huh.Update(nil) // a list learns its height at its first message
	if fd := f.fields[0]; fd.ahead != "" {
		f.find(fd)
	}
}

func (f *form) addList(r *engine.Reading, ask string, options []option) {
	f.fields = append(f.fields, &field{reading: r, options: options, list: huh.NewSelect[string]().Title(text.Glue(text.Clean(ask)))})
}

func (f *form) addAck(st *engine.Step) {
	options := []option{{"Done", "done"}}
	if !gentle(st) {
		options = append([]option{choose}, option{"1 Done", "done"})
	}
	f.addList(nil, "When it has been done", options)
}

// addFields adds the open readings: all numbers of a step that is one act, else
// the first reading only, because its answer may settle the step, and because
// two lists seldom fit on one screen.
func (f *form) addFields(p *engine.Prompt, typed map[string]string, short bool) {
	fields := p.Fields
	lists := slices.ContainsFunc(fields, func(fd engine.Field) bool { return !fd.Reading.Number() })
	if !p.Step.Together || p.Gate != nil || lists {
		fields = fields[:min(1, len(fields))]
	}
	for _, fd := range fields {
		r := fd.Reading
		if r.Number() {
			f.fields = append(f.fields, &field{reading: r, value: typed[r.ID]})
			continue
		}
		f.addList(r, asks(r), choices(fd, short))
		f.fields[len(f.fields)-1].ahead = typed[r.ID]
	}
}

// choices are the rows of a list, numbered as they can be typed.
func choices(fd engine.Field, short bool) []option {
	r := fd.Reading
	options := []option{choose}
	for i, c := range r.Choices {
		shown := fmt.Sprintf("%d %s", i+1, c)
		if about := r.About[c]; about != "" && !short {
			shown += ": " + about
		}
		options = append(options, option{text.Clean(shown), strconv.Itoa(i + 1)})
	}
	if r.Unsure {
		n := strconv.Itoa(len(r.Choices) + 1)
		options = append(options, option{n + " not sure", n})
	}
	if fd.Optional {
		options = append(options, option{"+ leave it out", "skip"})
	}
	return options
}

func (fd *field) build() huh.Field {
	if fd.list == nil {
		ask := fd.ask
		if fd.reading != nil {
			ask = asks(fd.reading)
		}
		fd.input = huh.NewInput().Title(text.Glue(text.Clean(ask))).Prompt(cursor).CharLimit(longest).Value(&fd.value)
		return fd.input
	}
	fd.list.WithTheme(theme()) // before the rows: a list without one works another out for each
	rows := make([]huh.Option[string], len(fd.options))
	for i, o := range fd.options {
		rows[i] = huh.NewOption(o.shown, o.line)
	}
	fd.value = fd.options[0].line
	return fd.list.Options(rows...).Value(&fd.value)
}

// move gives the keys to the next field (or the one before), in a circle.
func (f *form) move(by int) tea.Cmd {
	f.at += by
	msg := huh.NextField()
	if by < 0 {
		msg = huh.PrevField()
	}
	_, cmd := f.huh.Update(msg)
	return cmd
}

// key lets huh handle a key: typing in a line, moving in a list. Letters typed
// at a list are gathered, and the cursor goes to the choice they mean.
func (f *form) key(msg tea.KeyMsg) tea.Cmd {
	fd := f.fields[f.at]
	if msg.Type == tea.KeyRunes {
		msg.Runes = []rune(text.Clean(string(msg.Runes))) // what is pasted can hold anything
	}
	if fd.list != nil {
		switch {
		case msg.Type == tea.KeyRunes || msg.Type == tea.KeySpace:
			fd.ahead += string(msg.Runes)
			f.find(fd)
			return nil
		case msg.Type == tea.KeyBackspace && fd.ahead != "":
			runes := []rune(fd.ahead)
			fd.ahead = string(runes[:len(runes)-1])
			f.find(fd)
			return nil
		}
		fd.ahead = ""
	} else if fd.old && msg.Type == tea.KeyRunes {
		fd.value = ""
		fd.input.Value(&fd.value)
	}
	fd.old = false
	_, cmd := f.huh.Update(msg)
	return cmd
}

// find moves the cursor of a list to the row that the typed letters mean, or
// to its first row.
func (f *form) find(fd *field) {
	f.huh.Update(tea.KeyMsg{Type: tea.KeyHome})
	for range max(meant(fd.options, fd.ahead), 0) {
		f.huh.Update(tea.KeyMsg{Type: tea.KeyDown})
	}
}

// meant is the row that typed letters stand for, -1 for none.
func meant(options []option, typed string) int {
	typed = strings.ToLower(strings.TrimSpace(typed))
	if typed == "" {
		return -1
	}
	for i, o := range options {
		if o.line == typed || o.line != "" && strings.HasPrefix(o.shown, typed+" ") {
			return i
		}
	}
	for i, o := range options {
		name := strings.ToLower(strings.TrimLeft(o.shown, "0123456789 "))
		if o.line != "" && strings.HasPrefix(name, typed) {
			return i
		}
	}
	return -1
}

// all is the form as it is drawn, whole.
func (f *form) all() []string { return strings.Split(f.group.Content(), "\n") }

// lines is the form as it is drawn, at most rows lines of it, with the line
// that has the cursor among them. Huh's own scrolling would hide the choices
// above the cursor.
func (f *form) lines(rows int) []string {
	all := f.all()
	if len(all) <= rows {
		return all
	}
	at := max(slices.IndexFunc(all, func(l string) bool { return strings.Contains(l, cursor) }), 0)
	from := min(max(at-rows/2, 0), len(all)-rows)
	cut := slices.Clone(all[from : from+rows])
	if from > 0 {
		cut[0] = faint.Render("  ... more above: arrows")
	}
	if from+rows < len(all) {
		cut[rows-1] = faint.Render("  ... more below: arrows")
	}
	return cut
}

// cursor stands before the choice that the keys are on, and before the text
// that is typed; see theme.
const cursor = "> "
