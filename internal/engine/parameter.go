package engine

import (
	"cmp"
	"maps"
	"regexp"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"deadflat/internal/source"
)

// argument is what a parameter of a sub-tree stands for where that is laid in: the name of
// a reading, limit or value of the whole tree, or words.
type argument struct{ kind, is string }

// The kinds of parameters. What else stands beside a name is its words.
const (
	readingKind = "reading"
	limitKind   = "limit"
	valueKind   = "value"
)

func (a argument) named() bool {
	return a.kind == readingKind || a.kind == limitKind || a.kind == valueKind
}

// ownWords are what the parameters of a tree say where nobody runs it.
func (b *builder) ownWords(d *document) map[string]argument {
	out := map[string]argument{}
	for _, p := range d.parameters.list {
		if kind := d.r.Text(p.node); !(argument{kind: kind}).named() {
			out[p.id] = argument{is: b.words(d, p.node, "")}
		}
	}
	return out
}

// parameters holds the parameters of a tree against what it declares.
func (b *builder) parameters(d *document) {
	if len(d.parameters.list) == 0 {
		return
	}
	for _, p := range d.parameters.list {
		kind, what := d.r.Text(p.node), ""
		for _, k := range []string{readingKind, limitKind, valueKind} {
			if b.declares(argument{k, p.id}) {
				what = k
			}
		}
		switch {
		case kind == "" || b.declares(argument{kind, p.id}):
		case argument{kind: kind}.named():
			d.r.Fault("unknown-name", p.key, "parameter %q is no %s of this tree: declare one of that name, which stands here when nobody runs the tree", p.id, kind)
		case what != "":
			d.r.Fault("duplicate-name", p.key, "parameter %q has the name of a %s; write `%s: %s`, or give the words another name", p.id, what, p.id, what)
		}
	}
	for _, t := range []*table{d.readings, d.limits, d.values} {
		for _, e := range t.list {
			if d.parameters.get(e.id) == nil {
				b.onceOnly(d, "", e.node)
			}
		}
	}
	for _, n := range d.before {
		b.onceOnly(d, "", n)
	}
}

// declares reports whether an argument's name is declared as its kind.
func (b *builder) declares(a argument) bool {
	switch a.kind {
	case readingKind:
		return b.readings[a.is] != nil
	case limitKind:
		return b.s.limits[a.is] != nil
	}
	return a.kind == valueKind && slices.Contains(b.s.sums, a.is)
}

// onceOnly refuses a parameter in what is declared once, however often the tree is laid in.
func (b *builder) onceOnly(d *document, key string, n *yaml.Node) {
	for i, k := range n.Content {
		switch {
		case n.Kind == yaml.SequenceNode:
			b.onceOnly(d, key, k)
		case i%2 == 1:
			b.onceOnly(d, n.Content[i-1].Value, k)
		}
	}
	names := inBraces
	if sums[key] {
		names = nameInSum
	}
	for _, name := range names.FindAllString(n.Value, -1) {
		name = strings.TrimSuffix(name[strings.LastIndexAny(name, ".{")+1:], "}")
		if d.parameters.get(name) != nil {
			d.r.Fault("not-allowed", n, "%q is a parameter: it may stand in steps and findings only, since this is declared once, however often the tree is run", name)
		}
	}
}

// sums are the keys of declarations under which names stand without braces.
var sums = map[string]bool{"is": true, "first_known": true, "holds": true, "by": true, "over": true, "if": true}

var (
	inBraces  = regexp.MustCompile(`\{[^{}]*\}`)
	nameInSum = regexp.MustCompile(`"[^"]*"|'[^']*'|done\s*\([^)]*\)|[a-z_][a-z0-9_]*(?:\s*\.\s*[a-z_][a-z0-9_]*)?`)
)

// given reads what a run gives for each parameter of the tree that it runs; nil after a fault.
func (b *builder) given(c *context, sub *document, run *source.Mapping) map[string]argument {
	before := b.faults.Added()
	r := c.doc.r
	with := r.Map(run.Get("with"))
	mine := b.with[c.prefix]
	for k := range with.All() {
		if sub.parameters.get(k.Value) == nil {
			r.Fault("unknown-name", k, "%q is not a parameter of tree %q%s", k.Value, sub.name, source.DidYouMean(k.Value, sub.parameters.names()))
		}
	}
	out := map[string]argument{}
	for _, p := range sub.parameters.list {
		kind := sub.r.Text(p.node)
		if n := with.Get(p.id); n == nil {
			f := r.Fault("missing-key", run.Get("run"), "tree %q needs to be told what %q stands for here: `with: {%s: ...}`", sub.name, p.id, p.id)
			f.Notes = append(f.Notes, source.Note{Place: sub.r.File.At(p.key), Message: "the parameter is declared here"})
		} else if a := (argument{kind: kind}); a.named() {
			var limit bool
			if a.is, limit = strings.CutPrefix(r.Text(n), "limits."); a.is != "" && limit != (kind == limitKind) {
				r.Fault("unknown-name", n, "parameter %q of tree %q is a %s; write %s", p.id, sub.name, kind, map[bool]string{true: "limits.NAME", false: "its name alone"}[kind == limitKind])
			}
			if up, ok := mine[a.is]; ok && up.kind == kind {
				a.is = up.is
			}
			out[p.id] = a
		} else {
			out[p.id] = argument{is: b.words(c.doc, n, c.prefix)}
		}
	}
	if b.faults.Added() > before {
		return nil
	}
	return out
}

