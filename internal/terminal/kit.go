package terminal

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// ErrLeft means that a person left, or the input ended, before the question
// was answered.
var ErrLeft = errors.New("left before the equipment was named")

// AskKit asks once which meter is used and what is at hand of the equipment
// that some reading or step of the tree needs. What the tree needs nothing of is
// not asked about and taken to be there; a kit that lacks nothing has a nil list.
// Without meters that question is left out. Of the options it uses the streams,
// Plain and Width.
func AskKit(ctx context.Context, meters []*engine.Meter, t *engine.Tree, o Options) (engine.Kit, error) {
	wanted := needed(t)
	ask := kitByForm
	if o.Plain {
		ask = kitByLines
	}
	kit, err := ask(ctx, meters, wanted, o)
	if err != nil {
		return engine.Kit{}, err
	}
	kit.Has = atHand(t, kit.Has)
	return kit, nil
}

// atHand adds to what is at hand of the equipment that the tree needs all that it
// does not need; nil if nothing is lacking.
func atHand(t *engine.Tree, has []string) []string {
	wanted := needed(t)
	if len(has) == len(wanted) {
		return nil
	}
	for _, e := range t.Words.Equipment {
		if !slices.Contains(wanted, e) {
			has = append(has, e)
		}
	}
	return has
}

// kitCommand says what is at hand, or takes a new list of it.
func kitCommand(s *session, p *engine.Prompt, rest string, _ *engine.Reading) (reply, error) {
	wanted := needed(p.Tree)
	if len(wanted) == 0 {
		return refuse("this tree needs no equipment of its own"), nil
	}
	kit := s.walk.Record().Kit
	if rest == "" {
		has := slices.DeleteFunc(slices.Clone(wanted), func(e string) bool { return kit.Has != nil && !slices.Contains(kit.Has, e) })
		return reply{told: atHandInWords(has, wanted)}, nil
	}
	has, wrong := picked(rest, wanted)
	if wrong != "" {
		return refuse(wrong), nil
	}
	kit.Has = atHand(p.Tree, slices.Clone(has))
	r, err := s.apply(engine.Event{Do: engine.DoKit, Kit: &kit})
	r.told = append(atHandInWords(has, wanted), r.told...)
	return r, err
}

func atHandInWords(has, wanted []string) []part {
	if len(has) == 0 {
		return say(plainText, "", "Nothing is at hand: no "+strings.Join(spokenEach(wanted), ", no ")+".")
	}
	return say(plainText, "", "At hand: "+spokenAll(has)+".")
}

// needed lists the equipment that some reading or step cannot do without, in the
// order it is declared.
func needed(t *engine.Tree) []string {
	asked := map[string]bool{}
	for _, r := range t.Readings {
		for _, e := range r.Needs {
			asked[e] = true
		}
	}
	for _, st := range t.Steps {
		for _, e := range st.Needs {
			asked[e] = true
		}
	}
	return slices.DeleteFunc(slices.Clone(t.Words.Equipment), func(e string) bool { return !asked[e] })
}

const (
	whichMeter = "Which meter is used? Its accuracy goes into every verdict."
	whatIsHere = "What is at hand? Where a test needs something that is not, another way is taken if the tree knows one."
)

// nothingHere is the question before an empty list is believed.
func nothingHere(equipment []string) string {
	return "Nothing is at hand: no " + strings.Join(spokenEach(equipment), ", no ") + ". Is that right?"
}

func meterName(m *engine.Meter) string {
	if m.Title == "" {
		return m.Name
	}
	return m.Name + ": " + m.Title
}

func kitByLines(ctx context.Context, meters []*engine.Meter, equipment []string, o Options) (engine.Kit, error) {
	kit := engine.Kit{Has: []string{}}
	var err error
	if len(meters) > 0 {
		kit.Meter, err = meterByLines(ctx, meters, o)
	}
	if err != nil || len(equipment) == 0 {
		return kit, err
	}
	err = pick(ctx, o, whatIsHere, spokenEach(equipment), "Type the numbers or names, or all, or none", func(line string) (wrong string) {
		kit.Has, wrong = picked(line, equipment)
		return wrong
	})
	if err != nil {
		return kit, err
	}
	return kit, print(o.Err, lay(atHandInWords(kit.Has, equipment), columns(o)))
}

func meterByLines(ctx context.Context, meters []*engine.Meter, o Options) (name string, err error) {
	titles, names := make([]string, len(meters)), make([]string, len(meters))
	for i, m := range meters {
		titles[i], names[i] = meterName(m), m.Name
	}
	err = pick(ctx, o, whichMeter, titles, "Type its number or name", func(line string) string {
		hits, wrong := picked(line, names)
		switch {
		case wrong != "":
			return wrong
		case len(hits) != 1:
			return "Type one of them."
		}
		name = hits[0]
		return ""
	})
	return name, err
}

// pick prints a numbered list and reads lines until take finds nothing wrong.
func pick(ctx context.Context, o Options, head string, list []string, ask string, take func(line string) (wrong string)) error {
	width := columns(o)
	parts := []part{{title, "", text.Sentence(head)}}
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
			lines = append(lines, text.Clean(line))
		}
		wrong := take(strings.TrimSpace(text.Clean(line)))
		if wrong != "" {
			lines = append(lines, lay(say(trouble, "", wrong), width)...)
		}
		if err := print(o.Err, lines); err != nil || wrong == "" {
			return err
		}
	}
}

// picked reads "1 3", "clamp, load tester", "all" or "none".
func picked(line string, from []string) (out []string, wrong string) {
	out = []string{}
	fields := strings.FieldsFunc(strings.ToLower(text.Spoken(line)), func(r rune) bool { return r == ' ' || r == ',' || r == ';' })
	switch {
	case len(fields) == 0:
		return nil, "Type numbers or names of the list, or all, or none."
	case len(fields) == 1 && fields[0] == "all":
		return slices.Clone(from), ""
	case len(fields) == 1 && fields[0] == "none":
		return out, ""
	}
	for len(fields) > 0 {
		name, used := firstOf(fields, from)
		if used == 0 {
			return nil, fmt.Sprintf("%q is none of these: %s.", short(fields[0]), strings.Join(spokenEach(from), ", "))
		}
		if !slices.Contains(out, name) {
			out = append(out, name)
		}
		fields = fields[used:]
	}
	return out, ""
}

// firstOf reads one number or one name, which may be of several words, from the
// front of fields, and says how many fields it took.
func firstOf(fields, from []string) (name string, used int) {
	if i, ok := ordinal(fields[0], len(from)); ok {
		return from[i], 1
	}
	for _, name := range from {
		words := strings.Fields(strings.ToLower(text.Spoken(name)))
		if len(words) <= len(fields) && slices.Equal(words, fields[:len(words)]) {
			return name, len(words)
		}
	}
	return "", 0
}

// ordinal reads a number from 1 to n as an index.
func ordinal(s string, n int) (int, bool) {
	i, err := strconv.Atoi(s)
	return i - 1, err == nil && i >= 1 && i <= n
}
