package engine

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"deadflat/internal/eval"
	"deadflat/internal/text"
	"deadflat/internal/unit"
)

// comparison lays out one deciding comparison.
func (w *Walk) comparison(a *eval.Atom, t eval.Trace) Comparison {
	c := Comparison{Holds: howClear(t.Verdict)}
	switch a.Kind {
	case eval.OneOf:
		v := &w.s.env.Values[a.Var.Slot]
		r := w.s.t.scope.byVar[a.Var]
		c.Left, c.Value, c.Reading = nameOf(a.Var), valueText(r, v), r
		c.Is, c.Limit = a.Var.Says(a.Set, t.Verdict == eval.False)
		return c
	case eval.KnownIs:
		c.Left, c.Is = nameOf(a.Var), "is known"
		if t.Verdict == eval.False {
			c.Is = "is not known"
		}
		return c
	case eval.DoneIs:
		c.Left, c.Is = w.s.t.stepBorn(a.Step).Title, "was done"
		if t.Verdict == eval.False {
			c.Is = "was not done"
		}
		return c
	}
	return w.numbers(a, t)
}

func (t *Tree) stepBorn(i int) *Step {
	for _, s := range t.Steps {
		if s.declared == i {
			return s
		}
	}
	return t.Begin
}

// howClear says how far a comparison can be relied on.
func howClear(v eval.Verdict) string {
	switch v {
	case eval.Open:
		return "too close to call"
	case eval.Unknown:
		return "not known"
	}
	return "clear"
}

// sides puts the reading on the left and the limit on the right, whichever way the author
// wrote it: the limit is the side made of limits alone, else the one with any.
func sides(a *eval.Atom) (reading, limit *eval.Linear, written string) {
	reading, limit, written = a.Left, a.Right, a.Written
	if bound(a.Left) > bound(a.Right) {
		reading, limit = a.Right, a.Left
		written = map[string]string{"<": ">", "<=": ">=", ">": "<", ">=": "<="}[a.Written]
	}
	return
}

// bound is how far a sum is a limit: 2 when it holds no reading, 1 when it names a limit or
// a value of its own.
func bound(l *eval.Linear) int {
	switch {
	case onlyLimits(l):
		return 2
	case len(l.Limits) > 0 || slices.ContainsFunc(l.Terms, func(t eval.Term) bool { return t.First != nil }):
		return 1
	}
	return 0
}

// onlyLimits reports whether a sum holds no plain reading.
func onlyLimits(l *eval.Linear) bool {
	for _, t := range l.Terms {
		if t.Table == nil && t.Cases == nil {
			return false
		}
	}
	return true
}

func (w *Walk) numbers(a *eval.Atom, t eval.Trace) Comparison {
	s := w.s
	left, right, written := sides(a)
	l, r := left.Over(s.env.Values), right.Over(s.env.Values)
	u := w.unitFor(a)
	c := Comparison{Left: w.sideName(a, left), Holds: howClear(t.Verdict), UnitName: u.Name}
	if t.Verdict == eval.Unknown {
		c.Limit = w.limitName(a, right)
		return c
	}
	lo, hi := l.Lo, l.Hi
	if len(left.Terms) == 1 && left.Terms[0].Var != nil {
		rd := s.t.scope.byVar[left.Terms[0].Var]
		c.Reading = rd
		c.Value = valueText(rd, &s.env.Values[left.Terms[0].Var.Slot])
		lo, hi = math.Max(lo, math.Min(rd.Span[0], l.Best)), math.Min(hi, math.Max(rd.Span[1], l.Best))
	} else {
		c.Value = showDoubt(l.Best, l.Lo, l.Hi, u)
	}
	c.Is = isWords(written, t)
	if t.Verdict == eval.Open {
		c.Is = "is too close to"
	}
	c.Limit = limitText(r, u)
	if name := w.limitName(a, right); name != "" {
		c.Limit += " (" + name + ")"
	}
	margin, doubt := t.Margin()
	c.Margin = marginText(margin, doubt, u)
	c.Source = sourceOf(a.Diff)
	c.Drawn, c.Best, c.Lo, c.Hi, c.LimitLo, c.LimitHi = true, l.Best, lo, hi, r.Lo, r.Hi
	return c
}

// isWords says on which side of the limit the best value lies.
func isWords(written string, t eval.Trace) string {
	holds := t.Nominal
	switch written {
	case "<", ">=":
		if holds == (written == "<") {
			return "is below"
		}
		return "is at or above"
	case ">", "<=":
		if holds == (written == ">") {
			return "is above"
		}
		return "is at or below"
	}
	if holds {
		return "is exactly"
	}
	return "is not"
}

func limitText(r eval.Interval, u *unit.Unit) string {
	if narrow(r, u) {
		return showPlain(r.Best, u)
	}
	return showPlain(r.Best, u) + ", itself between " + showPlain(r.Lo, u) + " and " + showPlain(r.Hi, u)
}

