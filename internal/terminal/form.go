package terminal

import (
	"slices"
	"strings"
	"unicode/utf8"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/huh"

	"deadflat/internal/text"
)

// A form is the huh form of one prompt, and what stands in its fields. It is
// built anew after every answer, which keeps huh to what it does well: drawing
// fields and editing them. Submitting, going back and refusing are ours,
// because a huh form with an invalid field accepts no key any more.
type form struct {
	huh    *huh.Form
	group  *huh.Group
	fields []*formField
	at     int // the field that has the keys
}

// A formField is one line to type on, or one list to choose from.
type formField struct {
	Field
	value  string     // text typed, or the line of the choice under the cursor
	old    bool       // the text stood here before: typing replaces it, editing mends it
	input  *huh.Input // nil for a list
	rows   []Choice   // of a list, as it is drawn
	picked []string   // of a field for many
	ahead  string     // letters typed at a list
}

func (f *formField) list() bool { return len(f.Choices) > 0 }

// line is what Enter submits.
func (f *formField) line() string {
	switch {
	case f.ahead != "":
		return f.ahead
	case f.Many:
		return strings.Join(f.picked, ", ")
	}
	return f.value
}

// half is what has been typed and not yet submitted.
func (f *formField) half() string {
	if f.list() {
		return f.ahead
	}
	return f.value
}

// choose is the first row of a list: no answer stands under the cursor before
// one has been picked.
var choose = Choice{Name: "choose: number, letters or arrows"}

// newForm builds the form of fields. Typed holds half-typed text by name, so that
// going away and coming back loses nothing. Short leaves out what is known of each
// choice.
func newForm(fields []Field, typed map[string]string, width int, short bool) *form {
	f := &form{}
	var all []huh.Field
	for _, fd := range fields {
		ff := &formField{Field: fd, value: typed[fd.Name]}
		f.fields = append(f.fields, ff)
		all = append(all, ff.build(short))
	}
	f.group = huh.NewGroup(all...).WithShowHelp(false).WithShowErrors(false)
	keys := huh.NewDefaultKeyMap()
	keys.Quit.SetEnabled(false)
	keys.Select.Filter.SetEnabled(false)
	keys.MultiSelect.Filter.SetEnabled(false)
	// The border at its left comes on top of the width.
	f.huh = huh.NewForm(f.group).WithTheme(theme()).WithKeyMap(keys).WithWidth(width - 1)
	f.huh.Init()
	f.huh.Update(nil) // a list learns its height at its first message
	if first := f.fields[0]; first.list() && typed[first.Name] != "" {
		first.ahead = typed[first.Name]
		f.find(first)
	}
	return f
}

func (f *formField) build(short bool) huh.Field {
	if !f.list() {
		f.input = huh.NewInput().Title(text.Glue(text.Clean(f.Ask))).Prompt(cursor).CharLimit(longest).Value(&f.value)
		return f.input
	}
	f.rows = slices.Clone(f.Choices)
	if !f.Enter && !f.Many {
		f.rows = slices.Insert(f.rows, 0, choose)
	}
	if f.Optional {
		f.rows = append(f.rows, Choice{Key: "+", Name: "leave it out", Line: "skip"})
	}
	options := make([]huh.Option[string], len(f.rows))
	for i, c := range f.rows {
		options[i] = huh.NewOption(c.shown(short), c.Line)
		if c.Ticked {
			f.picked = append(f.picked, c.Line)
		}
	}
	if f.Many {
		return huh.NewMultiSelect[string]().Title(text.Glue(text.Clean(f.Ask))).Options(options...).Value(&f.picked)
	}
	f.value = f.rows[0].Line
	list := huh.NewSelect[string]().Title(text.Glue(text.Clean(f.Ask)))
	list.WithTheme(theme()) // before the rows: a list without one works another out for each
	return list.Options(options...).Value(&f.value)
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
// at a list are gathered, and the cursor goes to the choice they mean; at a list for
// many the key of a row ticks it, or takes the tick away.
func (f *form) key(msg tea.KeyMsg) tea.Cmd {
	fd := f.fields[f.at]
	if msg.Type == tea.KeyRunes {
		msg.Runes = []rune(text.Clean(string(msg.Runes))) // what is pasted can hold anything
	}
	switch typed := msg.Type == tea.KeyRunes || msg.Type == tea.KeySpace; {
	case fd.Many && fd.ahead == "" && (msg.Type == tea.KeySpace || f.tick(fd, msg.Runes)):
		if msg.Type != tea.KeySpace {
			return nil
		}
	case fd.list() && typed:
		fd.ahead += string(msg.Runes)
		f.find(fd)
		return nil
	case fd.list() && msg.Type == tea.KeyBackspace && fd.ahead != "":
		_, size := utf8.DecodeLastRuneInString(fd.ahead)
		fd.ahead = fd.ahead[:len(fd.ahead)-size]
		f.find(fd)
		return nil
	case fd.input != nil && fd.old && msg.Type == tea.KeyRunes:
		fd.value = ""
		fd.input.Value(&fd.value)
	}
	fd.ahead, fd.old = "", false
	_, cmd := f.huh.Update(msg)
	return cmd
}

// find moves the cursor of a list to the row that the typed letters mean, or
// to its first row.
func (f *form) find(fd *formField) { f.moveTo(max(meant(fd.rows, fd.ahead), 0)) }

func (f *form) moveTo(row int) {
	f.huh.Update(tea.KeyMsg{Type: tea.KeyHome})
	for range row {
		f.huh.Update(tea.KeyMsg{Type: tea.KeyDown})
	}
}

// tick ticks the rows whose keys were typed, or takes their ticks away. It does nothing
// where another letter was typed too.
func (f *form) tick(fd *formField, typed []rune) bool {
	var rows []int
	for _, k := range typed {
		row := slices.IndexFunc(fd.rows, func(c Choice) bool { return c.Key == string(k) })
		if row < 0 {
			return false
		}
		rows = append(rows, row)
	}
	for _, row := range rows {
		f.moveTo(row)
		f.huh.Update(tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}})
	}
	return len(rows) > 0
}

// meant is the row that typed letters stand for, -1 for none.
func meant(rows []Choice, typed string) int {
	typed = strings.ToLower(strings.TrimSpace(typed))
	if typed == "" {
		return -1
	}
	if i := slices.IndexFunc(rows, func(c Choice) bool { return c.Line == typed || c.Key == typed }); i >= 0 {
		return i
	}
	return slices.IndexFunc(rows, func(c Choice) bool { return c.Line != "" && strings.HasPrefix(strings.ToLower(c.Name), typed) })
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
