package engine

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"gopkg.in/yaml.v3"

	"deadflat/internal/eval"
	"deadflat/internal/source"
	"deadflat/internal/text"
)

// context is one tree as it is laid into the root tree: the root itself, or a
// sub-tree at the step that runs it.
type context struct {
	doc    *document
	prefix string // "" or "recharge/"
	parent *context
	cases  map[string]*yaml.Node // sub-tree finding id -> target in the parent
	runs   map[string]*context   // steps of kind tree
	run    *source.Mapping       // the step that runs it
	ends   string                // what stands before the names of its findings that are none of cases
}

// tree builds one tree with everything it uses. It returns nil when the tree has
// a fault of its own or one in what it uses.
//
// Faults that may follow from another are told only if all is.
func (l *loader) tree(d *document, all bool) *Tree {
	before := l.faults.Added()
	b := &builder{loader: l, s: newScope(), readings: map[string]*Reading{}, findings: map[string]*Finding{},
		short: map[string]*Reading{}, compile: map[string]*eval.Compiler{}, opened: map[*entry]*source.Mapping{}, failed: map[string]bool{}, all: all,
		with: map[string]map[string]argument{}, ends: map[*document][]string{}}
	b.s.funcs = l.functions
	b.t = &Tree{Name: d.name, lib: l.lib, scope: b.s, Words: Words{States: map[string][]string{}, Back: map[string]string{}}}
	b.heading(d)
	root := &context{doc: d, runs: map[string]*context{}}
	if n, at := b.laidIn(d, map[*document]float64{}); n > maxSteps {
		d.r.Fault("too-large", at, "tree %q has %.0f steps and findings with its sub-trees laid in, where %d are the most; run fewer, or hand over to another tree with `then`", d.name, n, maxSteps)
		return nil
	}
	b.with[""] = b.ownWords(d)
	b.expand(root)
	b.declare()
	b.parameters(d)
	b.link(root)
	for _, doc := range b.docs {
		if doc.kind == "shared" {
			doc.r.Text(doc.top.Get("title"))
		}
		if doc.kind == "shared" || doc == d {
			doc.top.Done()
		}
	}
	if d.top.Lacks("title") || d.top.Lacks("edition") {
		d.r.Fault("missing-key", d.top.Get("tree"), "a tree needs a `title` and an `edition` (1, 2, ...)")
	}
	if d.top.Lacks("begin") {
		d.r.Fault("missing-key", d.top.Get("tree"), "a tree needs `begin: STEP`")
	}
	if b.lost || b.absent || l.faults.Added() > before || len(b.t.Steps) == 0 || slices.ContainsFunc(b.docs, func(d *document) bool { return d.bad }) {
		return nil
	}
	b.t.slots = b.s.slots
	b.t.Hash = hash(b.docs, b.pictures)
	for _, doc := range b.docs {
		b.t.sources = append(b.t.sources, doc.r.File.Name)
		if doc.kind == "shared" {
			b.t.Uses = append(b.t.Uses, doc.name)
		}
	}
	b.finish()
	return b.t
}

func (b *builder) heading(d *document) {
	r, m := d.r, d.top
	b.t.Title, b.t.Summary = r.Text(m.Get("title")), r.Text(m.Get("summary"))
	b.t.Author, b.t.Review, b.t.Changed = r.Text(m.Get("author")), review(r, m.Get("reviewed")), r.Text(m.Get("changed"))
	edition, ok := r.Int(m.Get("edition"))
	if b.t.Edition = edition; ok && edition < 1 {
		r.Fault("wrong-shape", m.Get("edition"), "an edition is 1, 2, ...")
	}
}

