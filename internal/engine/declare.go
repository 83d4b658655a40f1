package engine

import (
	"math"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"deadflat/internal/eval"
	"deadflat/internal/source"
	"deadflat/internal/unit"
)

// builder makes one tree out of the documents it is resolved from.
type builder struct {
	*loader
	t        *Tree
	s        *scope
	docs     []*document
	readings map[string]*Reading
	findings map[string]*Finding // the root tree's own, and those of shared files
	contexts []*context
	short    map[string]*Reading
	compile  map[string]*eval.Compiler // by prefix
	used     map[*eval.Limit][]*Step   // where a limit with `better` decides
}

// compiler gives the compiler for names as they look from one tree.
func (b *builder) compiler(prefix string) *eval.Compiler {
	c := b.compile[prefix]
	if c == nil {
		c = eval.NewCompiler(&view{scope: b.s, prefix: prefix})
		b.compile[prefix] = c
	}
	return c
}

// report places the problems that a compiler found in the text of a node.
func (b *builder) report(d *document, n *yaml.Node, c *eval.Compiler) bool {
	bad := len(c.Problems) > 0
	for _, p := range c.Problems {
		place, width := d.file.Span(n, p.From, p.To)
		b.faults.Add(p.Rule, place, width, "%s", p.Message)
	}
	c.Problems = nil
	return bad
}

// guard compiles one guard that stands alone.
func (b *builder) guard(d *document, n *yaml.Node, prefix string) *eval.Guard {
	text := d.r.Text(n)
	if text == "" {
		return nil
	}
	c := b.compiler(prefix)
	c.Next()
	g := c.Guard(text)
	b.report(d, n, c)
	return g
}

// like lays the keys of another entry under those of this one, one level deep.
func (b *builder) like(e *entry, find func(string) *entry) *source.Mapping {
	m := e.doc.r.Map(e.node)
	if m == nil || !m.Has("like") {
		return m
	}
	name := e.doc.r.Text(m.Get("like"))
	other := find(name)
	if other == nil || other == e {
		e.doc.r.Fault("unknown-name", m.Get("like"), "%q is not declared here and cannot be copied", name)
		return m
	}
	merged := &yaml.Node{Kind: yaml.MappingNode, Line: e.node.Line, Column: e.node.Column}
	for i := 0; i+1 < len(e.node.Content); i += 2 {
		if e.node.Content[i].Value != "like" {
			merged.Content = append(merged.Content, e.node.Content[i], e.node.Content[i+1])
		}
	}
	for i := 0; i+1 < len(other.node.Content); i += 2 {
		k := other.node.Content[i]
		if k.Value == "like" {
			e.doc.r.Fault("not-allowed", m.Get("like"), "%q is itself like another; one level only", name)
			continue
		}
		if !m.Has(k.Value) {
			merged.Content = append(merged.Content, k, other.node.Content[i+1])
		}
	}
	return e.doc.r.Map(merged)
}

// vocabulary gathers the declared words of one document.
func (b *builder) vocabulary(d *document) {
	w := &b.t.Words
	for _, v := range []struct {
		key string
		to  *[]string
	}{{"points", &w.Points}, {"acts", &w.Acts}, {"sees", &w.Sees}, {"equipment", &w.Equipment}, {"undone", &w.Undone}} {
		for _, s := range d.r.Texts(d.top.Get(v.key)) {
			if !slices.Contains(*v.to, s) {
				*v.to = append(*v.to, s)
			}
		}
	}
	if n := d.top.Get("states"); n != nil {
		if m := d.r.Map(n); m != nil {
			for _, k := range m.Keys() {
				w.States[k.Value] = append(w.States[k.Value], d.r.Texts(m.Get(k.Value))...)
			}
		}
	}
}

// word reads a word that must stand in a declared list.
func (b *builder) word(d *document, n *yaml.Node, list []string, what string) string {
	s := d.r.Text(n)
	if s != "" && !slices.Contains(list, s) {
		d.r.Fault("unknown-word", n, "%q is not a declared %s%s", s, what, source.DidYouMean(s, list))
	}
	return s
}

func (b *builder) wordList(d *document, n *yaml.Node, list []string, what string) []string {
	var out []string
	for _, k := range d.r.List(n) {
		if s := b.word(d, k, list, what); s != "" {
			out = append(out, s)
		}
	}
	return out
}

