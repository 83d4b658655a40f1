package engine

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

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
	opened   map[*entry]*source.Mapping
	absent   bool                           // a file that it names is not there or cannot be read
	lost     bool                           // so is one of those from which it takes names
	all      bool                           // faults are told that may follow from others
	failed   map[string]bool                // names of declarations that could not be made, or not whole
	with     map[string]map[string]argument // of parameters, by prefix
	moved    []int                          // see actual
	ends     map[*document][]string         // see endsOf
	pictures []*Picture
}

// unknown reports a name that is not declared, unless another fault may be the reason.
func (b *builder) unknown(d *document, n *yaml.Node, rule, name, format string, args ...any) {
	if b.follows(name) {
		return
	}
	b.addUnknown(rule, d.r.File.At(n), d.r.File.Width(n), name, fmt.Sprintf(format, args...))
}

var advised = regexp.MustCompile(`; did you mean "(\w+)"\?`)

// addUnknown reports a name that is not declared. If nothing names what is advised in its place, one
// of the two is misspelt: the declaration, where several places name the other.
func (b *builder) addUnknown(rule string, at source.Place, width int, name, message string) {
	var e *entry
	if m := advised.FindStringSubmatch(message); m != nil && b.times(m[1]) == 1 {
		for _, d := range b.docs {
			for _, t := range []*table{d.readings, d.limits, d.values, d.findings, d.steps} {
				e = cmp.Or(e, t.get(m[1]))
			}
		}
	}
	if e == nil {
		b.faults.Add(rule, at, width, "%s", message)
		return
	}
	note := source.Note{Place: e.doc.r.File.At(e.key), Message: fmt.Sprintf("%q is declared here, and nothing names it", e.id)}
	var f *source.Fault
	if b.times(name) == 1 {
		f = b.faults.Add(rule, at, width, "%s", message)
	} else {
		f = e.doc.r.Fault("unknown-name", e.key, "%q is named nowhere, but %q is and is not declared: write the name in one way", e.id, name)
		note = source.Note{Place: at, Message: fmt.Sprintf("%q is named here", name)}
	}
	if len(f.Notes) == 0 {
		f.Notes = append(f.Notes, note)
	}
}

// times counts how often a word stands in all files, twice at most.
func (b *builder) times(word string) (n int) {
	whole := regexp.MustCompile(`\b` + word + `\b`)
	for _, d := range b.loader.docs {
		n += len(whole.FindAllIndex(d.data, 2))
	}
	return n
}

// follows reports whether a fault that is told already may be why names in a text are not
// declared, or not as they are used.
func (b *builder) follows(text string) bool {
	return !b.all && (b.lost || slices.ContainsFunc(words.FindAllString(text, -1), func(w string) bool { return b.failed[w] }))
}

var words = regexp.MustCompile(`\w+`)

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
		if p.Name != "" && b.follows(p.Name) || p.Rule != "bad-expression" && !b.lost && b.follows(n.Value) {
			continue
		}
		if from, to := quantityIn(n.Value); p.Rule == "bad-expression" && to > 0 {
			place, width := d.r.File.Span(n, from, to)
			b.faults.Add("bare-number", place, width, "%s stands in a guard or sum; give it a name under limits, with its source, and write limits.NAME here", string([]rune(n.Value)[from:to]))
			break
		}
		place, width := d.r.File.Span(n, b.back(p.From), max(b.back(p.To), b.back(p.From)+1))
		if p.Name != "" {
			b.addUnknown(p.Rule, place, width, p.Name, p.Message+b.elsewhere(p.Name))
			continue
		}
		b.plainLimits(n.Value, p.Rule, b.faults.Add(p.Rule, place, width, "%s", p.Message))
	}
	c.Problems = nil
	return bad
}

// plainLimits notes with sorts that do not fit which limits have no unit.
func (b *builder) plainLimits(text, rule string, f *source.Fault) {
	if rule != "unit-mismatch" {
		return
	}
	for _, d := range b.docs {
		for _, e := range d.limits.list {
			if l := b.s.limits[e.id]; l != nil && l.Unit.Name == "1" && strings.Contains(text, "limits."+e.id) {
				f.Notes = append(f.Notes, source.Note{Place: d.r.File.At(e.key), Message: fmt.Sprintf("limit %q has no unit here", e.id)})
			}
		}
	}
}

// elsewhere says in which shared file a name stands that the tree does not use.
func (b *builder) elsewhere(name string) string {
	for _, d := range b.loader.docs {
		if d.kind != "shared" || d.bad || slices.Contains(b.docs, d) {
			continue
		}
		for _, t := range []*table{d.readings, d.limits, d.values} {
			if t != nil && t.get(name) != nil {
				return fmt.Sprintf("; it stands in shared file %q: add that to `use`", d.name)
			}
		}
	}
	return ""
}