// review reads who reviewed a tree and when, or what its author says of a draft.
func review(r source.Reader, n *yaml.Node) Review {
	if n == nil || n.Kind != yaml.MappingNode {
		return Review{Said: r.Text(n)}
	}
	m := r.Map(n)
	by, day := m.Get("by"), m.Get("day")
	out := Review{By: r.Text(by), Day: r.Text(day)}
	if by == nil || day == nil {
		r.Fault("missing-key", n, "a review says `by:` whom and on what `day:`; leave `reviewed` out while the tree is a draft")
	} else if _, err := time.Parse(time.DateOnly, out.Day); err != nil && out.Day != "" {
		r.Fault("wrong-shape", day, "%q is not a day: write year, month and day, as in 2026-03-31", out.Day)
	}
	m.Done()
	return out
}

// laidIn counts the steps of a tree with those of the sub-trees it runs, each of which
// counts as one more, and the findings that come up from them, before any is laid in:
// sub-trees that run one another twice double at every level. It gives the place of the
// largest as well.
func (b *builder) laidIn(d *document, known map[*document]float64) (n float64, largest *yaml.Node) {
	if n, ok := known[d]; ok {
		return n, nil
	}
	known[d] = 0 // a circle is told where it is laid in
	n, most := 0.0, 0.0
	for _, e := range d.steps.list {
		n++
		m := b.like(e, d.steps.get)
		if m == nil || d.r.Text(m.Get("kind")) != string(SubTree) {
			continue
		}
		if sub := b.find("tree", d.r.Text(m.Get("run"))); sub != nil {
			more, _ := b.laidIn(sub, known)
			if m.Has("prefix") {
				more += float64(len(sub.findings.list))
			}
			if n += more; more > most {
				most, largest = more, e.key
			}
		}
	}
	if largest == nil {
		largest = d.top.Get("tree")
	}
	known[d] = n
	return n, largest
}

// expand gathers the documents of a tree and of the sub-trees it runs, and makes
// the bare steps, so that every name exists before anything is compiled.
func (b *builder) expand(c *context) {
	b.contexts = append(b.contexts, c)
	b.useDocs(c.doc)
	for _, e := range c.doc.steps.list {
		m := b.like(e, c.doc.steps.get)
		if m == nil {
			continue
		}
		if c.doc.r.Text(m.Get("kind")) == string(SubTree) {
			b.expandRun(c, e, m)
			continue
		}
		s := &Step{declared: len(b.t.Steps), ID: c.prefix + e.id, prefix: c.prefix, subtree: c.doc.name, Place: c.doc.r.File.At(e.key)}
		if s.with = b.says(c); s.with != "" {
			s.ranAt, s.own = c.at(), b.own(c)
		}
		b.t.Steps = append(b.t.Steps, s)
		b.s.steps[s.ID] = s
	}
}

func (b *builder) expandRun(c *context, e *entry, m *source.Mapping) {
	r := c.doc.r
	name := r.Text(m.Get("run"))
	r.Text(m.Get("title"))
	sub := b.find("tree", name)
	child := &context{doc: sub, prefix: c.prefix + e.id + "/", parent: c, cases: map[string]*yaml.Node{}, runs: map[string]*context{}, run: m}
	if m.Has("prefix") {
		child.ends = b.identifier(r, m.Get("prefix"), "what stands before the names of findings")
	}
	seen := map[string]bool{}
	for k, v := range c.doc.r.Map(m.Get("cases")).All() {
		child.cases[k.Value], seen[k.Value] = v, true
		if sub != nil && !slices.Contains(b.endsOf(sub), k.Value) {
			advice := source.DidYouMean(k.Value, b.endsOf(sub))
			r.Fault("unknown-name", k, "%q is not a finding of tree %q%s", k.Value, name, advice)
			meant(seen, advice)
		}
	}
	m.Get("kind")
	m.Get("with")
	m.Done()
	c.runs[e.id] = nil
	switch {
	case name == "":
		r.Fault("missing-key", e.key, "step %q of kind tree needs `run: TREE`", e.id)
		return
	case sub == nil:
		b.lost = true
		b.missing(c.doc, m.Get("run"), "tree", name)
		return
	}
	for p := c; p != nil; p = p.parent {
		if p.doc == sub {
			r.Fault("cycle", m.Get("run"), "tree %q runs itself; a tree cannot go in a circle", name)
			return
		}
	}
	if len(sub.parameters.list) > 0 {
		if b.make(sub); sub.bad {
			b.absent, b.lost = true, true // reported with the tree
			return
		}
	}
	for _, f := range b.endsOf(sub) {
		if !seen[f] && !m.Has("prefix") {
			r.Fault("missing-case", cmp.Or(m.Get("cases"), m.Get("run")), "finding %q of tree %q has no way on here", f, name)
		}
	}
	if b.with[child.prefix] = b.given(c, sub, m); b.with[child.prefix] == nil {
		b.lost = true
		return
	}
	c.runs[e.id] = child
	b.expand(child)
}

