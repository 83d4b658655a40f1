package terminal

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/huh"

	"deadflat/internal/engine"
)

// ErrLeft means that a person left, or the input ended, before the question
// was answered.
var ErrLeft = errors.New("left before the equipment was named")

// AskKit asks once which meter is used and which of the words of equipment are
// at hand. Of the options it uses the streams, Plain and Width.
func AskKit(ctx context.Context, meters []*engine.Meter, equipment []string, o Options) (engine.Kit, error) {
	if o.Plain {
		return kitByLines(ctx, meters, equipment, o)
	}
	return kitByForm(ctx, meters, equipment, o)
}

const (
	whichMeter = "Which meter is used? Its accuracy goes into every verdict."
	whatIsHere = "What is at hand? Nothing is asked that needs what is not here."
)

func kitByForm(ctx context.Context, meters []*engine.Meter, equipment []string, o Options) (engine.Kit, error) {
	kit := engine.Kit{Has: []string{}}
	names := make([]huh.Option[string], len(meters))
	for i, m := range meters {
		names[i] = huh.NewOption(clean(meterName(m)), m.Name)
	}
	things := make([]huh.Option[string], len(equipment))
	for i, e := range equipment {
		things[i] = huh.NewOption(clean(spoken(e)), e)
	}
	keys := huh.NewDefaultKeyMap()
	keys.Select.Filter.SetEnabled(false)
	keys.MultiSelect.Filter.SetEnabled(false)
	err := huh.NewForm(huh.NewGroup(
		huh.NewSelect[string]().Title(whichMeter).Options(names...).Value(&kit.Meter),
		huh.NewMultiSelect[string]().Title(whatIsHere).Options(things...).Value(&kit.Has),
	)).WithTheme(theme()).WithKeyMap(keys).WithWidth(columns(o)).
		WithProgramOptions(tea.WithInput(o.In), tea.WithOutput(o.Err), tea.WithAltScreen()).
		RunWithContext(ctx)
	switch {
	case errors.Is(err, huh.ErrUserAborted), ctx.Err() != nil:
		return engine.Kit{}, ErrLeft
	case err != nil:
		return engine.Kit{}, fmt.Errorf("cannot use the terminal: %w", err)
	}
	return kit, nil
}

func meterName(m *engine.Meter) string {
	if m.Title == "" {
		return m.Name
	}
	return m.Name + ": " + m.Title
}

func kitByLines(ctx context.Context, meters []*engine.Meter, equipment []string, o Options) (engine.Kit, error) {
	kit := engine.Kit{Has: []string{}}
	names := make([]string, len(meters))
	for i, m := range meters {
		names[i] = meterName(m)
	}
	err := pick(ctx, o, whichMeter, names, "Type its number", func(line string) string {
		i, ok := numbered(line, len(meters))
		if !ok {
			return "Type one of the numbers."
		}
		kit.Meter = meters[i].Name
		return ""
	})
	if err != nil {
		return engine.Kit{}, err
	}
	things := make([]string, len(equipment))
	for i, e := range equipment {
		things[i] = spoken(e)
	}
	err = pick(ctx, o, whatIsHere, things, "Type the numbers, or all, or none", func(line string) (wrong string) {
		kit.Has, wrong = picked(line, equipment)
		return wrong
	})
	return kit, err
}

// pick prints a numbered list and reads lines until take finds nothing wrong.
func pick(ctx context.Context, o Options, head string, list []string, ask string, take func(line string) (wrong string)) error {
	width := columns(o)
	parts := []part{{title, "", sentence(head)}}
	for i, l := range list {
		parts = append(parts, part{choice, "", fmt.Sprintf("%d %s", i+1, l)})
	}
	if err := print(o.Err, lay(parts, width)); err != nil {
		return err
	}
	for {
		if err := askLine(o.Err, ask, width); err != nil {
			return err
		}
		line, more, err := nextLine(ctx, o.In)
		if err != nil {
			return err
		}
		if !more {
			return errors.Join(ErrLeft, print(o.Err, []string{""}))
		}
		var lines []string
		if echoes(o) {
			lines = append(lines, clean(line))
		}
		wrong := take(strings.TrimSpace(clean(line)))
		if wrong != "" {
			lines = append(lines, lay(say(trouble, "", wrong), width)...)
		}
		if err := print(o.Err, lines); err != nil || wrong == "" {
			return err
		}
	}
}

// picked reads "1 3", "1,3", "all" or "none".
func picked(line string, equipment []string) (has []string, wrong string) {
	has = []string{}
	fields := strings.FieldsFunc(line, func(r rune) bool { return r == ' ' || r == ',' || r == ';' })
	switch {
	case len(fields) == 0:
		return nil, "Type the numbers of what is at hand, or all, or none."
	case strings.EqualFold(line, "all"):
		return slices.Clone(equipment), ""
	case strings.EqualFold(line, "none"):
		return has, ""
	}
	for _, f := range fields {
		i, ok := numbered(f, len(equipment))
		if !ok {
			return nil, fmt.Sprintf("%q is none of the numbers.", f)
		}
		has = append(has, equipment[i])
	}
	return has, ""
}

func numbered(s string, n int) (int, bool) {
	i, err := strconv.Atoi(strings.TrimSpace(s))
	return i - 1, err == nil && i >= 1 && i <= n
}