// reading makes a reading, all but its guards and texts, which need every name.
func (b *builder) reading(e *entry) {
	d := e.doc
	m := b.like(e, d.readings.get)
	if m == nil {
		return
	}
	r := &Reading{Index: len(b.t.Readings), ID: e.id, Ask: d.r.Text(m.Get("ask")), Short: d.r.Text(m.Get("short")),
		Fact: d.r.Bool(m.Get("fact")), Hazard: d.r.Bool(m.Get("hazard")), Optional: d.r.Bool(m.Get("optional")), Unsure: d.r.Bool(m.Get("unsure")),
		YesNo: d.r.Bool(m.Get("yes_no")), Choices: d.r.Texts(m.Get("choices")), About: map[string]string{}, Place: d.file.At(e.key)}
	if r.Ask == "" || r.Short == "" {
		d.r.Fault("missing-key", e.key, "reading %q needs `ask` (the question) and `short` (one word to type)", e.id)
	}
	b.shortName(d, m, r, e)
	if r.YesNo {
		r.Choices = []string{"no", "yes"}
	}
	b.kindOfReading(d, m, r, e)
	b.wayOfTaking(d, m, r)
	for _, k := range mapping(d, m.Get("about")) {
		if !slices.Contains(r.Choices, k[0].Value) {
			d.r.Fault("unknown-choice", k[0], "%q is not a choice of %s%s", k[0].Value, r.ID, source.DidYouMean(k[0].Value, r.Choices))
		}
		r.About[k[0].Value] = d.r.Text(k[1])
	}
	b.add(r)
	for _, later := range []string{"how", "slips", "cannot", "good", "odd", "assume"} {
		m.Has(later)
	}
	m.Done()
}

// add gives a reading its slot.
func (b *builder) add(r *Reading) {
	v := &eval.Var{ID: r.ID, Slot: r.Index, Title: r.Ask, Span: r.Span, Choices: r.Choices}
	switch {
	case r.YesNo:
		v.Kind = eval.YesNo
	case r.Unit == nil:
		v.Kind = eval.Choice
	default:
		v.Unit, v.Dim = r.Unit, r.Unit.Dim
	}
	b.readings[r.ID] = r
	b.s.vars[r.ID] = v
	b.s.byVar[v] = r
	b.s.slots = r.Index + 1
	b.t.Readings = append(b.t.Readings, r)
}