// maxWords bounds what a parameter can say: trees that run one another could double it.
const maxWords = 200

// words reads the words that a parameter stands for.
func (b *builder) words(d *document, n *yaml.Node, prefix string) string {
	s := b.filled(d, n, prefix)
	switch {
	case strings.ContainsAny(s, "{}"):
		d.r.Fault("bad-text", n, "the words of a parameter hold no braces, but for words of the tree they stand in")
	case runes(s) > maxWords:
		d.r.Fault("too-large", n, "the words of a parameter have at most %d letters", maxWords)
	default:
		return s
	}
	return ""
}

// checkGiven takes out what is run with a name that is not declared or does not fit.
func (b *builder) checkGiven() {
	for _, c := range slices.Clone(b.contexts) {
		if c.parent == nil || b.fits(c) {
			continue
		}
		inside := func(id string) bool { return strings.HasPrefix(id, c.prefix) }
		c.parent.runs[strings.TrimSuffix(strings.TrimPrefix(c.prefix, c.parent.prefix), "/")] = nil
		b.contexts = slices.DeleteFunc(b.contexts, func(o *context) bool { return inside(o.prefix) })
		b.t.Steps = slices.DeleteFunc(b.t.Steps, func(s *Step) bool { return inside(s.ID) })
		maps.DeleteFunc(b.s.steps, func(id string, _ *Step) bool { return inside(id) })
	}
}

// fits holds the names that a run gives against what is declared.
func (b *builder) fits(c *context) bool {
	before := b.faults.Added()
	r, with := c.parent.doc.r, c.parent.doc.r.Map(c.run.Get("with"))
	for _, p := range c.doc.parameters.list {
		a, n := b.with[c.prefix][p.id], with.Get(p.id)
		if !a.named() || a.is == "" {
			continue
		}
		fault := func(rule, format string, args ...any) {
			f := r.Fault(rule, n, format, args...)
			f.Notes = append(f.Notes, source.Note{Place: c.doc.r.File.At(p.key), Message: "the parameter is declared here"})
		}
		if !b.declares(a) {
			known := map[string][]string{readingKind: keys(b.readings), limitKind: keys(b.s.limits), valueKind: b.s.sums}[a.kind]
			fault("unknown-name", "%q is not a declared %s%s", a.is, a.kind, source.DidYouMean(a.is, known))
			continue
		}
		own := c.doc.readings.get(p.id)
		if a.kind != readingKind || own == nil {
			continue
		}
		is, want := b.readings[a.is], &Reading{ID: p.id}
		if m := b.like(own, c.doc.readings.get); m != nil {
			b.domain(c.doc, m, want)
		}
		switch {
		case is.Number() != want.Number():
			fault("wrong-shape", "%q is %s, but parameter %q is %s", a.is, numberOrChoice(is), p.id, numberOrChoice(want))
		case is.Number() && is.Unit.Dim != want.Unit.Dim:
			fault("unit-mismatch", "%q is %s, but parameter %q is %s", a.is, is.Unit.Dim, p.id, want.Unit.Dim)
		case is.Many() != want.Many() || !slices.Equal(is.List(), want.List()):
			fault("unknown-choice", "%q offers other choices than parameter %q, or in another order", a.is, p.id)
		}
	}
	return b.faults.Added() == before
}

func numberOrChoice(r *Reading) string {
	if r.Number() {
		return "a number"
	}
	return "a choice"
}

// actual puts the names that parameters stand for into a guard, a sum or a name. b.moved then
// holds for each rune of it where it stood before.
func (b *builder) actual(text, prefix string) string {
	b.moved = nil
	with := b.with[prefix]
	if len(with) == 0 {
		return text
	}
	var out strings.Builder
	done := 0
	copied := func(s string, from int) {
		for i := range runes(s) {
			b.moved = append(b.moved, from+i)
		}
		out.WriteString(s)
	}
	for _, at := range nameInSum.FindAllStringIndex(text, -1) {
		head, name, member := strings.Cut(text[at[0]:at[1]], ".")
		if !member {
			head, name = "", head
		}
		a, ok := with[strings.TrimSpace(name)]
		if !ok || !a.named() || (strings.TrimSpace(head) == "limits") != (a.kind == limitKind) || member && a.kind == valueKind {
			continue
		}
		from := at[1] - len(strings.TrimSpace(name))
		copied(text[done:from], runes(text[:done]))
		start := runes(text[:from])
		out.WriteString(a.is)
		for i := range runes(a.is) {
			b.moved = append(b.moved, min(start+i, runes(text[:at[1]])-1))
		}
		done = at[1]
	}
	copied(text[done:], runes(text[:done]))
	b.moved = append(b.moved, runes(text))
	return out.String()
}