// marginText is the distance to the limit, and how many times the doubt it is.
func marginText(margin, doubt float64, u *unit.Unit) string {
	m := showWidth2(margin, u)
	switch {
	case doubt < 1e-9:
		return m
	case margin >= doubt*10:
		return m + ", many times the doubt"
	}
	return fmt.Sprintf("%s, %.1f times the doubt", m, margin/doubt)
}

// showWidth2 prints a difference without rounding it up.
func showWidth2(x float64, u *unit.Unit) string {
	if u.Dim.Point {
		u, _ = unit.Lookup("K")
	}
	return showPlain(x, u)
}

func sourceOf(l *eval.Linear) string {
	var out []string
	add := func(source string) {
		if source != "" && !containsString(out, source) {
			out = append(out, source)
		}
	}
	for _, lim := range l.Limits {
		add(lim.Source)
	}
	for _, t := range l.Terms {
		if t.First != nil && t.First.Call != nil {
			add(t.First.Call.Func.Source.Text)
		}
	}
	return strings.Join(out, "; ")
}

func containsString(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// unitFor is the unit a comparison is shown in: that of a reading or limit in it.
func (w *Walk) unitFor(a *eval.Atom) *unit.Unit {
	for _, side := range []*eval.Linear{a.Left, a.Right} {
		for _, t := range side.Terms {
			if t.Var != nil && t.Table == nil && t.Cases == nil && t.Var.Unit.Dim == side.Dim {
				return t.Var.Unit
			}
		}
		for _, l := range side.Limits {
			if l.Unit.Dim == side.Dim {
				return l.Unit
			}
		}
	}
	for _, name := range unit.Names() {
		if u, _ := unit.Lookup(name); u != nil && u.Dim == a.Left.Dim && u.Base(1) == 1 {
			return u
		}
	}
	u, _ := unit.Lookup("1")
	return u
}

// sideName names one side of a comparison; of an extreme with the reading that is it:
// "highest of the six cells (gravity in cell 3)".
func (w *Walk) sideName(a *eval.Atom, l *eval.Linear) string {
	if l != a.Member() {
		return w.nameOf(l)
	}
	x := a.Of.Extreme
	name := x.Names(nameOf)
	if d := w.s.t.scope.values[x.Text]; d != nil {
		name = text.Lower(titleOf(d))
	}
	if len(l.Terms) == 1 {
		return name + " (" + nameOf(l.Terms[0].Var) + ")"
	}
	return name + " (" + nameOf(l.Terms[0].Var) + " over " + nameOf(l.Terms[1].Var) + ")"
}

// nameOf names a sum by its readings.
func (w *Walk) nameOf(l *eval.Linear) string {
	if len(l.Terms) == 1 && l.Terms[0].Var != nil && l.Terms[0].Table == nil && l.Terms[0].Cases == nil {
		return nameOf(l.Terms[0].Var)
	}
	if d := w.s.t.scope.values[l.Text]; d != nil {
		return titleOf(d)
	}
	return readable(l.Text)
}

// nameOf is what a sentence calls a reading: its title, or its short form where
// the title is a question.
func nameOf(v *eval.Var) string {
	if strings.HasSuffix(v.Title, "?") {
		id := v.ID
		if _, name, ok := strings.Cut(id, "."); ok {
			id = name
		}
		return text.Spoken(id)
	}
	return text.Lower(v.Title)
}

func (w *Walk) limitName(a *eval.Atom, l *eval.Linear) string {
	if l == a.Member() {
		return w.sideName(a, l)
	}
	if d := w.s.t.scope.values[l.Text]; d != nil {
		return titleOf(d)
	}
	if !onlyLimits(l) {
		return readable(l.Text)
	}
	var out []string
	for _, lim := range l.Limits {
		name := lim.Title
		if name == "" {
			name = text.Spoken(lim.ID)
		}
		if !containsString(out, name) {
			out = append(out, name)
		}
	}
	return strings.Join(out, ", ")
}

// nearness is the margin over the width of what can be true; small is near.
func (c *Comparison) nearness() float64 {
	return math.Abs(c.Best-(c.LimitLo+c.LimitHi)/2) / math.Max(c.Hi-c.Lo, 1e-9)
}

// short is the comparison without margin and source.
func (c *Comparison) short() string {
	switch {
	case c.Drawn || c.Value == "":
		return strings.Join(strings.Fields(c.Left+" "+c.Value+" "+c.Is+" "+c.Limit), " ")
	case c.Is == "is":
		return c.Left + ": " + c.Value
	}
	return c.Left + ": " + c.Value + " (" + strings.TrimPrefix(c.Is, "is ") + " " + c.Limit + ")"
}

func (c *Comparison) sentence() string {
	s := c.short()
	if c.Margin != "" {
		s += ", by " + c.Margin
	}
	if c.Source != "" {
		s += ". Source: " + c.Source
	}
	return text.Stop(s)
}