// useDocs adds a tree's own document and the shared ones it uses.
func (b *builder) useDocs(d *document) {
	if n := d.top.Get("use"); n != nil && n.Kind != yaml.SequenceNode {
		b.lost = true
	}
	for _, n := range d.use {
		if s := b.find("shared", d.r.Text(n)); s == nil {
			b.lost = true
			b.missing(d, n, "shared", n.Value)
		} else {
			b.useDoc(s)
		}
	}
	b.useDoc(d)
}

func (b *builder) useDoc(d *document) {
	if slices.Contains(b.docs, d) {
		return
	}
	b.docs = append(b.docs, d)
	b.lost = b.lost || slices.ContainsFunc([]string{"parameters", "readings", "limits", "values", "findings", "steps", "points", "states", "acts", "sees", "equipment", "undone"}, d.top.Misspelt)
	for _, name := range d.misnamed {
		b.failed[name], b.failed[strings.ToLower(name)] = true, true
		for _, word := range words.FindAllString(name, -1) {
			b.failed[word] = true
		}
	}
}

// missing reports a file that is not there. One that cannot be read has been reported.
func (b *builder) missing(d *document, n *yaml.Node, kind, name string) {
	b.absent = true
	if !b.broken[kind+" "+name] {
		what := map[string]string{"tree": "tree", "shared": "shared file"}[kind]
		d.r.Fault("unknown-name", n, "%s %q is not here%s", what, name, source.DidYouMean(name, b.namesOf(kind)))
	}
}

// declare makes everything that is declared, in the order in which one needs the
// other.
func (b *builder) declare() {
	for _, d := range b.docs {
		b.vocabulary(d)
	}
	b.each("reading", func(d *document) *table { return d.readings }, b.reading)
	b.each("limit", func(d *document) *table { return d.limits }, b.limit)
	for _, d := range b.docs {
		b.s.sums = append(b.s.sums, d.values.names()...)
	}
	b.checkGiven()
	b.stepFields()
	b.each("value", func(d *document) *table { return d.values }, b.value)
	b.each("reading", func(d *document) *table { return d.readings }, b.readingTexts)
	for _, d := range b.docs {
		if d.kind == "shared" || d == b.contexts[0].doc {
			for _, e := range d.findings.list {
				b.finding(e, e.id, "")
			}
		}
	}
	for _, c := range b.contexts[1:] {
		for _, e := range c.doc.findings.list {
			id, since := c.end(e.id), b.faults.Kept()
			if o := b.findings[id]; o != nil {
				f := c.parent.doc.r.Fault("duplicate-name", c.run.Get("prefix"), "finding %q is there already; give this run another prefix", id)
				f.Notes = append(f.Notes, source.Note{Place: o.Place, Message: "it is declared here"})
			} else if id != "" {
				b.finding(e, id, c.prefix)
				b.noteRun(c, since)
			}
		}
	}
	for _, d := range b.docs {
		for _, n := range d.before {
			b.rule(d, n)
		}
	}
}