var quantityText = regexp.MustCompile(`(?:^|[^\w.])(\d+(?:[.,]\d+)?\s*(°?[A-Za-zµΩ]+(?:/[A-Za-z]+)?))`)

// quantityIn finds a number with a unit in a text, in runes; to is 0 when there is
// none.
func quantityIn(s string) (from, to int) {
	for _, m := range quantityText.FindAllStringSubmatchIndex(s, -1) {
		quoted := strings.Count(s[:m[2]], `"`)%2 == 1
		if _, ok := unit.Lookup(s[m[4]:m[5]]); ok && !quoted {
			return runes(s[:m[2]]), runes(s[:m[3]])
		}
	}
	return 0, 0
}

// guard compiles one guard that stands alone.
func (b *builder) guard(d *document, n *yaml.Node, prefix string) *eval.Guard {
	text := b.actual(d.r.Text(n), prefix)
	if text == "" {
		return nil
	}
	c := b.compiler(prefix)
	c.Next()
	g := c.Guard(text)
	b.report(d, n, c)
	return g
}

// like opens an entry, and lays the keys of the other that it is like under its
// own, one level deep.
func (b *builder) like(e *entry, find func(string) *entry) *source.Mapping {
	m, ok := b.opened[e]
	if !ok {
		m = b.open(e, find)
		b.opened[e] = m
	}
	return m
}

func (b *builder) open(e *entry, find func(string) *entry) *source.Mapping {
	m := e.doc.r.Map(e.node)
	if m == nil || !m.Has("like") {
		return m
	}
	name := e.doc.r.Text(m.Get("like"))
	other := find(name)
	if other == nil || other == e {
		m.Unfinished()
		b.unknown(e.doc, m.Get("like"), "unknown-name", name, "%q is not declared here and cannot be copied%s", name, source.DidYouMean(name, append(e.doc.readings.names(), e.doc.steps.names()...)))
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
	}{{"points", &w.Points}, {"acts", &w.Acts}, {"sees", &w.Sees}, {"equipment", &w.Equipment}} {
		for _, s := range d.r.Texts(d.top.Get(v.key)) {
			if !slices.Contains(*v.to, s) {
				*v.to = append(*v.to, s)
			}
		}
	}
	b.undone(d)
	if n := d.top.Get("states"); n != nil {
		if m := d.r.Map(n); m != nil {
			for k, v := range m.All() {
				w.States[k.Value] = append(w.States[k.Value], d.r.Texts(v)...)
			}
		}
	}
}

// undone reads the temporary changes of one document: a mapping from each to the
// sentence that says how it is put back, or a list of those that only steps put back.
func (b *builder) undone(d *document) {
	w := &b.t.Words
	n := d.top.Get("undone")
	var words []string
	if n != nil && n.Kind == yaml.MappingNode {
		for k, v := range d.r.Map(n).All() {
			word, back := d.r.Text(k), d.r.Text(v)
			if was := w.Back[word]; was != "" && back != "" && was != back {
				d.r.Fault("duplicate-name", k, "how %q is put back is said in another file already, in other words", word)
			}
			words, w.Back[word] = append(words, word), back
		}
	} else {
		words = d.r.Texts(n)
	}
	for _, s := range words {
		if !slices.Contains(w.Undone, s) {
			w.Undone = append(w.Undone, s)
		}
	}
}

// word reads a word that must stand in a list, declared under a key unless it is the program's own.
func (b *builder) word(d *document, n *yaml.Node, list []string, what, key string) string {
	s := d.r.Text(n)
	if s != "" && !slices.Contains(list, s) {
		b.unknownWord(d, n, s, list, what, key)
	}
	return s
}

// unknownWord reports a word that does not stand in its list, and where that is.
func (b *builder) unknownWord(d *document, n *yaml.Node, word string, list []string, what, key string) {
	if b.follows("") {
		return
	}
	advice := source.DidYouMean(word, list)
	if key == "" {
		if advice == "" {
			advice = ": use one of " + strings.Join(list, ", ")
		}
		d.r.Fault("unknown-word", n, "%q is not a %s%s", word, what, advice)
		return
	}
	var at *source.Note
	for _, doc := range b.docs {
		if list := doc.top.Get(key); list != nil && (at == nil || doc == d) {
			at = &source.Note{Place: doc.r.File.At(list), Message: fmt.Sprintf("the list `%s` stands here", key)}
		}
	}
	if advice == "" {
		advice = fmt.Sprintf(": add it to `%s:` at the top of the file", key)
		if len(list) > 0 && len(list) <= 8 {
			advice += ", or use one of " + strings.Join(list, ", ")
		}
	}
	f := d.r.Fault("unknown-word", n, "%q is not a declared %s%s", word, what, advice)
	if at != nil {
		f.Notes = append(f.Notes, *at)
	}
}