func (b *builder) shortName(d *document, m *source.Mapping, r *Reading, e *entry) {
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

// kindOfReading settles whether it is a number or a choice.
func (b *builder) kindOfReading(d *document, m *source.Mapping, r *Reading, e *entry) {
	name := d.r.Text(m.Get("unit"))
	span := d.r.List(m.Get("span"))
	switch {
	case name != "" && len(r.Choices) > 0:
		d.r.Fault("wrong-shape", m.Get("unit"), "reading %q has both a unit and choices; it is a number or a choice, not both", r.ID)
	case name == "" && len(r.Choices) == 0:
		d.r.Fault("missing-key", e.key, "reading %q needs `unit` and `span`, or `choices`, or `yes_no`", r.ID)
		r.Choices = []string{"?"}
	case name == "":
		if len(r.Choices) < 2 || len(r.Choices) > 60 {
			d.r.Fault("wrong-shape", e.key, "a reading has 2 to 60 choices; %q has %d", r.ID, len(r.Choices))
		}
		for i, c := range r.Choices {
			if slices.Contains(r.Choices[:i], c) {
				d.r.Fault("duplicate-name", m.Get("choices"), "choice %q stands here twice", c)
			}
		}
	default:
		u, ok := unit.Lookup(name)
		if !ok {
			d.r.Fault("unknown-unit", m.Get("unit"), "%q is not a unit this program knows%s", name, source.DidYouMean(name, unit.Names()))
			u, _ = unit.Lookup("1")
		}
		r.Unit = u
		b.span(d, m, r, e, span)
	}
	if r.Unsure && r.Unit != nil {
		d.r.Fault("not-allowed", m.Get("unsure"), "only a choice can be answered with \"not sure\"")
	}
}

func (b *builder) span(d *document, m *source.Mapping, r *Reading, e *entry, span []*yaml.Node) {
	if len(span) != 2 {
		d.r.Fault("missing-key", e.key, "reading %q needs `span: [lowest, highest]` in %s", r.ID, r.Unit.Name)
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
		r.Red = b.word(d, p.Get("red"), w.Points, "point")
		r.Black = b.word(d, p.Get("black"), w.Points, "point")
		p.Done()
		if r.Red == "" || r.Black == "" {
			d.r.Fault("missing-key", m.Get("probe"), "a probe needs `red` and `black`")
		}
	}
	if n := m.Get("clamp"); n != nil {
		r.Clamp = b.word(d, n, w.Points, "point")
	}
	r.Vehicle = map[string]string{}
	for _, k := range mapping(d, m.Get("vehicle")) {
		states, ok := w.States[k[0].Value]
		if !ok {
			d.r.Fault("unknown-word", k[0], "%q is not a declared state%s", k[0].Value, source.DidYouMean(k[0].Value, keys(w.States)))
			continue
		}
		r.Vehicle[k[0].Value] = b.word(d, k[1], states, k[0].Value+" state")
	}
	if n := m.Get("hold"); n != nil {
		r.Hold = d.r.Text(n)
		if !slices.Contains(holds, r.Hold) && !strings.HasPrefix(r.Hold, "at: ") {
			d.r.Fault("unknown-word", n, "%q is not a way to hold a reading (%s, or \"at: 15 s\")%s", r.Hold, list(holds), source.DidYouMean(r.Hold, holds))
		}
	}
	r.Needs = b.wordList(d, m.Get("needs"), w.Equipment, "piece of equipment")
	if n := m.Get("sees"); n != nil {
		r.Sees = b.word(d, n, w.Sees, "thing to look at")
	}
	r.Meter = meterFunction(r)
	if n := m.Get("meter"); n != nil {
		r.Meter = b.word(d, n, meterFunctions, "meter function")
	}
	r.meter = max(0, slices.Index(meterFunctions, r.Meter))
	if n := m.Get("also_out_by"); n != nil && r.Unit != nil {
		dim := r.Unit.Dim
		dim.Point = false
		r.AlsoOutBy = b.quantity(d, n, dim)
	}
}

// meterFunction is what takes a reading unless the author says otherwise.
func meterFunction(r *Reading) string {
	switch {
	case r.Clamp != "":
		return "amps_clamp"
	case r.Red != "" && r.Hold == "ripple":
		return "volts_ac"
	case r.Red != "":
		return "volts_dc"
	}
	return "none"
}

// quantity reads a number with a unit of the dimension that is wanted.
func (b *builder) quantity(d *document, n *yaml.Node, want unit.Dim) float64 {
	if n == nil {
		return 0
	}
	if n.Tag == "!!int" || n.Tag == "!!float" {
		v, _ := d.r.Number(n)
		if want != (unit.Dim{}) {
			d.r.Fault("unit-mismatch", n, "%s has no unit; %s is wanted here", n.Value, want)
		}
		return v
	}
	s := d.r.Text(n)
	if s == "" {
		return 0
	}
	v, u, err := unit.ParseQuantity(s)
	switch {
	case err != nil:
		d.r.Fault("bad-quantity", n, "%v", err)
	case u.Dim != want:
		d.r.Fault("unit-mismatch", n, "%q is %s; %s is wanted here", s, u.Dim, want)
	}
	return v
}

// mapping gives a node's keys and values, or nothing.
func mapping(d *document, n *yaml.Node) [][2]*yaml.Node {
	m := d.r.Map(n)
	if m == nil {
		return nil
	}
	var out [][2]*yaml.Node
	for _, k := range m.Keys() {
		out = append(out, [2]*yaml.Node{k, m.Get(k.Value)})
	}
	return out
}

// limit makes a limit: a constant, a table over a reading, or one for each choice.
func (b *builder) limit(e *entry) {
	d := e.doc
	m := d.r.Map(e.node)
	if m == nil {
		return
	}
	l := &eval.Limit{ID: e.id, Title: d.r.Text(m.Get("title")), Source: d.r.Text(m.Get("source")), Better: d.r.Text(m.Get("better"))}
	if l.Source == "" {
		d.r.Fault("missing-source", e.key, "limit %q needs a source: a standard or handbook with its place, \"common practice, no source\", \"from memory\" or \"definition\"", e.id)
	}
	switch s := d.r.Text(m.Get("safer")); s {
	case "":
	case "below":
		l.Safer = eval.SaferBelow
	case "above":
		l.Safer = eval.SaferAbove
	default:
		d.r.Fault("unknown-word", m.Get("safer"), "`safer` is below or above, not %q", s)
	}
	ok := false
	switch {
	case m.Has("is"):
		ok = b.constant(d, m.Get("is"), l)
	case m.Has("table"):
		ok = b.table(d, m, l)
	case m.Has("by"):
		ok = b.cases(d, m, l)
	default:
		d.r.Fault("missing-key", e.key, "limit %q needs `is`, or `table` and `unit`, or `by` and `cases`", e.id)
	}
	m.Done()
	if ok {
		b.s.limits[e.id] = l
		b.t.Limits = append(b.t.Limits, l)
	}
}

func (b *builder) constant(d *document, n *yaml.Node, l *eval.Limit) bool {
	if n.Tag == "!!int" || n.Tag == "!!float" {
		v, ok := d.r.Number(n)
		l.Is = v
		l.Unit, _ = unit.Lookup("1")
		return ok
	}
	v, u, err := unit.ParseQuantity(d.r.Text(n))
	if err != nil {
		d.r.Fault("bad-quantity", n, "%v", err)
		return false
	}
	l.Is, l.Unit = v, u
	return true
}

func (b *builder) table(d *document, m *source.Mapping, l *eval.Limit) bool {
	t := d.r.Map(m.Get("table"))
	if t == nil {
		return false
	}
	over := b.variable(d, t.Get("over"), eval.Number)
	u, ok := unit.Lookup(d.r.Text(m.Get("unit")))
	if !ok {
		d.r.Fault("missing-key", m.Get("table"), "a table needs a `unit` the program knows")
	}
	if s := d.r.Text(t.Get("outside")); s != "hold_end" {
		d.r.Fault("missing-key", m.Get("table"), "a table says what holds outside its points: `outside: hold_end`")
	}
	points := d.r.List(t.Get("points"))
	t.Done()
	if over == nil || !ok {
		return false
	}
	l.Unit, l.Table = u, &eval.Table{Var: over}
	for _, p := range points {
		xy := d.r.List(p)
		if len(xy) != 2 {
			d.r.Fault("wrong-shape", p, "a point is [%s, %s]", over.Unit.Name, u.Name)
			return false
		}
		x, ok1 := d.r.Number(xy[0])
		y, ok2 := d.r.Number(xy[1])
		if !ok1 || !ok2 {
			return false
		}
		x = over.Unit.Base(x)
		if k := len(l.Table.X); k > 0 && l.Table.X[k-1] >= x {
			d.r.Fault("wrong-shape", xy[0], "the points of a table ascend; this one does not lie above the one before it")
			return false
		}
		l.Table.X, l.Table.Y = append(l.Table.X, x), append(l.Table.Y, u.Base(y))
	}
	if len(points) < 2 {
		d.r.Fault("wrong-shape", m.Get("table"), "a table needs at least two points")
		return false
	}
	return true
}

// variable reads the name of a reading of one kind.
func (b *builder) variable(d *document, n *yaml.Node, kind eval.Kind) *eval.Var {
	name := d.r.Text(n)
	v := b.s.vars[name]
	switch {
	case name == "":
		return nil
	case v == nil:
		d.r.Fault("unknown-name", n, "%q is not a declared reading%s", name, source.DidYouMean(name, keys(b.s.vars)))
	case kind == eval.Number && v.Kind != eval.Number:
		d.r.Fault("wrong-shape", n, "%q is a choice; a number is wanted here", name)
		return nil
	case kind == eval.Choice && v.Kind == eval.Number:
		d.r.Fault("wrong-shape", n, "%q is a number; a choice is wanted here", name)
		return nil
	}
	return v
}

func (b *builder) cases(d *document, m *source.Mapping, l *eval.Limit) bool {
	by := b.variable(d, m.Get("by"), eval.Choice)
	if by == nil {
		return false
	}
	l.Cases = &eval.Cases{Var: by, Y: make([]float64, len(by.Choices))}
	seen := map[string]bool{}
	for _, k := range mapping(d, m.Get("cases")) {
		word := d.r.Text(k[0])
		i := slices.Index(by.Choices, word)
		if i < 0 {
			d.r.Fault("unknown-choice", k[0], "%q is not a choice of %s%s", word, by.ID, source.DidYouMean(word, by.Choices))
			continue
		}
		one := &eval.Limit{}
		if !b.constant(d, k[1], one) {
			return false
		}
		if l.Unit != nil && l.Unit.Dim != one.Unit.Dim {
			d.r.Fault("unit-mismatch", k[1], "this is %s; the cases above it are %s", one.Unit.Dim, l.Unit.Dim)
		}
		l.Unit, l.Cases.Y[i] = one.Unit, one.Is
		seen[word] = true
	}
	for _, c := range by.Choices {
		if !seen[c] {
			d.r.Fault("missing-case", m.Get("cases"), "choice %q of %s has no number here", c, by.ID)
			return false
		}
	}
	return true
}

// value makes a named sum, or the first known of several.
func (b *builder) value(e *entry) {
	d := e.doc
	m := d.r.Map(e.node)
	if m == nil {
		return
	}
	v := &eval.Derived{ID: e.id, Title: d.r.Text(m.Get("title"))}
	u, ok := unit.Lookup(d.r.Text(m.Get("unit")))
	if !ok {
		d.r.Fault("missing-key", e.key, "value %q needs a `unit` the program knows", e.id)
		return
	}
	v.Unit = u
	texts := []*yaml.Node{m.Get("is")}
	if m.Has("first_known") {
		texts = d.r.List(m.Get("first_known"))
	}
	m.Done()
	c := b.compiler("")
	for _, n := range texts {
		if n == nil {
			d.r.Fault("missing-key", e.key, "value %q needs `is` or `first_known`", e.id)
			return
		}
		l := c.Sum(d.r.Text(n))
		if b.report(d, n, c) || l == nil {
			return
		}
		if l.Dim != u.Dim {
			d.r.Fault("unit-mismatch", n, "%q is %s, but its unit is given as %s", n.Value, l.Dim, u.Name)
			return
		}
		v.Text = l.Text
		v.Alternatives = append(v.Alternatives, l)
	}
	b.s.values[e.id] = v
	b.t.Values = append(b.t.Values, v)
}

// text reads an author's text with names in braces.
func (b *builder) text(d *document, n *yaml.Node, prefix string) Text {
	raw := d.r.Text(n)
	t := Text{raw: raw}
	if !strings.Contains(raw, "{") {
		return t
	}
	rest, at := raw, 0
	for {
		i := strings.IndexByte(rest, '{')
		if i < 0 {
			t.parts = append(t.parts, part{words: rest})
			return t
		}
		j := strings.IndexByte(rest[i:], '}')
		if j < 0 {
			place, _ := d.file.Span(n, at+runes(rest[:i]), at+runes(rest[:i])+1)
			b.faults.Add("bad-text", place, 1, "this { is not closed; a name in braces is worked out when the text is shown")
			return t
		}
		name := rest[i+1 : i+j]
		p, ok := b.named(name, prefix)
		if !ok {
			place, width := d.file.Span(n, at+runes(rest[:i])+1, at+runes(rest[:i])+1+runes(name))
			b.faults.Add("unknown-name", place, width, "%q is not a declared reading, value or limit%s", name,
				source.DidYouMean(strings.TrimPrefix(name, "limits."), append(append(keys(b.s.limits), keys(b.s.values)...), keys(b.s.vars)...)))
		}
		t.parts = append(t.parts, part{words: rest[:i]}, p)
		at += runes(rest[:i+j+1])
		rest = rest[i+j+1:]
	}
}

func runes(s string) int { return len([]rune(s)) }

func (b *builder) named(name, prefix string) (part, bool) {
	if l, ok := strings.CutPrefix(name, "limits."); ok {
		p := part{limit: b.s.limits[l]}
		return p, p.limit != nil
	}
	if v := b.s.values[name]; v != nil {
		return part{value: v}, true
	}
	if step, reading, ok := strings.Cut(name, "."); ok {
		p := part{v: (&view{scope: b.s, prefix: prefix}).Take(step, reading)}
		return p, p.v != nil
	}
	p := part{v: b.s.vars[name]}
	return p, p.v != nil
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
	by := b.variable(d, m.Get("by"), eval.Choice)
	a := &Assume{Ranges: map[string][2]float64{}, Source: d.r.Text(m.Get("source"))}
	if a.Source == "" {
		d.r.Fault("missing-source", n, "an assumed range needs a source")
	}
	if m.Has("if") {
		a.If = b.guard(d, m.Get("if"), "")
	}
	for _, k := range mapping(d, m.Get("ranges")) {
		ends := d.r.List(k[1])
		if len(ends) != 2 {
			d.r.Fault("wrong-shape", k[1], "a range is [lowest, highest]")
			continue
		}
		lo, hi := b.quantity(d, ends[0], r.Unit.Dim), b.quantity(d, ends[1], r.Unit.Dim)
		if lo > hi {
			d.r.Fault("wrong-shape", k[1], "the lower end of a range comes first")
		}
		a.Ranges[d.r.Text(k[0])] = [2]float64{lo, hi}
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

// spanOf is where a number can lie at all.
func clip(x float64, span [2]float64) float64 { return math.Max(span[0], math.Min(span[1], x)) }
