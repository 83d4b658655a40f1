package terminal

import (
	"sync"

	"github.com/charmbracelet/huh"
	"github.com/charmbracelet/lipgloss"
)

// theme is what forms are drawn in. It is plain on purpose: bold and faint say
// nothing that the words do not.
var theme = sync.OnceValue(plainTheme)

func plainTheme() *huh.Theme {
	t := huh.ThemeBase()
	t.FieldSeparator = lipgloss.NewStyle().SetString("\n")
	t.Focused.Title = t.Focused.Title.Bold(true)
	t.Focused.SelectedOption = t.Focused.SelectedOption.Bold(true)
	t.Focused.TextInput.Prompt = t.Focused.TextInput.Prompt.Bold(true)
	t.Blurred.Base = t.Focused.Base.BorderStyle(lipgloss.HiddenBorder())
	t.Blurred.Title = lipgloss.NewStyle()
	return t
}

var (
	bold  = lipgloss.NewStyle().Bold(true)
	faint = lipgloss.NewStyle().Faint(true)
)

// paint styles one line by the kind of part it comes from.
func paint(k Kind, line string) string {
	switch k {
	case Title, Caution, Trouble:
		return bold.Render(line)
	case State:
		return faint.Render(line)
	}
	return line
}

// paintAll lays out parts and styles each line.
func paintAll(parts []Part, width int) []string {
	var out []string
	for _, p := range parts {
		for _, l := range p.lay(width) {
			out = append(out, paint(p.Kind, l))
		}
	}
	return out
}
