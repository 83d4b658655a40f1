package engine

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"deadflat/internal/eval"
	"deadflat/internal/source"
	"deadflat/internal/text"
	"deadflat/internal/unit"
)

// reading makes a reading, all but its guards and texts, which need every name.
func (b *builder) reading(e *entry) {
	d := e.doc
	m := b.like(e, d.readings.get)
	if m == nil {
		return
	}
	r := &Reading{Index: len(b.t.Readings), ID: e.id, Ask: d.r.Text(m.Get("ask")), Short: d.r.Text(m.Get("short")),
		Fact: d.r.Bool(m.Get("fact")), Hazard: d.r.Bool(m.Get("hazard")), Optional: d.r.Bool(m.Get("optional")), Unsure: d.r.Bool(m.Get("unsure")),
		About: map[string]string{}, Place: d.r.File.At(e.key)}
	b.shortName(d, m, r)
	before := b.faults.Added()
	known := b.domain(d, m, r)
	b.failed[e.id] = b.faults.Added() > before
	b.wayOfTaking(d, m, r)
	if known {
		b.meterOf(d, m, r)
	}
	for k, v := range d.r.Map(m.Get("about")).All() {
		if !slices.Contains(r.List(), k.Value) {
			d.r.Fault("unknown-choice", k, "%q is not a choice of %s%s", k.Value, r.ID, source.DidYouMean(k.Value, r.List()))
		}
		r.About[k.Value] = d.r.Text(v)
	}
	b.add(r)
	for _, later := range []string{"how", "slips", "cannot", "good", "odd", "assume"} {
		m.Has(later)
	}
	m.Done()
	if m.Lacks("ask") || m.Lacks("short") {
		d.r.Fault("missing-key", e.key, "reading %q needs `ask` (the question) and `short` (one word to type)", e.id)
	}
	if r.Unit == nil && len(r.Choices) == 0 {
		r.Choices = []string{"?"}
		if m.Lacks("unit") && m.Lacks("choices") && m.Lacks("yes_no") && m.Lacks("several") {
			d.r.Fault("missing-key", e.key, "reading %q needs `unit` and `span`, or `choices`, or `yes_no`", e.id)
		}
	}
	if r.Unit != nil && m.Lacks("span") {
		d.r.Fault("missing-key", e.key, "reading %q needs `span: [lowest, highest]` in %s", r.ID, r.Unit.Name)
	}
}

// Var is a variable that stands for the reading's latest take.
func (r *Reading) Var() *eval.Var {
	return &eval.Var{Domain: r.Domain, ID: r.ID, Slot: r.Index, Title: r.Ask}
}

// add gives a reading its slot.
func (b *builder) add(r *Reading) {
	v := r.Var()
	b.readings[r.ID] = r
	b.s.vars[r.ID] = v
	b.s.byVar[v] = r
	b.s.slots = r.Index + 1
	b.t.Readings = append(b.t.Readings, r)
}

func (b *builder) shortName(d *document, m *source.Mapping, r *Reading) {
	if r.Short == "" {
		return
	}
	if strings.ContainsAny(r.Short, " \t") || strings.ToLower(r.Short) != r.Short {
		d.r.Fault("bad-name", m.Get("short"), "a short name is one word in small letters, not %q", r.Short)
	}
	if looksTyped(r.Short) {
		d.r.Fault("bad-name", m.Get("short"), "%q is how a number or a unit is typed, so it cannot be a short name", r.Short)
	}
	if other := b.short[r.Short]; other != nil {
		f := d.r.Fault("duplicate-name", m.Get("short"), "short name %q is taken by %q", r.Short, other.ID)
		f.Notes = append(f.Notes, source.Note{Place: other.Place, Message: "it is declared here"})
	}
	b.short[r.Short] = r
}

// looksTyped reports whether a word could be part of a quantity in a typed line.
func looksTyped(s string) bool {
	switch s {
	case "and", "a", "oh", "point", "minus":
		return true
	}
	_, n, _ := unit.ScanTyped([]string{s}, nil)
	if n > 0 {
		return true
	}
	_, n, _ = unit.ScanTyped([]string{"1", s}, nil)
	return n == 2
}

