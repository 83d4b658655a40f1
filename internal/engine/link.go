package engine

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"

	"gopkg.in/yaml.v3"

	"deadflat/internal/eval"
	"deadflat/internal/source"
	"deadflat/internal/text"
)

// link fills in every step and joins them by their branches.
func (b *builder) link(root *context) {
	for _, c := range b.contexts {
		for _, e := range c.doc.steps.list {
			if s := b.s.steps[c.prefix+e.id]; s != nil {
				since := b.faults.Kept()
				b.step(c, e, s)
				b.noteRun(c, since)
			}
		}
	}
	for _, c := range b.contexts {
		b.beginOf(c)
	}
	b.t.Begin = b.beginOf(root)
	if b.t.Begin != nil {
		b.order()
	}
}

// beginOf is the first step of a context, with sub-trees entered.
func (b *builder) beginOf(c *context) *Step {
	n := c.doc.top.Get("begin")
	if n == nil {
		b.absent = true // reported with the tree
		return nil
	}
	to := b.target(c, n)
	if to.Finding != nil {
		c.doc.r.Fault("wrong-shape", n, "a tree begins with a step, not with a finding")
	}
	return to.Step
}

// target resolves the name of a step or a finding as seen from one tree.
func (b *builder) target(c *context, n *yaml.Node) Target {
	name := c.doc.r.Text(n)
	if name == "" {
		return Target{}
	}
	if run, ok := c.runs[name]; ok {
		if run == nil {
			return Target{} // the fault has been reported
		}
		return Target{Step: b.beginOf(run)}
	}
	if s := b.s.steps[c.prefix+name]; s != nil {
		return Target{Step: s}
	}
	if c.parent != nil && slices.Contains(b.endsOf(c.doc), name) {
		return b.leave(c, name)
	}
	if f := b.findings[name]; f != nil {
		return Target{Finding: f}
	}
	known := append(c.doc.steps.names(), append(c.doc.findings.names(), keys(b.findings)...)...)
	advice := source.DidYouMean(name, known)
	if n == c.doc.top.Get("begin") && advice == "" && len(c.doc.steps.list) > 0 {
		advice = fmt.Sprintf("; the first step written is %q", c.doc.steps.list[0].id)
	}
	b.unknown(c.doc, n, "unknown-name", name, "%q is neither a step nor a finding%s", name, advice)
	return Target{}
}

// nameIn is the name that a node holds.
func nameIn(n *yaml.Node) string {
	if n == nil {
		return ""
	}
	return n.Value
}

// step reads everything of a step but what it takes, which is known already.
func (b *builder) step(c *context, e *entry, s *Step) {
	d := c.doc
	r := d.r
	m := b.like(e, d.steps.get)
	w := &b.t.Words
	s.Kind = Kind(r.Text(m.Get("kind")))
	if s.Kind != "" && !slices.Contains(Kinds, s.Kind) {
		r.Fault("unknown-word", m.Get("kind"), "step %q needs a kind (%s), not %q%s", e.id, text.List(kindNames(), "or"), s.Kind, source.DidYouMean(string(s.Kind), kindNames()))
	}
	s.Title = b.filled(d, m.Get("title"), c.prefix)
	s.Do, s.Why = b.text(d, m.Get("do"), c.prefix), b.text(d, m.Get("why"), c.prefix)
	s.Picture = b.picture(c, m.Get("picture"))
	s.Cautions = b.filledList(d, m.Get("cautions"), c.prefix)
	b.cutByComma(d, m.Get("cautions"), cutSentence)
	s.Together = r.Bool(m.Get("together"))
	s.Leaves = b.wordList(d, m.Get("leaves"), w.Undone, "temporary change", "undone")
	s.Restores = b.wordList(d, m.Get("restores"), w.Undone, "temporary change", "undone")
	s.Needs = b.wordList(d, m.Get("needs"), w.Equipment, "piece of equipment", "equipment")
	if n := m.Get("act"); n != nil {
		s.Act = b.word(d, n, w.Acts, "act", "acts")
	}
	s.For = r.Text(m.Get("for"))
	if m.Has("minutes") {
		s.Minutes, _ = r.Number(m.Get("minutes"))
	}
	if n := cmp.Or(m.Get("take"), m.Get("record")); n != nil && s.Kind == Decide && len(s.Take)+len(s.Record) > 0 {
		r.Fault("not-allowed", n, "a step of kind decide asks nothing, so it has no readings: remove this, or make the step kind: inspect or measure")
	}
	ways := b.branches(c, e, s, m)
	s.Unable = b.sideWay(c, m.Get("unable"), "could not be done")
	s.Unsure = b.sideWay(c, m.Get("unsure"), "not sure")
	if n := m.Get("better"); n != nil {
		s.Better = b.target(c, n).Step
	}
	row := false
	for k := range m.All() {
		if rows := rowsWith[k.Value]; rows != "" && m.Has(k.Value) {
			r.Fault("unknown-key", k, "`%s` stands in a row, one row for each way: %s", k.Value, rows)
			row = true
		}
	}
	m.Done()
	if m.Lacks("kind") {
		r.Fault("missing-key", e.key, "step %q needs a kind (%s)", e.id, text.List(kindNames(), "or"))
	}
	if m.Lacks("title") {
		r.Fault("missing-key", e.key, "step %q needs a title", e.id)
	}
	none := !row && m.Lacks("to") && m.Lacks("bands") && m.Lacks("cases") && m.Lacks("branches")
	if none || ways > 1 {
		r.Fault("missing-key", e.key, "step %q needs exactly one of `to`, `by` with `bands`, `by` with `cases`, or `branches`", e.id)
	}
	b.needsUnsure(c, e, s)
}