// each makes the entries of one section of all documents; one name in two
// documents is a fault.
func (b *builder) each(what string, of func(*document) *table, do func(*entry)) {
	first := map[string]*entry{}
	for _, d := range b.docs {
		for _, e := range of(d).list {
			if p := d.parameters.get(e.id); p != nil && d != b.contexts[0].doc && d.r.Text(p.node) == what {
				continue // each run gives its own
			}
			if o := first[e.id]; o != nil {
				f := d.r.Fault("duplicate-name", e.key, "%s %q is declared twice", what, e.id)
				f.Notes = append(f.Notes, source.Note{Place: o.doc.r.File.At(o.key), Message: "it is declared here already"})
				continue
			}
			first[e.id] = e
			do(e)
		}
	}
}

// stepFields reads what each step takes, so that guards can name step.reading.
func (b *builder) stepFields() {
	for _, c := range b.contexts {
		for _, e := range c.doc.steps.list {
			s := b.s.steps[c.prefix+e.id]
			if s == nil {
				continue
			}
			m := b.like(e, c.doc.steps.get)
			since := b.faults.Kept()
			s.Take = b.readingList(c, m.Get("take"))
			s.Record = b.readingList(c, m.Get("record"))
			b.noteRun(c, since)
		}
	}
}

func (b *builder) readingList(c *context, n *yaml.Node) []*Reading {
	var out []*Reading
	d := c.doc
	for _, k := range d.r.List(n) {
		name := b.name(d, k, c.prefix)
		r := b.readings[name]
		switch {
		case name == "":
		case r == nil:
			b.unknown(d, k, "unknown-name", name, "%q is not a declared reading%s%s", name, source.DidYouMean(name, keys(b.readings)), b.elsewhere(name))
		case slices.Contains(out, r):
			d.r.Fault("duplicate-name", k, "%q stands here twice", name)
		default:
			out = append(out, r)
		}
	}
	return out
}

// finding makes one end of the tree, of the tree itself or of one it runs under a prefix.
func (b *builder) finding(e *entry, id, prefix string) {
	d := e.doc
	m := d.r.Map(e.node)
	if m == nil {
		return
	}
	f := &Finding{Index: len(b.t.Findings), ID: id, Title: b.filled(d, m.Get("title"), prefix), Faults: d.r.Texts(m.Get("faults")),
		Action: d.r.Text(m.Get("action")), ProveBy: b.name(d, m.Get("prove_by"), prefix), Cautions: b.filledList(d, m.Get("cautions"), prefix),
		Stop: d.r.Bool(m.Get("stop")), Place: d.r.File.At(e.key)}
	if b.s.steps[prefix+f.ProveBy] != nil {
		f.ProveBy = prefix + f.ProveBy
	}
	f.Remedy, f.Customer, f.Open = b.sentences(d, m.Get("remedy"), prefix), b.sentences(d, m.Get("customer"), prefix), b.sentences(d, m.Get("open"), prefix)
	f.RestsOn = b.restsOn(d, m.Get("rests_on"), prefix)
	b.cutByComma(d, m.Get("cautions"), cutSentence)
	if m.Has("weight") {
		f.Weight, _ = d.r.Number(m.Get("weight"))
	}
	for i, n := range d.r.List(m.Get("faults")) {
		if i < len(f.Faults) && b.kinds[f.Faults[i]] == nil {
			if b.absent = b.absent || b.broken["faults"]; !b.broken["faults"] {
				d.r.Fault("unknown-name", n, "%q is not in the list of faults%s", f.Faults[i], source.DidYouMean(f.Faults[i], keys(b.kinds)))
			}
		}
	}
	if t := d.r.Map(m.Get("then")); t != nil {
		f.Then = &Then{Tree: d.r.Text(t.Get("tree")), Keep: d.r.Text(t.Get("keep")), First: FirstRepair}
		if n := t.Get("first"); n != nil {
			if f.Then.First = d.r.Text(n); !slices.Contains(Firsts, f.Then.First) {
				d.r.Fault("unknown-word", n, "%q is not what is done before a round (%s)%s", f.Then.First, text.List(Firsts, "or"), source.DidYouMean(f.Then.First, Firsts))
			}
		}
		if f.Then.Keep != "facts" {
			d.r.Fault("unknown-word", m.Get("then"), "the next round keeps facts: write `keep: facts`")
		}
		if b.find("tree", f.Then.Tree) == nil && !slices.Contains(b.rounds, f.Then.Tree) {
			b.missing(d, cmp.Or(t.Get("tree"), t.Node), "tree", f.Then.Tree)
		}
		t.Done()
	}
	m.Done()
	if m.Lacks("title") || m.Lacks("action") {
		d.r.Fault("missing-key", e.key, "finding %q needs a `title` and an `action`", e.id)
	}
	if n := m.Get("prove_by"); n != nil && b.readings[f.ProveBy] == nil && b.s.steps[f.ProveBy] == nil && d.kind == "tree" {
		b.unknown(d, n, "unknown-name", f.ProveBy, "%q is neither a step nor a reading%s", f.ProveBy, source.DidYouMean(f.ProveBy, append(keys(b.s.steps), keys(b.readings)...)))
	}
	if r := b.readings[f.ProveBy]; r != nil && d.kind == "tree" && (f.Then == nil || f.Then.Tree == b.t.Name) &&
		!slices.ContainsFunc(b.t.Steps, func(s *Step) bool { return slices.Contains(s.Take, r) }) {
		d.r.Fault("unknown-name", m.Get("prove_by"), "nothing can prove the repair by %q: no step of this tree takes it", f.ProveBy)
	}
	if b.s.steps[id] != nil {
		d.r.Fault("duplicate-name", e.key, "%q is a step as well as a finding; a branch could mean either", id)
	}
	if o := b.findings[id]; o != nil {
		was := d.r.Fault("duplicate-name", e.key, "finding %q is declared twice", id)
		was.Notes = append(was.Notes, source.Note{Place: o.Place, Message: "it is declared here already"})
	}
	b.findings[id] = f
	b.t.Findings = append(b.t.Findings, f)
}

