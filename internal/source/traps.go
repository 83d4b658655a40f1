package source

import (
	"regexp"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"
)

// trapper walks the nodes once and reports what YAML would silently read otherwise than the author
// meant. It never follows an alias.
type trapper struct {
	*File
	faults *Faults
}

func (f *File) checkTraps(faults *Faults) {
	t := trapper{f, faults}
	t.directives()
	t.node(f.Root, 1, false)
}

// directives reports lines such as "%YAML 1.1" before the document.
func (t trapper) directives() {
	for line := 1; line < t.Root.Line; line++ {
		if t.runes[t.starts[line-1]] == '%' {
			t.faults.Add("directive", Place{t.Name, line, 1}, t.lineEnd(line)-t.starts[line-1],
				`lines that begin with "%%" are not allowed: remove it`)
		}
	}
}

// node checks a value or a key. flow tells that it stands inside brackets or braces.
func (t trapper) node(n *yaml.Node, depth int, flow bool) {
	if n.Kind == yaml.AliasNode {
		t.addAlias(t.start(n), n.Value, t.faults)
		n.Alias = nil // so that nobody can follow it
		return
	}
	t.properties(n)
	if n.Kind == yaml.ScalarNode {
		t.scalar(n)
		return
	}
	if depth > MaxDepth {
		t.faults.Add("too-deep", t.At(n), 1, "lists and mappings nest more than %d deep here", MaxDepth)
		n.Content = nil
		return
	}
	flow = flow || n.Style&yaml.FlowStyle != 0
	if n.Kind == yaml.MappingNode {
		t.keys(n, flow)
	} else {
		t.items(n)
	}
	for _, child := range n.Content {
		t.node(child, depth+1, flow)
	}
}

func (f *File) addAlias(at int, name string, faults *Faults) {
	faults.Add("alias", f.place(at), len([]rune(name))+1,
		`"*%s" repeats another part of the file, which is not allowed: write it out, or put quotes round a text that begins with "*"`, name)
}

// properties reports the anchor and the tag before a node. A block mapping or list may start at the
// very place of its first key, whose anchor or tag it is not.
func (t trapper) properties(n *yaml.Node) {
	if len(n.Content) > 0 && n.Content[0].Line == n.Line && n.Content[0].Column == n.Column {
		return
	}
	s := &scan{text: t.runes, i: t.start(n)}
	anchor, tag := s.properties()
	if anchor >= 0 {
		t.faults.Add("anchor", t.place(anchor), t.wordAt(anchor),
			`names for parts of a file ("&name") are not allowed: remove it, or put quotes round a text that begins with "&"`)
	}
	if tag >= 0 {
		t.faults.Add("tag", t.place(tag), t.wordAt(tag),
			`tags ("!name") are not allowed: remove it, or put quotes round a text that begins with "!"`)
	}
}

// wordAt is the number of runes up to the next blank or line break.
func (t trapper) wordAt(at int) int {
	n := 0
	for at+n < len(t.runes) && !strings.ContainsRune(" \t\r\n", t.runes[at+n]) {
		n++
	}
	return n
}

var notFinite = regexp.MustCompile(`^[-+]?\.(?i:inf|nan)$`)

func (t trapper) scalar(n *yaml.Node) {
	if isPlain(n) && notFinite.MatchString(n.Value) {
		t.faults.Add("not-finite", t.At(n), t.Width(n), "%q is no number that can be worked with: write a number", n.Value)
	}
	for k, r := range []rune(n.Value) {
		if r != '\n' && r != '\t' && !harmless(r) {
			place, width := t.Span(n, k, k+1)
			t.faults.Add("control-code", place, width,
				"character U+%04X cannot be seen and is not allowed: remove it", r)
			return
		}
	}
}

func isPlain(n *yaml.Node) bool {
	const quotedOrBlock = yaml.DoubleQuotedStyle | yaml.SingleQuotedStyle | yaml.LiteralStyle | yaml.FoldedStyle
	return n.Kind == yaml.ScalarNode && n.Style&quotedOrBlock == 0
}

// isNull tells that a value was left out or written as null or ~.
func isNull(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && n.Tag == "!!null"
}

func (t trapper) items(n *yaml.Node) {
	for _, item := range n.Content {
		if isNull(item) {
			t.faults.Add("null-value", t.At(item), t.Width(item), "%s", "an entry of this list is empty"+asWritten(item)+": write a value or remove the entry")
		}
		t.cutByHash(nil, item, false)
	}
}