// rowsWith shows where keys belong that somebody may write into a step itself.
var rowsWith = map[string]string{
	"if":        "branches: [{if: GUARD, to: STEP}, {otherwise: STEP}]",
	"otherwise": "branches: [{if: GUARD, to: STEP}, {otherwise: STEP}]",
	"below":     "bands: [{below: limits.NAME, to: STEP}, {to: STEP}]",
}

// sideWay is the branch of `unable` or `unsure`.
func (b *builder) sideWay(c *context, n *yaml.Node, text string) *Branch {
	m := c.doc.r.Map(n)
	if m == nil {
		return nil
	}
	br := &Branch{Index: -1, Text: text, Say: b.text(c.doc, m.Get("say"), c.prefix), Likely: c.doc.r.Bool(m.Get("likely")), Place: c.doc.r.File.At(n)}
	br.To, br.Leads = b.target(c, m.Get("to")), nameIn(m.Get("to"))
	if !m.Has("to") {
		c.doc.r.Fault("missing-key", n, "this way on needs `to: STEP`")
	}
	m.Done()
	return br
}

// branches reads the one way in which the step decides, and counts how many are given.
func (b *builder) branches(c *context, e *entry, s *Step, m *source.Mapping) int {
	r := c.doc.r
	comp := b.compiler(c.prefix)
	comp.Next()
	var ways []*yaml.Node
	for _, k := range []string{"to", "bands", "cases", "branches"} {
		if m.Has(k) {
			ways = append(ways, m.Get(k))
		}
	}
	before := b.faults.Added()
	switch {
	case len(ways) != 1:
		m.Get("by")
		m.Get("say")
		m.Get("clears")
		m.Get("likely")
	case m.Has("to"):
		s.Branches = []*Branch{b.branchOf(c, m, m.Get("to"), m.Get("to"), "always")}
	case m.Has("bands"):
		b.bands(c, e, s, m, comp)
	case m.Has("cases"):
		b.choices(c, s, m, comp)
	default:
		b.guards(c, s, m, comp)
	}
	if len(ways) == 1 && rows(ways[0]) == 0 && b.faults.Added() == before {
		r.Fault("missing-key", ways[0], "step %q leads nowhere: name at least one way on", e.id)
	}
	for i, br := range s.Branches {
		br.Index = i
	}
	s.faulty = len(ways) != 1 || len(s.Branches) < rows(ways[0])
	s.prog = comp.Program()
	return len(ways)
}

// rows counts the rows of a list or a mapping; anything else is one.
func rows(n *yaml.Node) int {
	switch n.Kind {
	case yaml.SequenceNode:
		return len(n.Content)
	case yaml.MappingNode:
		return len(n.Content) / 2
	}
	return 1
}

// branchOf reads where a row leads, what it says and what it clears.
func (b *builder) branchOf(c *context, row *source.Mapping, to, at *yaml.Node, text string) *Branch {
	d := c.doc
	br := &Branch{Text: text, Say: b.text(d, row.Get("say"), c.prefix), Likely: d.r.Bool(row.Get("likely")), Place: d.r.File.At(at)}
	br.To, br.Leads = b.target(c, to), nameIn(to)
	if to == nil {
		d.r.Fault("missing-key", at, "this branch leads nowhere; it needs `to: STEP`")
	}
	var names []string
	for _, n := range d.r.List(row.Get("clears")) {
		name := d.r.Text(n)
		if b.findings[name] == nil && !slices.Contains(b.endsOf(c.doc), name) && name != "" {
			b.unknown(d, n, "unknown-name", name, "%q is not a finding%s", name, source.DidYouMean(name, append(keys(b.findings), b.endsOf(c.doc)...)))
			continue
		}
		names = append(names, name)
	}
	br.Clears = b.cleared(c, names)
	return br
}

