package draw

import (
	"cmp"
	_ "embed"
	"io"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/markup"
	"deadflat/internal/text"
)

// sheetStyle is the look of the checklist on A4.
//
//go:embed sheet.css
var sheetStyle string

// Sheet writes the tree as a checklist to fill in by hand: cautions first, every
// step with room for what is read, and where each answer leads. Limits are
// worked out as far as what is given goes. The only error is w's.
func (p *Plan) Sheet(w io.Writer) error {
	s := &sheet{Plan: p}
	p.words.formula = true
	s.Page(p.tree.Title, sheetStyle, s.body)
	p.words.formula = false
	_, err := w.Write(s.Bytes())
	return err
}

// sheet writes the checklist.
type sheet struct {
	markup.Writer
	*Plan
}

func (s *sheet) body() {
	t := s.tree
	s.Leaf("h1", t.Title)
	s.Leaf("p", t.Summary)
	s.Leaf("p", "Tree "+t.Name+", edition "+number(t.Edition)+", "+t.Review.String()+". Begin at step 1. Tick what is done, write down what is read, and go where it leads. What was read already is not read again, unless the vehicle was changed since: charged, jumped, repaired.", "class", "small")
	s.Start("div", "class", "blanks")
	for _, blank := range []string{"Vehicle", "Date", "Meter", "Name"} {
		s.Leaf("div", blank)
	}
	s.End()
	s.worked()
	s.safety()
	s.Leaf("h2", "Steps")
	for _, st := range s.Steps {
		s.step(st)
	}
	s.Leaf("h2", "Findings")
	for _, f := range s.Findings {
		s.finding(f)
	}
	s.putBack()
	s.limits()
}

// putBack is the list to go through before the vehicle is left: what the steps of
// the tree change on it, and how each change is put back.
func (s *sheet) putBack() {
	changed := map[string][]string{}
	for _, st := range s.Steps {
		for _, w := range st.Leaves {
			changed[w] = append(changed[w], number(st.Number))
		}
	}
	if len(changed) == 0 {
		return
	}
	s.Leaf("h2", "Put back before you leave")
	for _, w := range s.tree.Words.Undone {
		if len(changed[w]) == 0 {
			continue
		}
		s.ticked("p", text.Spoken(w)+", if step "+strings.Join(changed[w], " or ")+" was begun: "+cmp.Or(s.tree.Words.Back[w], "as it was before."))
	}
}

// worked says what the limits were worked out for.
func (s *sheet) worked() {
	for _, says := range s.workedOut() {
		s.Leaf("p", says+" For another vehicle print another sheet.")
	}
}

// workedOut says what was given, if anything.
func (p *Plan) workedOut() []string {
	if len(p.given) == 0 {
		return nil
	}
	var parts []string
	for _, g := range p.given {
		parts = append(parts, g.Reading.Ask+": "+g.shown())
	}
	return []string{"Limits worked out for: " + strings.Join(parts, "; ") + "."}
}

// safety stands before everything else: what goes first, and what must hold
// before certain steps.
func (s *sheet) safety() {
	s.Start("div", "class", "caution")
	s.Leaf("p", "The vehicle's own instructions, local rules and licensed practice come first. Stop when something is not as this sheet takes it to be.")
	for _, h := range s.Hazards {
		s.Leaf("p", "Before every step of the kind "+h.kinds()+", and again after the vehicle was changed: "+s.words.guard(h.Rule.Holds, nil)+
			". If not, or if you cannot tell, stop: finding F"+number(h.Else.Number)+", "+h.Else.Title+". "+h.Why)
	}
	s.End()
}

// limits lists what the steps hold readings against, with the sources.
func (s *sheet) limits() {
	s.Leaf("h2", "Limits on this sheet, and where they come from")
	s.Start("table", "class", "limits")
	for _, l := range s.tree.Limits {
		if !s.decides(l) {
			continue
		}
		s.Start("tr")
		s.Leaf("td", cmp.Or(l.Title, text.Spoken(l.ID)))
		s.Leaf("td", s.words.worth(l))
		s.Leaf("td", l.Source, "class", "small")
		s.End()
	}
	s.End()
}

// decides tells whether a limit stands in a branch of the tree.
func (s *sheet) decides(l *eval.Limit) bool {
	return slices.ContainsFunc(s.tree.Steps, func(st *engine.Step) bool {
		return slices.ContainsFunc(st.Program().Atoms, func(a *eval.Atom) bool {
			return a.Kind == eval.Compare && slices.ContainsFunc(a.Diff.Limits, func(m eval.Mention) bool { return m.Limit == l })
		})
	})
}

// shown is the answer as the sheet repeats it.
func (g Given) shown() string {
	v := g.value()
	switch {
	case !v.Known():
		return "not known"
	case g.Reading.Number():
		return engine.Show(exactly(v.Best), g.Reading.Unit, "")
	case g.Answer.Unsure:
		return strings.Join(g.Reading.Choices, " or ")
	}
	return strings.Join(g.Answer.Choice, " or ")
}

