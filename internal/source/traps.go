package source

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"deadflat/internal/text"
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

const noDirectives = `lines that begin with "%" are not allowed: remove it`

// directives reports lines such as "%YAML 1.1" before the document.
func (t trapper) directives() {
	for line := 1; line < t.Root.Line; line++ {
		if t.runes[t.starts[line-1]] == '%' {
			t.faults.Add("directive", Place{t.Name, line, 1}, t.lineEnd(line)-t.starts[line-1],
				"%s", noDirectives)
		}
	}
}

// node checks a value or a key. flow tells that it stands inside brackets or braces.
func (t trapper) node(n *yaml.Node, depth int, flow bool) {
	if n.Kind == yaml.ScalarNode && t.unknown[t.start(n)] {
		n.Kind, n.Value = yaml.AliasNode, n.Value[1:]
		return // reported when the text was parsed
	}
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
		`"*%s" repeats another part of the file, which is not allowed: write it out, or put quotes round a text that begins with "*"`, short(name))
}

// properties reports the anchor and the tag before a node. A block mapping or list may start at the
// very place of its first key, whose anchor or tag it is not.
func (t trapper) properties(n *yaml.Node) {
	if len(n.Content) > 0 && n.Content[0].Line == n.Line && n.Content[0].Column == n.Column {
		return
	}
	s := &scan{reading: reading{t.runes, t.start(n)}}
	anchor, tag := s.properties()
	if anchor >= 0 {
		t.faults.Add("anchor", t.place(anchor), propertyWidth(t.runes[anchor:]),
			`names for parts of a file ("&name") are not allowed: remove it, or put quotes round a text that begins with "&"`)
	}
	if tag >= 0 {
		t.faults.Add("tag", t.place(tag), propertyWidth(t.runes[tag:]),
			`tags ("!name") are not allowed: remove it, or put quotes round a text that begins with "!"`)
	}
}

var notFinite = regexp.MustCompile(`^[-+]?\.(?i:inf|nan)$`)

func (t trapper) scalar(n *yaml.Node) {
	if isPlain(n) && strings.Contains(n.Value, ".") && notFinite.MatchString(n.Value) {
		t.faults.Add("not-finite", t.At(n), t.Width(n), "%q is no number that can be worked with: write a number", n.Value)
	}
	if isPlain(n) {
		t.oddBlank(n)
		t.curlyQuotes(n)
	}
	if n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle) != 0 {
		t.swallowedLine(n)
	}
	if strings.Map(disarm, n.Value) == n.Value {
		return
	}
	for k, r := range []rune(n.Value) {
		if disarm(r) != r {
			place, width := t.Span(n, k, k+1)
			t.faults.Add("control-code", place, width,
				"character U+%04X cannot be seen and is not allowed: remove it", r)
			break
		}
	}
	n.Value = strings.Map(disarm, n.Value)
}

// disarm puts U+FFFD in the place of a character that must not get into a value.
func disarm(r rune) rune {
	if r == '\n' || r == '\t' || !text.Hidden(r) {
		return r
	}
	return utf8.RuneError
}

// oddBlank reports a text without quotes that begins or ends with a character that only looks like a
// blank. It usually came in by copying, and YAML takes it for a letter.
func (t trapper) oddBlank(n *yaml.Node) {
	first, _ := utf8.DecodeRuneInString(n.Value)
	last, _ := utf8.DecodeLastRuneInString(n.Value)
	k, odd := 0, first
	if !unicode.Is(unicode.Zs, odd) {
		k, odd = utf8.RuneCountInString(n.Value)-1, last
	}
	if unicode.Is(unicode.Zs, odd) {
		t.faults.Add("odd-blank", t.In(n, k), 1,
			"a hard space (U+%04X) looks like a blank but is none: type a blank instead, or put quotes round the text", odd)
	}
}

const openCurly, closedCurly = "“„‘‚«", "”“’‘»"

// curlyQuotes reports a text whose quotes YAML takes for letters.
func (t trapper) curlyQuotes(n *yaml.Node) {
	first, _ := utf8.DecodeRuneInString(n.Value)
	last, size := utf8.DecodeLastRuneInString(n.Value)
	if len(n.Value) > size && strings.ContainsRune(openCurly, first) && strings.ContainsRune(closedCurly, last) {
		t.faults.Add("yaml-trap", t.At(n), t.Width(n), "YAML takes the curly quotes %c %c for letters of the text: type straight ones", first, last)
	}
}

// swallowedLine reports a quote that was closed too late: the text runs over a line that looks like a
// key and is indented no deeper than the line on which the text starts.
func (t trapper) swallowedLine(n *yaml.Node) {
	at := t.start(n)
	if end := t.asRead(n, at+1); end >= 0 && end < len(t.runes) && t.runes[end] == t.runes[at] {
		return // it ends on the line where it starts
	}
	line := t.lineScanner(t.starts[n.Line-1])
	line.skipBlanks()
	line.indent = line.i - t.starts[n.Line-1]
	line.i = at
	for end := t.end(n); line.i < end; line.i++ {
		if line.look(0) == '\n' && line.keyBelow() {
			fault := t.faults.Add("swallowed-line", t.At(n), 1,
				"this quote is closed only after the next key: close it before, or indent the lines of the text deeper")
			fault.Notes = append(fault.Notes, Note{t.place(line.i + 1), "this line became part of the text"})
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
	cut := false // the keys just before are the rest of a text that a comma cut
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
			fault := t.faults.Add("duplicate-key", t.At(key), t.Width(key), "%q is given twice: remove one or give it another name", short(key.Value))
			fault.Notes = append(fault.Notes, Note{t.At(first[key.Value]), "first given here"})
		default:
			first[key.Value] = key
		}
		switch {
		case !isNull(value):
			cut = false
		case cut && looseWord(n, i):
			// reported with the first of them
		default:
			cut = t.nullValue(n, i)
		}
		t.cutByHash(key, value, flow)
	}
}