// rule makes a hazard rule.
func (b *builder) rule(d *document, n *yaml.Node) {
	m := d.r.Map(n)
	if m == nil {
		return
	}
	r := &Rule{ID: b.identifier(d.r, m.Get("id"), "a rule's id"), Why: d.r.Text(m.Get("why")), Place: d.r.File.At(n)}
	for _, k := range d.r.List(m.Get("kinds")) {
		kind := Kind(d.r.Text(k))
		if !slices.Contains(Kinds, kind) {
			d.r.Fault("unknown-word", k, "%q is not a kind of step%s", kind, source.DidYouMean(string(kind), kindNames()))
		}
		r.Kinds = append(r.Kinds, kind)
	}
	r.Holds = b.guard(d, m.Get("holds"), "")
	end := m.Get("else")
	switch name := d.r.Text(end); {
	case end == nil:
	case name != "" && b.findings[name] == nil && d.findings.get(name) != nil:
		d.r.Fault("unknown-name", end, "finding %q is that of tree %q alone, but tree %q runs it and its hazard rules: move the finding to a shared file that both use", name, d.name, b.t.Name)
	case name != "" && b.findings[name] == nil:
		b.unknown(d, end, "unknown-name", name, "%q is not a finding, where the walk ends when the rule does not hold%s", name, source.DidYouMean(name, keys(b.findings)))
	default:
		r.Else = b.findings[name]
	}
	m.Done()
	if slices.ContainsFunc([]string{"id", "kinds", "holds", "else", "why"}, m.Lacks) {
		d.r.Fault("missing-key", n, "a hazard rule needs `id`, `kinds`, `holds`, `else` and `why`")
	}
	if r.ID == "" || r.Why == "" || len(r.Kinds) == 0 || r.Holds == nil {
		return
	}
	r.Text = r.Holds.Text
	for _, v := range r.Holds.Vars {
		if q := b.s.byVar[v]; !slices.Contains(r.Needs, q) {
			r.Needs = append(r.Needs, q)
		}
	}
	b.t.Before = append(b.t.Before, r)
}

func kindNames() []string {
	out := make([]string, len(Kinds))
	for i, k := range Kinds {
		out[i] = string(k)
	}
	return out
}
