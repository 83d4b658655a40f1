package draw

import (
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/text"
)

// Lengths of the picture in its own units, which are 1/96 inch on paper as long
// as the picture need not be made smaller to fit the sheet.
const (
	pad       = 6.0
	gap       = 8.0 // between two cards of a column
	laneWidth = 5.0
	titleLine = 12.5
	bodyLine  = 11.0
	rowGap    = 2.5
	chipSlant = 5.0 // of the pointed ends of a finding

	maxRows = 40 // of one step; what stands beyond is only counted
)

var (
	titleFont = font{10.5, 1.07}
	bodyFont  = font{9, 1}
	boldFont  = font{9, 1.07}
	smallFont = font{8, 1}
)

// cardWidths are the widths of a card that are tried to fill the sheet.
var cardWidths = []float64{212, 218, 224, 227, 230, 233, 236, 242, 248, 254, 260, 266, 272}

// card is one box of the picture: a step, a finding, a hazard rule or a heading.
type card struct {
	step    *Step
	finding *Finding
	boxed   bool // hazard rules and notes
	heading string

	prefix string  // of the sub-tree that it stands in
	covers []*Step // of a sub-tree that is drawn elsewhere: all its steps

	title  []string
	badge  float64 // width of the number's shape
	info   []string
	rows   []cardRow
	left   int // rows that are not drawn
	width  float64
	height float64

	column int
	x, y   float64
}

// cardRow is one way out as it stands in a card.
type cardRow struct {
	*Row
	when []string
	chip []string // of a finding
	side bool     // the chip stands beside the condition, not under it
	y    float64  // of its first line, from the top of the card
	h    float64
	line bool // a line is drawn to its step
}

// cards lays out everything at one width of card.
func (p *Plan) cards(width float64) []*card {
	var out []*card
	drawn := map[string]*Step{} // sub-trees by their steps, with the first of each
	for i := 0; i < len(p.Steps); {
		again, n := p.again(i, width, drawn)
		if again == nil {
			again, n = p.stepCard(p.Steps[i], width), 1
		}
		out = append(out, again)
		i += n
	}
	out = append(out, headingCard("Findings"))
	for _, f := range p.Findings {
		out = append(out, p.findingCard(f, width))
	}
	if len(p.Hazards) > 0 {
		out = append(out, headingCard("Must hold before certain steps"))
	}
	for _, h := range p.Hazards {
		out = append(out, boxCard(text.Spoken(h.ID), []string{"before " + h.kinds() + ": " + h.Holds + "; else F" + number(h.Else.Number) + " " + h.Else.Title}, width))
	}
	for several := range slices.Chunk(p.words.notes(), 10) {
		out = append(out, boxCard("numbers that depend on a reading", several, width))
	}
	return out
}

func headingCard(text string) *card { return &card{heading: text, height: 18} }

func (p *Plan) stepCard(s *Step, width float64) *card {
	c := &card{width: width, step: s, prefix: s.Prefix(), badge: titleFont.width(number(s.Number)) + 14}
	c.title = titleFont.wrap(s.Title, width-3*pad-c.badge, 3)
	c.info = smallFont.wrap(p.about(s), width-2*pad, 5)
	c.rowsFrom(merged(s.Rows), p.cases != nil)
	return c
}

// rowsFrom lays the ways out under the title.
func (c *card) rowsFrom(rows []*Row, cases bool) {
	y := pad + float64(max(len(c.title), 1))*titleLine + 2 + float64(len(c.info))*(bodyLine-1) + 3
	if len(rows) > maxRows {
		rows, c.left = rows[:maxRows], len(rows)-maxRows
	}
	for _, r := range rows {
		row := layRow(r, c.width, cases)
		row.y = y
		y += row.h + rowGap
		c.rows = append(c.rows, row)
	}
	if c.left > 0 {
		y += bodyLine
	}
	c.height = y + pad - rowGap
}

// merged puts choices side by side that lead to the same place and are marked
// alike.
func merged(rows []*Row) []*Row {
	var out []*Row
	for _, r := range rows {
		i := slices.IndexFunc(out, func(o *Row) bool { return r.choice() && o.choice() && r.like(o) })
		if i < 0 {
			out = append(out, r)
			continue
		}
		both := *out[i]
		both.When += ", " + r.When
		out[i] = &both
	}
	return out
}

// choice tells whether a row names one answer of a list.
func (r *Row) choice() bool {
	return r.Branch != nil && r.Branch.Guard != nil && r.Branch.Guard.Root.Kind == eval.Leaf && strings.HasPrefix(r.When, r.Branch.Text)
}

func (r *Row) like(o *Row) bool {
	return r.Step == o.Step && r.Finding == o.Finding && r.Taken == o.Taken && (r.Cases == 0) == (o.Cases == 0)
}