// clauseWords begin what goes on with a sentence, not a choice.
var clauseWords = regexp.MustCompile(`^(and|but|or|so|because|which|then|though) `)

// cutByComma reports entries of a list in brackets that look like one text which a comma cut.
func (b *builder) cutByComma(d *document, n *yaml.Node, cut func(before, entry string) bool) {
	if n == nil || n.Kind != yaml.SequenceNode || n.Style&yaml.FlowStyle == 0 {
		return
	}
	for i, entry := range n.Content {
		if i == 0 || entry.Style != 0 || n.Content[i-1].Style != 0 {
			continue
		}
		if before := n.Content[i-1].Value; cut(before, entry.Value) {
			d.r.Fault("cut-text", entry, "%q looks like the rest of %q, which ends at the comma: put quotes round the whole, \"%s, %s\"", entry.Value, before, before, entry.Value)
		}
	}
}

// cutSentence tells whether a sentence goes on behind the comma.
func cutSentence(before, entry string) bool {
	first, _ := utf8.DecodeRuneInString(before)
	next, _ := utf8.DecodeRuneInString(entry)
	return unicode.IsUpper(first) && unicode.IsLower(next) && !strings.HasSuffix(before, ".") && !strings.HasSuffix(before, "!")
}

// cutChoice tells whether a choice goes on behind the comma.
func cutChoice(before, entry string) bool {
	return clauseWords.MatchString(entry) || strings.Count(before, "(") > strings.Count(before, ")") && strings.Contains(entry, ")")
}

func (b *builder) wordList(d *document, n *yaml.Node, list []string, what, key string) []string {
	var out []string
	for _, k := range d.r.List(n) {
		if s := b.word(d, k, list, what, key); s != "" {
			out = append(out, s)
		}
	}
	return out
}

// quantity reads a number with a unit of the dimension that is wanted, in base units.
func quantity(d *document, n *yaml.Node, want unit.Dim) float64 {
	exact, u, ok := number(d.r, n)
	if !ok {
		return 0
	}
	switch {
	case u.Dim == want:
	case source.IsNumber(n):
		d.r.Fault("unit-mismatch", n, "%s has no unit; %s is wanted here", n.Value, want)
	default:
		d.r.Fault("unit-mismatch", n, "%q is %s; %s is wanted here", d.r.Text(n), u.Dim, want)
	}
	v, _ := exact.Float64()
	return v
}

// sentences reads a text of a finding: one text, or a list of sentences of which each
// may have a condition.
func (b *builder) sentences(d *document, n *yaml.Node, prefix string) Text {
	if n == nil || n.Kind != yaml.SequenceNode {
		return b.text(d, n, prefix)
	}
	var t Text
	var raw []string
	for _, k := range d.r.List(n) {
		p := part{}
		if k.Kind == yaml.MappingNode {
			m := d.r.Map(k)
			p.when = b.guard(d, m.Get("when"), prefix)
			if !m.Has("when") || !m.Has("say") {
				d.r.Fault("missing-key", k, "a sentence with a condition needs `when: GUARD` and `say: TEXT`")
			}
			k = m.Get("say")
			m.Done()
		}
		say := b.text(d, k, prefix)
		p.say = &say
		t.parts, raw = append(t.parts, p), append(raw, say.raw)
	}
	t.raw = strings.Join(raw, " ")
	return t
}

// text reads an author's text with names in braces.
func (b *builder) text(d *document, n *yaml.Node, prefix string) Text {
	raw := d.r.Text(n)
	t := Text{raw: b.fill(raw, prefix)}
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
			place, _ := d.r.File.Span(n, at+runes(rest[:i]), at+runes(rest[:i])+1)
			b.faults.Add("bad-text", place, 1, "this { is not closed; a name in braces is worked out when the text is shown")
			return t
		}
		name := rest[i+1 : i+j]
		p, ok := b.named(name, prefix)
		if !ok {
			place, width := d.r.File.Span(n, at+runes(rest[:i])+1, at+runes(rest[:i])+1+runes(name))
			if bare := strings.TrimPrefix(name, "limits."); !b.follows(bare) {
				b.addUnknown("unknown-name", place, width, bare, fmt.Sprintf("%q is not a declared reading, value or limit%s", name,
					source.DidYouMean(bare, append(append(keys(b.s.limits), keys(b.s.values)...), keys(b.s.vars)...))))
			}
		}
		t.parts = append(t.parts, part{words: rest[:i]}, p)
		at += runes(rest[:i+j+1])
		rest = rest[i+j+1:]
	}
}

func runes(s string) int { return len([]rune(s)) }

func (b *builder) named(name, prefix string) (part, bool) {
	if a, ok := b.with[prefix][name]; ok && !a.named() {
		return part{words: a.is}, true
	}
	name = b.actual(name, prefix)
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