// domain reads what the answer can be, a number or a choice; no unit that there is not is known.
func (b *builder) domain(d *document, m *source.Mapping, r *Reading) bool {
	name := d.r.Text(m.Get("unit"))
	span := d.r.List(m.Get("span"))
	r.Choices, r.Kind = d.r.Texts(m.Get("choices")), eval.Choice
	b.cutByComma(d, m.Get("choices"), cutChoice)
	switch several := d.r.Bool(m.Get("several")); {
	case d.r.Bool(m.Get("yes_no")):
		if n := m.Get("choices"); n != nil {
			d.r.Fault("not-allowed", n, "`yes_no` makes the choices no and yes; remove `choices`, or remove `yes_no`")
		}
		r.Choices, r.Kind = []string{"no", "yes"}, eval.YesNo
	case several && len(r.Choices) == 0:
		d.r.Fault("missing-key", m.Get("several"), "`several` goes with `choices`")
	case several && len(r.Choices) > eval.MaxSeveral:
		d.r.Fault("wrong-shape", m.Get("choices"), "several of at most %d choices can be picked; %q has %d", eval.MaxSeveral, r.ID, len(r.Choices))
	case several:
		r.Domain = eval.SeveralOf(r.Choices)
	}
	known := true
	switch {
	case name != "" && len(r.Choices) > 0:
		d.r.Fault("wrong-shape", m.Get("unit"), "reading %q has both a unit and choices; it is a number or a choice, not both", r.ID)
	case name == "" && len(r.Choices) == 0:
	case name == "":
		if n := len(d.r.List(m.Get("choices"))); r.Kind != eval.YesNo && (n < 2 || n > 60) {
			d.r.Fault("wrong-shape", m.Get("choices"), "a reading has 2 to 60 choices; %q has %d", r.ID, n)
		}
		b.choiceWords(d, m.Get("choices"), r)
	default:
		u, ok := unit.Lookup(name)
		if !ok {
			d.r.Fault("unknown-unit", m.Get("unit"), "%q is not a unit this program knows; %s", name, unit.Advice(name))
			u, _ = unit.Lookup("1")
			known = false
		}
		r.Kind, r.Unit = eval.Number, u
		b.span(d, m, r, span)
	}
	for _, key := range []string{"span", "also_out_by", "assume"} {
		if n := m.Get(key); n != nil && r.Unit == nil && len(r.Choices) > 0 {
			d.r.Fault("not-allowed", n, "`%s` goes with a number, but %q is a choice; remove it", key, r.ID)
		}
	}
	if r.Unsure && r.Unit != nil {
		d.r.Fault("not-allowed", m.Get("unsure"), "only a choice can be answered with \"not sure\"")
	}
	return known
}

func (b *builder) span(d *document, m *source.Mapping, r *Reading, span []*yaml.Node) {
	if len(span) != 2 {
		if n := m.Get("span"); n != nil && n.Kind == yaml.SequenceNode {
			d.r.Fault("wrong-shape", n, "reading %q needs `span: [lowest, highest]` in %s%s", r.ID, r.Unit.Name, decimalComma(d, span))
		}
		return
	}
	lo, ok1 := d.r.Number(span[0])
	hi, ok2 := d.r.Number(span[1])
	if ok1 && ok2 && lo >= hi {
		d.r.Fault("wrong-shape", m.Get("span"), "the span of %q runs from %v to %v; the lower end comes first", r.ID, lo, hi)
	}
	r.Span = [2]float64{r.Unit.Base(lo), r.Unit.Base(hi)}
}

var holds = []string{"settled", "plateau", "lowest", "highest", "ripple", "first"}

// wayOfTaking reads where the probes go and what takes the reading.
func (b *builder) wayOfTaking(d *document, m *source.Mapping, r *Reading) {
	w := &b.t.Words
	if p := d.r.Map(m.Get("probe")); p != nil {
		r.Red = b.word(d, p.Get("red"), w.Points, "point", "points")
		r.Black = b.word(d, p.Get("black"), w.Points, "point", "points")
		p.Done()
		if r.Red == "" || r.Black == "" {
			d.r.Fault("missing-key", m.Get("probe"), "a probe needs `red` and `black`")
		}
	}
	if n := m.Get("clamp"); n != nil {
		r.Clamp = b.word(d, n, w.Points, "point", "points")
	}
	r.Vehicle = map[string]string{}
	for k, v := range d.r.Map(m.Get("vehicle")).All() {
		states, ok := w.States[k.Value]
		if !ok {
			b.unknownWord(d, k, k.Value, keys(w.States), "state", "states")
			continue
		}
		r.Vehicle[k.Value] = b.word(d, v, states, k.Value+" state", "states")
	}
	if n := m.Get("hold"); n != nil {
		r.Hold = d.r.Text(n)
		if !slices.Contains(holds, r.Hold) && !strings.HasPrefix(r.Hold, "at: ") {
			d.r.Fault("unknown-word", n, "%q is not a way to hold a reading (%s, or \"at: 15 s\")%s", r.Hold, text.List(holds, "and"), source.DidYouMean(r.Hold, holds))
		}
	}
	r.Needs = b.wordList(d, m.Get("needs"), w.Equipment, "piece of equipment", "equipment")
	if n := m.Get("sees"); n != nil {
		r.Sees = b.word(d, n, w.Sees, "thing to look at", "sees")
	}
}