// about says in small print what kind of step it is, what it reads, what is
// checked before it, what it leaves changed and where it is come to from.
func (p *Plan) about(s *Step) string {
	about := kindWords[s.Kind]
	if s.For != "" {
		about += " " + s.For
	}
	if len(s.Take) > 0 {
		about += " · reads " + few(s.Take, 12, func(r *engine.Reading) string { return text.Spoken(r.ID) })
	}
	if len(s.Rules()) > 0 {
		about += " · hazards first"
	}
	if s.Picture != nil {
		about += " · picture: " + s.Picture.Text
	}
	return about + changes(s) + p.reached(s.From, s.Cases)
}

// changes says what a step leaves changed on the vehicle, and what it puts back.
func changes(s *Step) string {
	said := ""
	if len(s.Leaves) > 0 {
		said += " · leaves " + names(s.Leaves)
	}
	if len(s.Restores) > 0 {
		said += " · puts back " + names(s.Restores)
	}
	return said
}

// reached says from where a step or a finding is come to, in small print.
func (p *Plan) reached(from []*Step, cases int) string {
	said := ""
	if len(from) > 0 {
		said = " · from " + steps(from)
	}
	return said + pick(p.bare(cases), " · no case comes here", "")
}

// kindWords are the kinds of step as the picture names them.
var kindWords = map[engine.Kind]string{engine.Measure: "measure", engine.LoadTest: "load", engine.Crank: "crank", engine.Inspect: "look or ask",
	engine.Charge: "charge", engine.Repair: "repair", engine.Jump: "jump", engine.Wait: "wait", engine.Retest: "read again", engine.Decide: "decide"}

// steps names steps by their numbers.
func steps(list []*Step) string {
	return few(list, 6, func(s *Step) string { return number(s.Number) })
}

// few lists names and counts those past the first so many.
func few[T any](list []T, most int, name func(T) string) string {
	var out []string
	for _, x := range list {
		out = append(out, name(x))
	}
	if len(out) <= most+1 {
		return strings.Join(out, ", ")
	}
	return strings.Join(out[:most], ", ") + " and " + number(len(out)-most) + " more"
}

// layRow breaks a way out into lines: the condition on the left, the number of
// the next step or the finding on the right.
func layRow(r *Row, width float64, cases bool) cardRow {
	row := cardRow{Row: r}
	room := width - 2*pad - 6
	when := r.When
	if cases && r.Branch != nil && r.Cases == 0 {
		when += " (no case)"
	}
	if r.Step != nil {
		row.when = bodyFont.wrap(when, room-boldFont.width("→ "+number(r.Step.Number))-6, 6)
		row.h = float64(len(row.when)) * bodyLine
		return row
	}
	chip := "F" + number(r.Finding.Number) + " " + r.Finding.Title
	row.when = bodyFont.wrap(when, room, 6)
	if n := bodyFont.width(row.when[len(row.when)-1]); n+boldFont.width(chip)+2*chipSlant+10 <= room {
		row.side, row.chip = true, []string{text.Clean(chip)}
		row.h = float64(len(row.when))*bodyLine + 3
		return row
	}
	row.chip = boldFont.wrap(chip, room-2*chipSlant-12, 2)
	row.h = float64(len(row.when)+len(row.chip))*bodyLine + 4
	return row
}

func (p *Plan) findingCard(f *Finding, width float64) *card {
	c := &card{width: width, finding: f, badge: titleFont.width("F"+number(f.Number)) + 14}
	c.title = titleFont.wrap(f.Title, width-3*pad-c.badge, 3)
	about := pick(f.Stop, "stops the work · ", "") + "to do: " + text.Spoken(f.Action)
	if f.Then != nil {
		about += " · then " + f.Then.Tree
	}
	c.info = smallFont.wrap(about+p.reached(f.From, f.Cases), width-2*pad-2*chipSlant, 2)
	c.height = float64(max(len(c.title), 1))*titleLine + float64(len(c.info))*(bodyLine-1) + pad
	return c
}

// boxCard is a hazard rule, or several notes.
func boxCard(title string, says []string, width float64) *card {
	c := &card{width: width, boxed: true}
	c.title = titleFont.wrap(title, width-3*pad-titleFont.width("▲ "), 2)
	for _, one := range says {
		c.info = append(c.info, smallFont.wrap(one, width-2*pad, 8)...)
	}
	c.height = pad + float64(len(c.title))*titleLine + 2 + float64(len(c.info))*(bodyLine-1) + pad - 2
	return c
}

// kinds names the kinds of step that the rule guards.
func (h *Hazard) kinds() string {
	return few(h.Kinds, len(h.Kinds), func(k engine.Kind) string { return kindWords[k] })
}