func (s *sheet) step(st *Step) {
	long := len(st.Rows)+len(st.Take)+len(st.Record) > 18
	s.Start("div", "class", "step"+pick(long, " long", ""), "id", "step"+number(st.Number))
	s.ticked("h3", number(st.Number)+"  "+st.Title)
	s.cautions(st)
	s.text(st.Do)
	pictured(&s.Writer, st, 300)
	for _, r := range st.Take {
		s.reading(r)
	}
	if len(st.Record) > 0 {
		s.Leaf("p", "For the record, if at hand:", "class", "small")
		for _, r := range st.Record {
			s.reading(r)
		}
	}
	s.ways(st)
	if len(st.Leaves) > 0 {
		s.Leaf("p", "On the list of what is put back at the end: "+names(st.Leaves)+".", "class", "small")
	}
	if len(st.Restores) > 0 {
		s.Leaf("p", "This puts back, if it was changed: "+names(st.Restores)+".", "class", "small")
	}
	s.End()
}

// pictured writes the picture beside a step, with its words under it.
func pictured(w *markup.Writer, st *Step, most int) {
	p := st.Picture
	if p == nil {
		return
	}
	w.Start("figure")
	w.Picture(p.Type, p.Data, p.Width, p.Height, most, p.Text)
	w.Leaf("figcaption", "Step "+number(st.Number)+": "+p.Text)
	w.End()
}

func names(list []string) string { return text.Spoken(strings.Join(list, ", ")) }

func (s *sheet) cautions(st *Step) {
	if len(st.Cautions) == 0 && len(st.Rules()) == 0 {
		return
	}
	s.Start("div", "class", "caution")
	if len(st.Rules()) > 0 {
		first := few(st.Rules(), len(st.Rules()), func(r *engine.Rule) string { return text.Spoken(r.ID) })
		s.ticked("p", "Checked again now, as on the first page: "+first)
	}
	for _, c := range st.Cautions {
		s.Leaf("p", c)
	}
	s.End()
}

// mark leaves a box to tick, or room for a reading.
func (s *sheet) mark(class string) {
	s.Leaf("span", "", "class", class)
	s.WriteByte('\n')
}

func (s *sheet) ticked(name, text string) {
	s.Start(name)
	s.mark("tick")
	s.Text(text)
	s.End()
}

func (s *sheet) text(t engine.Text) {
	if !t.Empty() {
		s.Leaf("p", t.Over(&s.words.env))
	}
}

// condition is what a sentence of a finding waits for.
func (s *sheet) condition(x engine.Sentence) string {
	if x.When == nil {
		return ""
	}
	return "If " + s.words.guard(x.When, nil) + ": "
}

// reading is one thing to read: where the probes go, and room for what it says.
func (s *sheet) reading(r *engine.Reading) {
	s.Start("p")
	if r.Number() {
		s.mark("box")
		if r.Unit.Name != "1" {
			s.Text(r.Unit.Name)
		}
		s.WriteByte(' ')
	}
	s.Leaf("strong", r.Ask)
	s.WriteByte('\n')
	if where := probes(r); where != "" {
		s.Text("(" + where + ")")
	}
	if !r.Number() {
		s.Start("span", "class", "choices")
		choices := r.List()
		if r.Unsure {
			choices = append(slices.Clone(choices), "not sure")
		}
		for _, c := range choices {
			s.ticked("span", c)
			s.WriteByte('\n')
		}
		s.End()
	}
	s.End()
}

func probes(r *engine.Reading) string {
	var parts []string
	switch {
	case r.Red != "":
		parts = append(parts, "red "+text.Spoken(r.Red), "black "+text.Spoken(r.Black))
	case r.Clamp != "":
		parts = append(parts, "clamp "+text.Spoken(r.Clamp))
	}
	if r.Hold != "" {
		parts = append(parts, r.Hold)
	}
	return strings.Join(parts, ", ")
}

// ways lists where each answer leads.
func (s *sheet) ways(st *Step) {
	s.Start("table", "class", "ways")
	for _, r := range merged(st.Rows) {
		s.Start("tr")
		when := r.When
		if r.Branch != nil && !r.Side {
			when = s.words.branch(st.Step, r.Branch)
			if strings.HasPrefix(r.When, when) {
				when = r.When // several choices side by side
			}
		}
		s.Leaf("td", when)
		s.Start("td", "class", "to")
		s.mark("tick")
		if r.Step != nil {
			s.WriteString("go to step " + number(r.Step.Number))
			s.Leaf("span", ", "+r.Step.Title)
		} else {
			s.WriteString("finding F" + number(r.Finding.Number))
			s.Leaf("span", ", "+r.Finding.Title)
		}
		s.End()
		s.End()
	}
	s.End()
}

func (s *sheet) finding(f *Finding) {
	s.Start("div", "class", "finding"+pick(f.Stop, " stops", ""), "id", "finding"+number(f.Number))
	s.ticked("h3", "F"+number(f.Number)+"  "+f.Title)
	if f.Stop {
		s.Leaf("p", "Nothing more is done to this vehicle.")
	}
	for _, c := range f.Cautions {
		s.Leaf("p", "Caution: "+c)
	}
	for _, x := range f.Remedy.Sentences() {
		s.Leaf("p", s.condition(x)+x.Say.Over(&s.words.env))
	}
	for _, x := range f.Open.Sentences() {
		s.Leaf("p", "Still open: "+s.condition(x)+x.Say.Over(&s.words.env), "class", "small")
	}
	if f.Then != nil {
		s.Leaf("p", "Then walk tree "+f.Then.Tree+" again.", "class", "small")
	}
	s.End()
}