// cleared are the findings of the whole tree that a row clears by the names they have in one
// tree. A finding of a sub-tree stands for the one it leads to outside, which is cleared once
// all that lead there are.
func (b *builder) cleared(c *context, names []string) []*Finding {
	var outside []string
	var out []*Finding
	for _, name := range names {
		if c.parent == nil || !slices.Contains(b.endsOf(c.doc), name) {
			if f := b.findings[name]; f != nil && !slices.Contains(out, f) {
				out = append(out, f)
			}
			continue
		}
		to := c.cases[name]
		if to == nil && c.ends != "" {
			outside = append(outside, c.ends+"_"+name)
			continue
		}
		left := slices.ContainsFunc(keys(c.cases), func(other string) bool {
			return to == nil || c.cases[other].Value == to.Value && !slices.Contains(names, other)
		})
		if !left && c.parent.runs[to.Value] == nil && b.s.steps[c.parent.prefix+to.Value] == nil {
			outside = append(outside, to.Value)
		}
	}
	if len(outside) == 0 {
		return out
	}
	return append(out, b.cleared(c.parent, outside)...)
}

// bands compiles ascending bands: complete and unique by construction.
func (b *builder) bands(c *context, e *entry, s *Step, m *source.Mapping, comp *eval.Compiler) {
	r := c.doc.r
	by := b.by(c, m.Get("by"), e, comp)
	rows := r.List(m.Get("bands"))
	var limits []*eval.Node
	var last *eval.Limit
	for i, n := range rows {
		row := r.Map(n)
		if row == nil {
			return
		}
		below := row.Get("below")
		if (i == len(rows)-1) != (below == nil) {
			r.Fault("wrong-shape", n, "every band but the last has `below: LIMIT`, and the last has none: it takes the rest")
			return
		}
		text := "the rest"
		if below != nil {
			limit := comp.Sum(b.actual(r.Text(below), c.prefix))
			if b.report(c.doc, below, comp) || limit == nil || by == nil {
				return
			}
			text = "below " + limit.Text
			last = b.ascending(c, below, limit, last)
			n := comp.Below(by, limit)
			if b.report(c.doc, below, comp) {
				return
			}
			limits = append(limits, n)
		}
		s.Branches = append(s.Branches, b.branchOf(c, row, row.Get("to"), n, text))
		row.Done()
	}
	for i, br := range s.Branches {
		br.Guard = comp.AddGuard(br.Text, bandNode(limits, i))
	}
}

// bandNode is the guard of band i: not below the limit under it, and below its own.
func bandNode(below []*eval.Node, i int) *eval.Node {
	switch {
	case len(below) == 0:
		return &eval.Node{Kind: eval.Always}
	case i == 0:
		return below[0]
	}
	under := &eval.Node{Kind: eval.Not, Kids: []*eval.Node{below[i-1]}}
	if i == len(below) {
		return under
	}
	return &eval.Node{Kind: eval.And, Kids: []*eval.Node{under, below[i]}}
}

// ascending refuses limits of bands that do not rise. Limits that depend on a
// reading are compared over everything they can be.
func (b *builder) ascending(c *context, n *yaml.Node, limit *eval.Linear, last *eval.Limit) *eval.Limit {
	if len(limit.Limits) != 1 || limit.Text != "limits."+limit.Limits[0].ID {
		return nil
	}
	this := limit.Limits[0].Limit
	if last != nil && last.Unit.Dim == this.Unit.Dim && !rises(last, this) {
		c.doc.r.Fault("not-ascending", n, "bands ascend: limits.%s must lie above limits.%s whatever it depends on", this.ID, last.ID)
	}
	return this
}

// rises reports whether b lies above a: case by case when both depend on the
// same choice, point by point when both are tables over one reading, else by
// their ends.
func rises(a, b *eval.Limit) bool {
	if a.Cases != nil && b.Cases != nil && a.Cases.Var == b.Cases.Var {
		for i := range a.Cases.Y {
			if a.Cases.Y[i] >= b.Cases.Y[i] {
				return false
			}
		}
		return true
	}
	if a.Table != nil && b.Table != nil && a.Table.Var == b.Table.Var {
		for _, x := range append(append([]float64{}, a.Table.X...), b.Table.X...) {
			if a.Table.At(x) >= b.Table.At(x) {
				return false
			}
		}
		return true
	}
	return slices.Max(numbers(a)) < slices.Min(numbers(b))
}

func numbers(l *eval.Limit) []float64 {
	switch {
	case l.Table != nil:
		return l.Table.Y
	case l.Cases != nil:
		return l.Cases.Y
	}
	return []float64{l.Is}
}

