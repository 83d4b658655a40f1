package engine

import (
	"math/big"
	"slices"

	"gopkg.in/yaml.v3"

	"deadflat/internal/eval"
	"deadflat/internal/source"
	"deadflat/internal/unit"
)

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
		ok = constant(d, m.Get("is"), l)
	case m.Has("table"):
		ok = b.table(d, m, l)
	case m.Has("by"):
		ok = b.cases(d, m, l)
	default:
		d.r.Fault("missing-key", e.key, "limit %q needs `is`, or `table` and `unit`, or `by` and `cases`", e.id)
	}
	m.Done()
	b.failed[e.id] = !ok
	if ok {
		b.s.limits[e.id] = l
		b.t.Limits = append(b.t.Limits, l)
	}
}

func constant(d *document, n *yaml.Node, l *eval.Limit) bool {
	v, u, ok := number(d.r, n)
	if ok {
		l.Unit = u
		l.Set(v)
	}
	return ok
}

// number reads a number as it is written, in base units, with its unit; a number without one
// is in unit "1". What it refuses is a fault.
func number(r source.Reader, n *yaml.Node) (*big.Rat, *unit.Unit, bool) {
	if source.IsNumber(n) {
		u, _ := unit.Lookup("1")
		digits, ok := r.Digits(n)
		return u.Exact(digits), u, ok
	}
	s := r.Text(n)
	if s == "" {
		return nil, nil, false
	}
	v, u, err := unit.ParseQuantity(s)
	if err != nil {
		r.Fault("bad-quantity", n, "%v", err)
	}
	return v, u, err == nil
}

func (b *builder) table(d *document, m *source.Mapping, l *eval.Limit) bool {
	t := d.r.Map(m.Get("table"))
	if t == nil {
		return false
	}
	over := b.variable(d, t, "over", eval.Number)
	u, ok := b.unit(d, m, m.Get("table"), "a table")
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
		if p.Kind == yaml.MappingNode && len(p.Content) == 2 {
			d.r.Fault("wrong-shape", p, "a point is a pair in brackets, %s and %s: write [%s, %s]", over.Unit.Name, u.Name, p.Content[0].Value, p.Content[1].Value)
			return false
		}
		xy := d.r.List(p)
		if len(xy) != 2 {
			d.r.Fault("wrong-shape", p, "a point is [%s, %s]%s", over.Unit.Name, u.Name, decimalComma(d, xy))
			return false
		}
		x, ok1 := d.r.Digits(xy[0])
		y, ok2 := d.r.Digits(xy[1])
		if !ok1 || !ok2 {
			return false
		}
		l.Table.Add(over.Unit.Exact(x), u.Exact(y))
		if k := len(l.Table.X) - 1; k > 0 && l.Table.X[k-1] >= l.Table.X[k] {
			d.r.Fault("wrong-shape", xy[0], "the points of a table ascend; this one does not lie above the one before it")
			return false
		}
	}
	if len(points) < 2 {
		d.r.Fault("wrong-shape", m.Get("table"), "a table needs at least two points")
		return false
	}
	return true
}

// unit reads the unit of a table or a value, which must be given.
func (b *builder) unit(d *document, m *source.Mapping, at *yaml.Node, what string) (*unit.Unit, bool) {
	n := m.Get("unit")
	name := d.r.Text(n)
	u, ok := unit.Lookup(name)
	switch {
	case n == nil:
		d.r.Fault("missing-key", at, "%s needs a `unit`; %s", what, unit.Advice(""))
	case !ok && name != "":
		d.r.Fault("unknown-unit", n, "%q is not a unit this program knows; %s", name, unit.Advice(name))
	}
	return u, ok
}

// variable reads the name of a reading of one kind, which must be given.
func (b *builder) variable(d *document, m *source.Mapping, key string, kind eval.Kind) *eval.Var {
	n := m.Get(key)
	name := d.r.Text(n)
	v := b.s.vars[name]
	switch {
	case n == nil:
		d.r.Fault("missing-key", m.Node, "`%s: READING` is missing here", key)
	case name == "":
		return nil
	case v == nil:
		b.unknown(d, n, "unknown-name", name, "%q is not a declared reading%s", name, source.DidYouMean(name, keys(b.s.vars)))
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
	by := b.variable(d, m, "by", eval.Choice)
	if by == nil {
		return false
	}
	l.Cases = &eval.Cases{Var: by, Y: make([]float64, len(by.Choices)), Exact: make([]*big.Rat, len(by.Choices))}
	seen := map[string]bool{}
	for k, v := range d.r.Map(m.Get("cases")).All() {
		word := d.r.Text(k)
		i := slices.Index(by.Choices, word)
		if i < 0 {
			d.r.Fault("unknown-choice", k, "%q is not a choice of %s%s", word, by.ID, source.DidYouMean(word, by.Choices))
			return false
		}
		one := &eval.Limit{}
		if !constant(d, v, one) {
			return false
		}
		if l.Unit != nil && l.Unit.Dim != one.Unit.Dim {
			d.r.Fault("unit-mismatch", v, "this is %s; the cases above it are %s", one.Unit.Dim, l.Unit.Dim)
		}
		l.Unit, l.Cases.Y[i], l.Cases.Exact[i] = one.Unit, one.Is, one.Exact
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
	b.failed[e.id] = true
	v := &eval.Derived{ID: e.id, Title: d.r.Text(m.Get("title"))}
	u, ok := b.unit(d, m, e.key, "a value")
	if !ok {
		return
	}
	v.Unit = u
	texts := []*yaml.Node{m.Get("is")}
	if m.Has("first_known") {
		if n := m.Get("is"); n != nil {
			d.r.Fault("not-allowed", n, "a value is one sum, `is`, or the first known of several, `first_known`; remove one")
		}
		texts = d.r.List(m.Get("first_known"))
	}
	m.Done()
	c := b.compiler("")
	for _, n := range texts {
		if n == nil {
			d.r.Fault("missing-key", e.key, "value %q needs `is` or `first_known`", e.id)
			return
		}
		ok := c.Value(v, b.actual(d.r.Text(n), ""))
		if b.report(d, n, c) || !ok {
			return
		}
		var dim unit.Dim
		switch {
		case v.Call != nil && len(texts) > 1:
			d.r.Fault("not-allowed", n, "first_known holds sums; give the function a value of its own and name that")
			return
		case v.Extreme != nil && len(texts) > 1:
			d.r.Fault("not-allowed", n, "first_known holds sums, not the %s of readings", v.Extreme.Func)
			return
		case v.Call != nil:
			v.Text, dim = v.Call.Text, v.Call.Func.Unit.Dim
		case v.Extreme != nil:
			v.Text, dim = v.Extreme.Text, v.Extreme.Dim
		default:
			l := v.Alternatives[len(v.Alternatives)-1]
			v.Text, dim = l.Text, l.Dim
		}
		if dim != u.Dim {
			d.r.Fault("unit-mismatch", n, "%q is %s, but its unit is given as %s", n.Value, dim, u.Name)
			return
		}
	}
	b.s.values[e.id], b.failed[e.id] = v, false
	b.t.Values = append(b.t.Values, v)
}