// nullValue reports a key without a value, and tells whether it is the rest of a text that a comma cut.
func (t trapper) nullValue(n *yaml.Node, i int) (cut bool) {
	key, value := n.Content[i], n.Content[i+1]
	flow := n.Style&yaml.FlowStyle != 0
	if value.Value != "" {
		t.faults.Add("null-value", t.At(value), t.Width(value), `%s stands for "nothing" in YAML: write a value, or put it in quotes if the word itself is meant`, value.Value)
		return false
	}
	name, rest, colon := strings.Cut(key.Value, ":")
	switch {
	case key.Kind != yaml.ScalarNode || isNull(key):
	case flow && isPlain(key) && colon && name != "" && rest != "":
		t.faults.Add("null-value", t.At(key), t.Width(key), `%q has no value: a blank must follow the colon, as in "%s: %s"`, short(key.Value), short(name), short(rest))
	case flow && i >= 2 && isPlain(n.Content[i-1]) && n.Content[i-1].Value != "":
		t.cutByComma(n, i)
		return true
	case flow && len(n.Content) == 2:
		t.faults.Add("null-value", t.At(key), t.Width(key), `%q has no value: write one after a colon; if a text begins with "{" here, put quotes round it`, short(key.Value))
	default:
		t.faults.Add("null-value", t.At(key), t.Width(key), "%q has no value: write one or remove the key", short(key.Value))
	}
	return false
}

// looseWord tells whether the i-th node of a mapping in braces is a word with neither colon nor value.
func looseWord(n *yaml.Node, i int) bool {
	return n.Style&yaml.FlowStyle != 0 && isPlain(n.Content[i]) && isNull(n.Content[i+1]) && n.Content[i+1].Value == ""
}

// cutByComma reports a text without quotes that a comma ended too early. Its rest was taken for one or
// more keys without values, the first at i.
func (t trapper) cutByComma(n *yaml.Node, i int) {
	name, text, last := n.Content[i-2], n.Content[i-1], i
	for last+2 < len(n.Content) && looseWord(n, last+2) {
		last += 2
	}
	from := t.start(text)
	whole := short(string(t.runes[from:max(t.end(n.Content[last]), from)]))
	if number := strings.Replace(whole, ",", ".", 1); IsNumber(text) && beginsWithNumber.MatchString(number) {
		t.faults.Add("cut-text", t.At(n.Content[i]), t.Width(n.Content[i]),
			"%q has a comma, which ends the number: write it with a point, as in %s: %s", whole, short(name.Value), number)
		return
	}
	fault := t.faults.Add("cut-text", t.At(n.Content[i]), t.Width(n.Content[i]),
		`%q has no value; it looks like the rest of %q, which ends at the comma: put quotes round the whole text, as in %s: %s`,
		short(n.Content[i].Value), short(text.Value), short(name.Value), quoted(whole))
	fault.Notes = append(fault.Notes, Note{t.place(from), "the text starts here"})
}

var beginsWithNumber = regexp.MustCompile(`^-?[0-9]+\.[0-9]`)

// quoted writes a text in the quotes that need the fewest escapes.
func quoted(text string) string {
	if strings.Contains(text, "'") && !strings.ContainsAny(text, `"\\`) {
		return `"` + text + `"`
	}
	return "'" + strings.ReplaceAll(text, "'", "''") + "'"
}

// guardKeys are the keys whose text is a condition: inside braces a comment right behind one is taken
// for a piece of it.
var guardKeys = []string{"if", "holds"}

// plainEnd is the index behind a plain scalar. Most need no scan.
func (t trapper) plainEnd(n *yaml.Node) int {
	if i := t.asRead(n, t.start(n)); i >= 0 {
		return i
	}
	return t.end(n)
}

// asRead is the index behind a scalar's text that begins at i, or -1 if it does not stand there on one
// line as it is read: had it gone on in the next line, its value would hold a blank there.
func (t trapper) asRead(n *yaml.Node, i int) int {
	for _, r := range n.Value {
		if i >= len(t.runes) || t.runes[i] != r {
			return -1
		}
		i++
	}
	return i
}

// cutByHash reports a text without quotes that ends at " #", where the author may have meant the "#"
// as part of it: when no blank follows the "#", or when it cuts a guard inside braces.
func (t trapper) cutByHash(key, value *yaml.Node, flow bool) {
	if !isPlain(value) || value.Value == "" {
		return
	}
	i := t.plainEnd(value)
	hash := i
	for hash < len(t.runes) && isBlank(t.runes[hash]) {
		hash++
	}
	if hash == i || hash >= len(t.runes) || t.runes[hash] != '#' {
		return
	}
	isGuard := flow && key != nil && slices.Contains(guardKeys, key.Value)
	if hash+1 < len(t.runes) && !strings.ContainsRune(" \t\r\n#", t.runes[hash+1]) || isGuard {
		t.faults.Add("cut-text", t.place(hash), 1,
			`the text %q ends here, because " #" begins a comment: put quotes round the whole text, or begin the comment on a line of its own`, short(value.Value))
	}
}