// by compiles `by` of bands.
func (b *builder) by(c *context, n *yaml.Node, e *entry, comp *eval.Compiler) *eval.Operand {
	if n == nil {
		c.doc.r.Fault("missing-key", e.key, "bands need `by: READING`")
		return nil
	}
	by := comp.By(b.actual(c.doc.r.Text(n), c.prefix))
	if b.report(c.doc, n, comp) {
		return nil
	}
	return by
}

// choices compiles `cases`: every choice stands there exactly once.
func (b *builder) choices(c *context, s *Step, m *source.Mapping, comp *eval.Compiler) {
	d := c.doc
	name := b.name(d, m.Get("by"), c.prefix)
	v := b.s.vars[name]
	if v == nil || v.Number() {
		n := m.Get("by")
		if n == nil {
			d.r.Fault("missing-key", m.Get("cases"), "cases need `by: READING`, the one whose choices they are")
			return
		}
		b.unknown(d, n, "unknown-name", name, "cases need `by:` a reading with choices, not %q%s", name, source.DidYouMean(name, keys(b.s.vars)))
		return
	}
	seen := map[string]bool{}
	told := b.follows(name) // a choice that is not there may be the fault of the reading
	for k, to := range d.r.Map(m.Get("cases")).All() {
		word := d.r.Text(k)
		seen[k.Value] = true // a word that YAML takes for something else has been reported
		i := slices.Index(v.Choices, word)
		if i < 0 {
			if word != "" && !told {
				advice := source.DidYouMean(word, v.Choices)
				d.r.Fault("unknown-choice", k, "%q is not a choice of %s%s", word, name, advice)
				meant(seen, advice)
			}
			continue
		}
		var row *source.Mapping
		if to.Kind == yaml.MappingNode {
			row = d.r.Map(to)
			to = row.Get("to")
		}
		br := b.branchOf(c, row, to, k, word)
		row.Done()
		at := comp.IsOneOf(v, 1<<uint(i), fmt.Sprintf("%s is %s", name, word))
		br.Guard = comp.AddGuard(word, &eval.Node{Kind: eval.Leaf, Atom: at})
		s.Branches = append(s.Branches, br)
	}
	for _, w := range v.Choices {
		if !seen[w] && !told {
			d.r.Fault("missing-case", m.Get("cases"), "choice %q of %s has no way on here", w, name)
		}
	}
}

var adviceOf = regexp.MustCompile(`; did you mean "(.*)"\?`)

// meant notes the word that is advised in the place of another: that it is not there itself has been
// told.
func meant(seen map[string]bool, advice string) {
	if m := adviceOf.FindStringSubmatch(advice); m != nil {
		seen[m[1]] = true
	}
}

// guards compiles `branches`.
func (b *builder) guards(c *context, s *Step, m *source.Mapping, comp *eval.Compiler) {
	d := c.doc
	var rest *Branch
	or := &eval.Node{Kind: eval.Or}
	for _, n := range d.r.List(m.Get("branches")) {
		row := d.r.Map(n)
		if row == nil {
			continue
		}
		if row.Has("otherwise") {
			if rest != nil {
				d.r.Fault("wrong-shape", n, "there is one `otherwise` in a step")
			}
			rest = b.branchOf(c, row, row.Get("otherwise"), n, "otherwise")
			row.Done()
			s.Branches = append(s.Branches, rest)
			continue
		}
		cond := row.Get("if")
		if cond == nil {
			d.r.Fault("missing-key", n, "a branch needs `if: GUARD`, or `otherwise: STEP`")
			continue
		}
		text := b.actual(d.r.Text(cond), c.prefix)
		br := b.branchOf(c, row, row.Get("to"), n, text)
		row.Done()
		b.actual(d.r.Text(cond), c.prefix)
		br.Guard = comp.Guard(text)
		b.report(d, cond, comp)
		if br.Guard != nil {
			or.Kids = append(or.Kids, br.Guard.Root)
		}
		s.Branches = append(s.Branches, br)
	}
	if rest == nil {
		return
	}
	if len(or.Kids) == 0 {
		return
	}
	rest.Guard = comp.AddGuard("otherwise", &eval.Node{Kind: eval.Not, Kids: []*eval.Node{or}})
	rest.Guard.Otherwise = true
}

// needsUnsure demands a way on for "not sure" wherever a step decides on such a
// choice.
func (b *builder) needsUnsure(c *context, e *entry, s *Step) {
	if s.Unsure != nil {
		return
	}
	for _, a := range s.prog.Atoms {
		if a.Kind != eval.OneOf || !b.s.byVar[a.Var].Unsure {
			continue
		}
		c.doc.r.Fault("missing-unsure", e.key, "step %q decides on %q, which may be \"not sure\"; it needs `unsure: {to: STEP}`", e.id, a.Var.ID)
		return
	}
}