// back is where a rune of the last actual text stood in what the author wrote.
func (b *builder) back(i int) int {
	if b.moved == nil {
		return i
	}
	return b.moved[min(i, len(b.moved)-1)]
}

// name reads the name of a reading, as it is called in the whole tree.
func (b *builder) name(d *document, n *yaml.Node, prefix string) string {
	s := d.r.Text(n)
	if a, ok := b.with[prefix][s]; ok && a.kind == readingKind {
		return a.is
	}
	return s
}

// filled reads a text in which only words of parameters stand in braces.
func (b *builder) filled(d *document, n *yaml.Node, prefix string) string {
	s := b.fill(d.r.Text(n), prefix)
	if len(d.parameters.list) == 0 {
		return s
	}
	if name := inBraces.FindString(s); name != "" {
		d.r.Fault("unknown-name", n, "%s is not a parameter with words, and only those stand in braces here", name)
	}
	return s
}

func (b *builder) fill(s, prefix string) string {
	for name, a := range b.with[prefix] {
		if !a.named() {
			s = strings.ReplaceAll(s, "{"+name+"}", a.is)
		}
	}
	return s
}

// filledList reads a list of such texts.
func (b *builder) filledList(d *document, n *yaml.Node, prefix string) []string {
	var out []string
	for _, k := range d.r.List(n) {
		if s := b.filled(d, k, prefix); s != "" {
			out = append(out, s)
		}
	}
	return out
}

// noteRun notes at every fault found since where the sub-tree is run and with what: the
// fault may lie in what it is given.
func (b *builder) noteRun(c *context, since int) {
	if b.faults.Kept() == since {
		return
	}
	if with := b.says(c); with != "" {
		b.faults.Note(since, source.Note{Place: c.at(), Message: "the tree is run here with " + with})
	}
}

// at is where a sub-tree is run.
func (c *context) at() source.Place { return c.parent.doc.r.File.At(c.run.Get("run")) }

// says tells what a sub-tree is given, in the order of its parameters.
func (b *builder) says(c *context) string {
	var out []string
	for _, p := range c.doc.parameters.list {
		if a, ok := b.with[c.prefix][p.id]; ok && c.parent != nil {
			out = append(out, p.id+": "+map[bool]string{true: "limits."}[a.kind == limitKind]+a.is)
		}
	}
	return strings.Join(out, ", ")
}

// own are the names in a sub-tree of what it is given, by the names in the whole tree.
func (b *builder) own(c *context) map[string]string {
	out := map[string]string{}
	for id, a := range b.with[c.prefix] {
		head := map[bool]string{true: "limits."}[a.kind == limitKind]
		if a.named() {
			out[head+a.is] = head + id
		}
	}
	return out
}

// Written says a guard in the names of the tree that declares the step.
func (s *Step) Written(guard string) string {
	return nameInSum.ReplaceAllStringFunc(guard, func(name string) string {
		at := strings.LastIndexByte(name, '.') + 1
		if strings.HasPrefix(name, "limits.") {
			at = 0
		}
		return name[:at] + cmp.Or(s.own[name[at:]], name[at:])
	})
}

// end is the name in the whole tree of a finding as this tree calls it: "" when a row under
// `cases` leads on from it.
func (c *context) end(name string) string {
	switch {
	case c.parent == nil:
		return name
	case c.cases[name] != nil || c.ends == "":
		return ""
	}
	return c.parent.end(c.ends + "_" + name)
}

// endsOf lists the findings of a tree: its own, and those that come up from the trees it
// runs under a prefix.
func (b *builder) endsOf(d *document) []string {
	if out, ok := b.ends[d]; ok {
		return out
	}
	b.ends[d] = nil // a circle is told where it is laid in
	out := d.findings.names()
	for _, e := range d.steps.list {
		m := b.like(e, d.steps.get)
		if m == nil || !m.Has("prefix") {
			continue
		}
		sub, cases := b.find("tree", d.r.Text(m.Get("run"))), d.r.Map(m.Get("cases"))
		if sub == nil {
			continue
		}
		for _, f := range b.endsOf(sub) {
			if !cases.Has(f) {
				out = append(out, m.Get("prefix").Value+"_"+f)
			}
		}
	}
	b.ends[d] = out
	return out
}

// leave is where a sub-tree ends in one of its findings.
func (b *builder) leave(c *context, name string) Target {
	switch {
	case c.parent == nil:
		return Target{Finding: b.findings[name]}
	case c.cases[name] != nil:
		return b.target(c.parent, c.cases[name])
	case c.ends == "":
		return Target{} // the fault has been reported
	}
	return b.leave(c.parent, c.ends+"_"+name)
}