// decimalComma says how to write a number that a comma cut in two, if it looks as if one had.
func decimalComma(d *document, list []*yaml.Node) string {
	for i := 1; i < len(list); i++ {
		whole, fraction := d.r.File.At(list[i-1]), d.r.File.At(list[i])
		if whole.Line == fraction.Line && whole.Col+d.r.File.Width(list[i-1])+1 == fraction.Col {
			return fmt.Sprintf("; if %s,%s is one number, write it with a point, %s.%s", list[i-1].Value, list[i].Value, list[i-1].Value, list[i].Value)
		}
	}
	return ""
}

// meterOf settles what takes a reading, and refuses what cannot.
func (b *builder) meterOf(d *document, m *source.Mapping, r *Reading) {
	r.Meter = meterFunction(r)
	n := m.Get("meter")
	if n != nil {
		r.Meter = b.word(d, n, meterFunctions, "meter function", "")
	}
	r.meter = max(0, slices.Index(meterFunctions, r.Meter))
	if r.Unit == nil {
		return
	}
	dim := r.Unit.Dim
	dim.Point = false
	if n := m.Get("also_out_by"); n != nil {
		r.AlsoOutBy = quantity(d, n, dim)
	}
	can := functionsFor(dim)
	if reads, ok := meterDims[r.Meter]; ok && reads != dim {
		at := cmp.Or(n, m.Get("clamp"), m.Get("probe"))
		d.r.Fault("unit-mismatch", at, "%s takes %s, but %q is %s; say `meter:` with %s", r.Meter, reads, r.ID, r.Unit.Dim, text.List(append(can, "none"), "or"))
	}
	r.Exact = n == nil && r.Meter == "none" && !r.Fact && len(can) > 0 && dim != unit.Dim{} && !m.Has("also_out_by")
}

// meterFunction is what takes a reading unless the author says otherwise.
func meterFunction(r *Reading) string {
	switch {
	case r.Clamp != "":
		return "amps_clamp"
	case r.Unit != nil && r.Unit.Dim == meterDims["ohms"]:
		return "ohms"
	case r.Red != "" && r.Hold == "ripple":
		return "volts_ac"
	case r.Red != "":
		return "volts_dc"
	}
	return "none"
}

// readingTexts reads what of a reading needs every name to be known.
func (b *builder) readingTexts(e *entry) {
	r := b.readings[e.id]
	if r == nil {
		return
	}
	d := e.doc
	m := b.like(e, d.readings.get)
	r.How, r.Slips = b.text(d, m.Get("how"), ""), b.text(d, m.Get("slips"), "")
	r.Cannot, r.Good = b.text(d, m.Get("cannot"), ""), b.text(d, m.Get("good"), "")
	for _, n := range d.r.List(m.Get("odd")) {
		o := d.r.Map(n)
		if o == nil {
			continue
		}
		g := b.guard(d, o.Get("if"), "")
		r.Odd = append(r.Odd, Odd{If: g, Ask: d.r.Text(o.Get("ask"))})
		o.Done()
	}
	if n := m.Get("assume"); n != nil {
		r.Assume = b.assume(d, n, r)
	}
}

func (b *builder) assume(d *document, n *yaml.Node, r *Reading) *Assume {
	m := d.r.Map(n)
	if m == nil || r.Unit == nil {
		return nil
	}
	by := b.variable(d, m, "by", eval.Choice)
	a := &Assume{Ranges: map[string][2]float64{}, Source: d.r.Text(m.Get("source"))}
	if a.Source == "" {
		d.r.Fault("missing-source", n, "an assumed range needs a source")
	}
	if m.Has("if") {
		a.If = b.guard(d, m.Get("if"), "")
	}
	for k, v := range d.r.Map(m.Get("ranges")).All() {
		ends := d.r.List(v)
		if len(ends) != 2 {
			d.r.Fault("wrong-shape", v, "a range is [lowest, highest]%s", decimalComma(d, ends))
			continue
		}
		lo, hi := quantity(d, ends[0], r.Unit.Dim), quantity(d, ends[1], r.Unit.Dim)
		if lo > hi {
			d.r.Fault("wrong-shape", v, "the lower end of a range comes first")
		}
		a.Ranges[d.r.Text(k)] = [2]float64{lo, hi}
	}
	m.Done()
	if by == nil {
		return nil
	}
	a.By = b.s.byVar[by]
	for _, c := range by.Choices {
		if _, ok := a.Ranges[c]; !ok {
			d.r.Fault("missing-case", n, "choice %q of %s has no range here", c, by.ID)
		}
	}
	return a
}