// asWritten says how a null was written, if at all.
func asWritten(n *yaml.Node) string {
	if n.Value == "" {
		return ""
	}
	return ` (` + n.Value + ` stands for "nothing" in YAML)`
}

func (t trapper) keys(n *yaml.Node, flow bool) {
	first := map[string]*yaml.Node{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		switch {
		case key.Kind != yaml.ScalarNode && key.Kind != yaml.AliasNode:
			t.faults.Add("wrong-shape", t.At(key), 1, `a key must be a word, not a list or a mapping; put quotes round a text that begins with "[" or "{"`)
		case key.Tag == "!!merge":
			t.faults.Add("merge-key", t.At(key), t.Width(key), `"<<" merges another mapping into this one, which is not allowed: write its keys out`)
		case isNull(key):
			t.faults.Add("null-value", t.At(key), t.Width(key), "a key is missing before the colon%s", asWritten(key))
		case first[key.Value] != nil:
			fault := t.faults.Add("duplicate-key", t.At(key), t.Width(key), "%q is given twice: remove one or give it another name", key.Value)
			fault.Notes = append(fault.Notes, Note{t.At(first[key.Value]), "first given here"})
		default:
			first[key.Value] = key
		}
		if isNull(value) {
			t.nullValue(n, i)
		}
		t.cutByHash(key, value, flow)
	}
}

// nullValue reports a key without a value, and looks for what may have cut the value off.
func (t trapper) nullValue(n *yaml.Node, i int) {
	key, value := n.Content[i], n.Content[i+1]
	flow := n.Style&yaml.FlowStyle != 0
	if value.Value != "" {
		t.faults.Add("null-value", t.At(value), t.Width(value), `%s stands for "nothing" in YAML: write a value, or put it in quotes if the word itself is meant`, value.Value)
		return
	}
	name, rest, colon := strings.Cut(key.Value, ":")
	switch {
	case key.Kind != yaml.ScalarNode || isNull(key):
	case flow && isPlain(key) && colon && name != "" && rest != "":
		t.faults.Add("null-value", t.At(key), t.Width(key), `%q has no value: a blank must follow the colon, as in "%s: %s"`, key.Value, name, rest)
	case flow && i >= 2 && isPlain(n.Content[i-1]) && n.Content[i-1].Value != "":
		before := n.Content[i-1]
		fault := t.faults.Add("cut-text", t.At(key), t.Width(key),
			`%q has no value; it looks like the rest of %q, which ends at the comma: put quotes round the whole text, as in %s: '%s, %s'`,
			key.Value, before.Value, n.Content[i-2].Value, before.Value, key.Value)
		fault.Notes = append(fault.Notes, Note{t.At(before), "the text starts here"})
	case flow && len(n.Content) == 2:
		t.faults.Add("null-value", t.At(key), t.Width(key), `%q has no value: write one after a colon; if a text begins with "{" here, put quotes round it`, key.Value)
	default:
		t.faults.Add("null-value", t.At(key), t.Width(key), "%q has no value: write one or remove the key", key.Value)
	}
}

// guardKeys are the keys whose text is a condition: inside braces a comment right behind one is taken
// for a piece of it.
var guardKeys = []string{"if", "holds"}

// cutByHash reports a text without quotes that ends at " #", where the author may have meant the "#"
// as part of it: when no blank follows the "#", or when it cuts a guard inside braces.
func (t trapper) cutByHash(key, value *yaml.Node, flow bool) {
	if !isPlain(value) || value.Value == "" {
		return
	}
	i := t.end(value)
	hash := i
	for hash < len(t.runes) && (t.runes[hash] == ' ' || t.runes[hash] == '\t') {
		hash++
	}
	if hash == i || hash >= len(t.runes) || t.runes[hash] != '#' {
		return
	}
	isGuard := flow && key != nil && slices.Contains(guardKeys, key.Value)
	if hash+1 < len(t.runes) && !strings.ContainsRune(" \t\r\n#", t.runes[hash+1]) || isGuard {
		t.faults.Add("cut-text", t.place(hash), 1,
			`the text %q ends here, because " #" begins a comment: put quotes round the whole text, or begin the comment on a line of its own`, value.Value)
	}
}
