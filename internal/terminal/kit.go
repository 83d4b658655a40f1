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
	d := newKitDialog(meters, needed(t))
	if err := Converse(ctx, d, o); err != nil {
		return engine.Kit{}, err
	}
	if d.left {
		return engine.Kit{}, ErrLeft
	}
	d.kit.Has = atHand(t, d.kit.Has)
	return d.kit, nil
}

// kitDialog asks for the meter and then for the equipment.
type kitDialog struct {
	meters    []*engine.Meter
	equipment []string
	kit       engine.Kit
	stage     kitStage
	left      bool
}

type kitStage int

const (
	stageMeter kitStage = iota
	stageEquipment
	stageNothing // an empty list is asked about before it is believed
	stageOver
)

// newKitDialog has everything ticked: whoever presses Enter leaves nothing out.
func newKitDialog(meters []*engine.Meter, equipment []string) *kitDialog {
	d := &kitDialog{meters: meters, equipment: equipment, kit: engine.Kit{Has: slices.Clone(equipment)}}
	if len(meters) == 0 {
		d.goOn()
	}
	return d
}

// goOn comes to the equipment, if there is any to ask for.
func (d *kitDialog) goOn() {
	if d.stage = stageEquipment; len(d.equipment) == 0 {
		d.stage = stageOver
	}
}

func (d *kitDialog) Over() bool { return d.left || d.stage == stageOver }

func (d *kitDialog) Leave() error {
	d.left = d.left || !d.Over()
	return nil
}

func (d *kitDialog) Prompt() Prompt {
	p := Prompt{Key: strconv.Itoa(int(d.stage))}
	if len(d.meters) > 0 && d.stage > stageMeter {
		p.Commands = []Command{{Word: "back"}}
	}
	f := Field{Name: p.Key}
	switch d.stage {
	case stageMeter:
		p.Title = "Which meter is used? Its accuracy goes into every verdict."
		f.Ask, f.Line, f.Enter = "Meter", "Type its number or name", true
		f.Choices = Numbered(each(d.meters, meterName))
	case stageEquipment:
		p.Title = "What is at hand? Where a test needs something that is not, another way is taken if the tree knows one."
		f.Ask, f.Line, f.Many = "At hand", "Type the numbers or names, or all, or none", true
		f.Choices = Numbered(each(d.equipment, text.Spoken))
		for i, e := range d.equipment {
			f.Choices[i].Ticked = slices.Contains(d.kit.Has, e)
		}
	default:
		p.Title = atHandInWords(nil, d.equipment)[0].Text
		f.Ask, f.Choices = "Is that right? (y or n)", []Choice{{Key: "y", Name: "yes, nothing", Line: "y"}, {Key: "n", Name: "no, back to the list", Line: "n"}}
	}
	p.Fields = []Field{f}
	return p
}

func (d *kitDialog) Answer(_, line string) (Reply, error) {
	line = strings.ToLower(strings.TrimSpace(text.Clean(line)))
	if line == "back" && len(d.meters) > 0 {
		d.stage = max(d.stage-1, stageMeter)
		return Reply{}, nil
	}
	if d.stage == stageNothing {
		switch line {
		case "":
			return Refuse("type y or n"), nil
		case "n", "no":
			d.stage = stageEquipment
			return Reply{}, nil
		case "y", "yes":
			line = "none"
		}
	}
	if d.stage == stageMeter {
		return d.pickMeter(line), nil
	}
	if line == "" {
		d.kit.Has, d.stage = []string{}, stageNothing
		return Reply{}, nil
	}
	has, wrong := picked(line, d.equipment)
	if wrong != "" {
		d.stage = stageEquipment
		return Refuse(wrong), nil
	}
	d.kit.Has, d.stage = has, stageOver
	return Reply{Told: atHandInWords(has, d.equipment)}, nil
}

func (d *kitDialog) pickMeter(line string) Reply {
	hits, wrong := picked(line, each(d.meters, func(m *engine.Meter) string { return m.Name }))
	switch {
	case wrong != "":
		return Refuse(wrong)
	case len(hits) != 1:
		return Refuse("type one of them")
	}
	d.kit.Meter = hits[0]
	d.goOn()
	return Reply{}
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
func kitCommand(s *session, p *engine.Prompt, rest string, _ *engine.Reading) (Reply, error) {
	wanted := needed(p.Tree)
	if len(wanted) == 0 {
		return Refuse("this tree needs no equipment of its own"), nil
	}
	kit := s.walk.Record().Kit
	if rest == "" {
		has := slices.DeleteFunc(slices.Clone(wanted), func(e string) bool { return kit.Has != nil && !slices.Contains(kit.Has, e) })
		return Reply{Told: atHandInWords(has, wanted)}, nil
	}
	has, wrong := picked(rest, wanted)
	if wrong != "" {
		return Refuse(wrong), nil
	}
	kit.Has = atHand(p.Tree, slices.Clone(has))
	r, err := s.apply(engine.Event{Do: engine.DoKit, Kit: &kit})
	r.Told = append(atHandInWords(has, wanted), r.Told...)
	return r, err
}

func atHandInWords(has, wanted []string) []Part {
	if len(has) == 0 {
		return say(Plain, "", "Nothing is at hand: no "+strings.Join(each(wanted, text.Spoken), ", no ")+".")
	}
	return say(Plain, "", "At hand: "+spokenAll(has)+".")
}

// needed lists the equipment that some reading or step cannot do without, in the
// order it is declared.
func needed(t *engine.Tree) []string {
	var asked []string
	for _, r := range t.Readings {
		asked = append(asked, r.Needs...)
	}
	for _, st := range t.Steps {
		asked = append(asked, st.Needs...)
	}
	return slices.DeleteFunc(slices.Clone(t.Words.Equipment), func(e string) bool { return !slices.Contains(asked, e) })
}

func meterName(m *engine.Meter) string { return Choice{Name: m.Name, About: m.Title}.shown(false) }

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
			return nil, fmt.Sprintf("%q is none of these: %s.", short(fields[0]), strings.Join(each(from, text.Spoken), ", "))
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
