package terminal

import (
	"context"
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/huh"

	_ "deadflat/internal/background" // before bubbletea asks the terminal
	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// kitForm asks for the kit on a terminal's second screen, one list after the
// other.
type kitForm struct {
	meters    []*engine.Meter
	equipment []string
	kit       engine.Kit
	stage     kitStage
	form      *huh.Form
	group     *huh.Group
	sure      string // the answer to the last question
	width     int
	most      int // the width that was asked for
	done      bool
}

type kitStage int

const (
	stageMeter kitStage = iota
	stageEquipment
	stageNothing // an empty list is asked about
)

func kitByForm(ctx context.Context, meters []*engine.Meter, equipment []string, o Options) (engine.Kit, error) {
	if len(meters)+len(equipment) == 0 {
		return engine.Kit{Has: []string{}}, nil
	}
	m := newKitForm(meters, equipment, columns(o))
	err := show(ctx, m, o)
	if err == nil && !m.done {
		err = ErrLeft
	}
	return m.kit, err
}

// newKitForm has everything ticked: whoever presses Enter leaves nothing out.
func newKitForm(meters []*engine.Meter, equipment []string, width int) *kitForm {
	m := &kitForm{meters: meters, equipment: equipment, width: width, most: width}
	m.kit.Has = slices.Clone(equipment)
	m.show(m.first())
	return m
}

func (m *kitForm) first() kitStage {
	if len(m.meters) == 0 {
		return stageEquipment
	}
	return stageMeter
}

// show builds the form of a stage.
func (m *kitForm) show(stage kitStage) {
	m.stage = stage
	var field huh.Field
	switch stage {
	case stageMeter:
		rows := make([]huh.Option[string], len(m.meters))
		for i, mt := range m.meters {
			rows[i] = huh.NewOption(text.Clean(fmt.Sprintf("%d %s", i+1, meterName(mt))), mt.Name)
		}
		field = huh.NewSelect[string]().Title(whichMeter).Options(rows...).Value(&m.kit.Meter)
	case stageEquipment:
		rows := make([]huh.Option[string], len(m.equipment))
		for i, e := range m.equipment {
			rows[i] = huh.NewOption(text.Clean(fmt.Sprintf("%d %s", i+1, text.Spoken(e))), e)
		}
		field = huh.NewMultiSelect[string]().Title(whatIsHere).Options(rows...).Value(&m.kit.Has)
	case stageNothing:
		m.sure = ""
		rows := []huh.Option[string]{huh.NewOption("choose: y or n", ""), huh.NewOption("y yes, nothing", "y"), huh.NewOption("n no, back to the list", "n")}
		field = huh.NewSelect[string]().Title(text.Clean(nothingHere(m.equipment))).Options(rows...).Value(&m.sure)
	}
	keys := huh.NewDefaultKeyMap()
	keys.Quit.SetEnabled(false)
	keys.Select.Filter.SetEnabled(false)
	keys.MultiSelect.Filter.SetEnabled(false)
	m.group = huh.NewGroup(field).WithShowHelp(false)
	m.form = huh.NewForm(m.group).WithTheme(theme()).WithKeyMap(keys).WithWidth(m.width - 1)
	m.form.Init()
	m.form.Update(nil) // a list learns its height at its first message
}

func (m *kitForm) Init() tea.Cmd { return nil }

func (m *kitForm) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		if width := min(max(msg.Width, narrowest), m.most); width != m.width {
			m.width = width
			m.show(m.stage)
		}
		return m, nil
	case tea.KeyMsg:
		return m, m.key(msg)
	}
	return m, nil
}

func (m *kitForm) key(msg tea.KeyMsg) tea.Cmd {
	switch msg.Type {
	case tea.KeyCtrlC:
		return tea.Quit
	case tea.KeyEsc, tea.KeyShiftTab:
		if m.stage > m.first() {
			m.show(m.stage - 1)
		}
	case tea.KeyEnter:
		return m.enter()
	case tea.KeyUp, tea.KeyDown, tea.KeySpace:
		m.form.Update(msg)
	case tea.KeyRunes:
		for _, r := range msg.Runes {
			m.typed(r)
		}
	}
	return nil
}

// typed goes to the row of a digit, or of y and n; in the list of equipment a
// digit ticks its row or takes the tick away.
func (m *kitForm) typed(r rune) {
	rows, at := len(m.meters), int(r-'1')
	switch m.stage {
	case stageEquipment:
		rows = len(m.equipment)
	case stageNothing:
		rows, at = 3, strings.IndexRune("?yn", r)
	}
	if at < 0 || at >= rows {
		return
	}
	m.form.Update(tea.KeyMsg{Type: tea.KeyHome})
	for range at {
		m.form.Update(tea.KeyMsg{Type: tea.KeyDown})
	}
	if m.stage == stageEquipment {
		m.form.Update(tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}})
	}
}

// enter goes on to the next list, or ends.
func (m *kitForm) enter() tea.Cmd {
	switch {
	case m.stage == stageMeter && len(m.equipment) > 0:
		m.show(stageEquipment)
		return nil
	case m.stage == stageEquipment && len(m.kit.Has) == 0:
		m.show(stageNothing)
		return nil
	case m.stage == stageNothing && m.sure != "y":
		if m.sure == "n" {
			m.show(stageEquipment)
		}
		return nil
	}
	m.done = true
	return tea.Quit
}

func (m *kitForm) View() string {
	if m.done {
		return ""
	}
	keys := "Digits or arrows choose | Enter goes on | Ctrl-C leaves"
	switch m.stage {
	case stageEquipment:
		keys = "Digits or the space bar tick and untick | Enter goes on | Esc back | Ctrl-C leaves"
	case stageNothing:
		keys = "y or n, then Enter | Esc back | Ctrl-C leaves"
	}
	return m.group.Content() + "\n\n" + strings.Join(paintAll(say(state, "", keys), m.width), "\n")
}
