package source

import (
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// Most of the time that loading a tree takes is spent in yaml.v3. So a text is first read by a quick
// reader of our own that knows only the forms nearly all trees are written in: block mappings and
// lists, texts on one line with or without quotes, block texts, and brackets. At anything else, a
// fault above all, it gives up, and yaml.v3 reads the whole text: what is YAML and what is wrong with
// it is for yaml.v3 to say. Where the quick reader does not give up, its nodes are those of yaml.v3
// but for the comments, which nobody here reads; a fuzz target holds it to that.

// quick is where the quick reader stands. Between two lines of the text it stands on the first rune of
// the next line that holds more than a comment.
type quick struct {
	text   string
	at     int // the next byte
	line   int // from 1
	start  int // where the line starts
	indent int // blanks before the line's first rune; -1 behind the last line

	room []yaml.Node  // nodes not yet used
	open []*yaml.Node // the children of mappings and lists that are being read, innermost last
	deep int
}

// quickRoot gives the root of a text, or nil when the quick reader gives up.
func quickRoot(text string) *yaml.Node {
	if !strings.HasSuffix(text, "\n") {
		return nil
	}
	for _, odd := range []string{"\t", "\r", "\u0085", "\u2028", "\u2029", "\uFEFF", "\n---", "\n...", "\n%"} {
		if strings.Contains(text, odd) {
			return nil
		}
	}
	q := &quick{text: text, line: 1}
	if q.next(); q.indent != 0 || q.char() == '-' || q.char() == '%' || q.char() == '.' {
		return nil
	}
	root := q.mapping(0)
	if q.indent >= 0 {
		return nil
	}
	return root
}

func (q *quick) char() byte {
	if q.at >= len(q.text) {
		return '\n'
	}
	return q.text[q.at]
}

// blankAt tells whether a blank or the end of the line stands n bytes ahead.
func (q *quick) blankAt(n int) bool {
	return q.at+n >= len(q.text) || q.text[q.at+n] == ' ' || q.text[q.at+n] == '\n'
}

func (q *quick) skipBlanks() {
	for q.at < len(q.text) && q.text[q.at] == ' ' {
		q.at++
	}
}

// next goes from the start of a line to the first rune of it or of a later line that is not a comment.
func (q *quick) next() {
	for q.start = q.at; ; q.newLine() {
		q.skipBlanks()
		switch {
		case q.at >= len(q.text):
			q.indent = -1
			return
		case q.text[q.at] == '\n':
		case q.text[q.at] == '#':
			q.at = q.lineEnd()
		default:
			q.indent = q.at - q.start
			return
		}
	}
}

// lineEnd is where the line ends.
func (q *quick) lineEnd() int {
	if n := strings.IndexByte(q.text[q.at:], '\n'); n >= 0 {
		return q.at + n
	}
	return len(q.text)
}

// newLine goes from the end of a line to the start of the next.
func (q *quick) newLine() {
	q.at = min(q.at+1, len(q.text))
	q.start = q.at
	q.line++
}

// endLine tells whether nothing but a comment follows on this line, and goes on to the next.
func (q *quick) endLine() bool {
	behind := q.at
	q.skipBlanks()
	if q.char() == '#' && q.at > behind {
		q.at = q.lineEnd()
	}
	if q.char() != '\n' {
		return false
	}
	q.newLine()
	q.next()
	return true
}

// node makes a node that begins here.
func (q *quick) node(kind yaml.Kind, tag string) *yaml.Node {
	if len(q.room) == 0 {
		q.room = make([]yaml.Node, 128)
	}
	n := &q.room[0]
	q.room = q.room[1:]
	n.Kind, n.Tag, n.Line, n.Column = kind, tag, q.line, utf8.RuneCountInString(q.text[q.start:q.at])+1
	return n
}

// inside reads the children of a mapping or a list. Read gives false to give up.
func (q *quick) inside(n *yaml.Node, read func() bool) *yaml.Node {
	from := len(q.open)
	if q.deep++; q.deep > MaxDepth || !read() {
		return nil
	}
	q.deep--
	n.Content = append(n.Content, q.open[from:]...)
	q.open = q.open[:from]
	return n
}

// keep notes a child of what is being read. No child, it gives up.
func (q *quick) keep(n *yaml.Node) bool {
	q.open = append(q.open, n)
	return n != nil
}

// mapping reads the keys that begin in a column, the first of them here.
func (q *quick) mapping(column int) *yaml.Node {
	n := q.node(yaml.MappingNode, "!!map")
	return q.inside(n, func() bool {
		for {
			if !q.keep(q.key()) || !q.keep(q.valueOf(column)) {
				return false
			}
			if q.indent != column {
				return q.indent < column
			}
		}
	})
}

// list reads the entries whose dashes stand in a column, the first of them here.
func (q *quick) list(column int) *yaml.Node {
	n := q.node(yaml.SequenceNode, "!!seq")
	return q.inside(n, func() bool {
		for {
			q.at++
			q.skipBlanks()
			if !q.keep(q.entry(column)) {
				return false
			}
			if q.indent != column || !q.atDash() {
				return q.indent <= column
			}
		}
	})
}

func (q *quick) atDash() bool { return q.char() == '-' && q.blankAt(1) }

// entry reads what stands behind a dash.
func (q *quick) entry(column int) *yaml.Node {
	if q.colon() > 0 {
		return q.mapping(q.at - q.start)
	}
	return q.value(column)
}

// longestKey is well within what yaml.v3 takes for a key.
const longestKey = 500

// colon is where the colon of a key stands that begins here, or 0.
func (q *quick) colon() int {
	end := q.at
	switch c := q.char(); {
	case c == '"' || c == '\'':
		end += 1 + strings.IndexByte(q.text[q.at+1:], c) + 1
		if end == q.at+1 || strings.Contains(q.text[q.at:end], "\n") {
			return 0
		}
		for end < len(q.text) && q.text[end] == ' ' {
			end++
		}
		if end >= len(q.text) || q.text[end] != ':' {
			return 0
		}
	case !plainStart(c):
		return 0
	default:
		for ; end < len(q.text) && q.text[end] != '\n'; end++ {
			if q.text[end] == ':' && (end+1 == len(q.text) || q.text[end+1] == ' ' || q.text[end+1] == '\n') {
				break
			}
			if q.text[end] == '#' && q.text[end-1] == ' ' {
				return 0
			}
		}
		if end >= len(q.text) || q.text[end] != ':' {
			return 0
		}
	}
	if end-q.at > longestKey || end+1 < len(q.text) && q.text[end+1] != ' ' && q.text[end+1] != '\n' {
		return 0
	}
	return end
}

// plainStart tells whether a text without quotes may begin with a byte; a dash is seen to apart.
func plainStart(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c >= utf8.RuneSelf || c == '_' || c == '.' || c == '(' || c == '+' || c == '/' || c == '='
}

// key reads a key and passes over its colon.
func (q *quick) key() *yaml.Node {
	colon := q.colon()
	if colon == 0 {
		return nil
	}
	var n *yaml.Node
	if c := q.char(); c == '"' || c == '\'' {
		n = q.quoted(c)
		if q.skipBlanks(); q.at != colon {
			return nil
		}
	} else {
		n = q.plainNode(strings.TrimRight(q.text[q.at:colon], " "))
	}
	q.at = colon + 1
	return n
}

// valueOf reads what stands behind the colon of a key, or on the lines below it.
func (q *quick) valueOf(column int) *yaml.Node {
	behind := q.at
	if q.skipBlanks(); q.char() != '\n' && (q.char() != '#' || q.at == behind) {
		return q.value(column)
	}
	if !q.endLine() {
		return nil
	}
	switch {
	case q.indent >= column && q.atDash():
		return q.list(q.indent)
	case q.indent > column && (q.char() == '[' || q.char() == '{'):
		return q.value(column)
	case q.indent > column:
		return q.mapping(q.indent)
	}
	return nil
}

// value reads a value that begins on this line, whose key or dash stands in a column, and goes on to
// the next line. A line indented deeper might go on with the value.
func (q *quick) value(column int) *yaml.Node {
	var n *yaml.Node
	switch c := q.char(); c {
	case '|', '>':
		n = q.block(column)
		if q.indent > column {
			return nil
		}
		return n
	case '"', '\'':
		n = q.quoted(c)
	case '[', '{':
		n = q.brackets(column)
	default:
		n = q.plain()
	}
	if n == nil || !q.endLine() || q.indent > column {
		return nil
	}
	return n
}

// plain reads a text without quotes up to the end of the line or a comment.
func (q *quick) plain() *yaml.Node {
	if !plainStart(q.char()) && (q.char() != '-' || q.blankAt(1)) {
		return nil
	}
	line := q.text[q.at:q.lineEnd()]
	if comment := strings.Index(line, " #"); comment >= 0 {
		line = line[:comment]
	}
	if strings.Contains(line, ": ") || strings.HasSuffix(line, ":") {
		return nil
	}
	n := q.plainNode(strings.TrimRight(line, " "))
	q.at += len(line)
	return n
}

// plainNode makes a node of a text without quotes that begins here.
func (q *quick) plainNode(text string) *yaml.Node {
	n := q.node(yaml.ScalarNode, "")
	n.Value = text
	if strings.IndexByte("+-.0123456789yYnNtTfFoO~", text[0]) >= 0 {
		n.Tag = n.ShortTag() // it may be a number or such
	} else {
		n.Tag = "!!str"
	}
	return n
}

// quoted reads a text in quotes that stands on one line and has no escapes but doubled single quotes.
func (q *quick) quoted(quote byte) *yaml.Node {
	n := q.node(yaml.ScalarNode, "!!str")
	n.Style = yaml.DoubleQuotedStyle
	if quote == '\'' {
		n.Style = yaml.SingleQuotedStyle
	}
	from := q.at + 1
	for q.at = from; ; q.at++ {
		switch c := q.char(); {
		case c == '\n' || c == '\\' && quote == '"':
			return nil
		case c == quote && quote == '\'' && q.at+1 < len(q.text) && q.text[q.at+1] == quote:
			q.at++
		case c == quote:
			n.Value = q.text[from:q.at]
			if quote == '\'' {
				n.Value = strings.ReplaceAll(n.Value, "''", "'")
			}
			q.at++
			return n
		}
	}
}

// block reads a text below its "|" or ">", with its closing line breaks or, behind "-", without them.
func (q *quick) block(column int) *yaml.Node {
	n := q.node(yaml.ScalarNode, "!!str")
	glue := "\n"
	n.Style = yaml.LiteralStyle
	if q.char() == '>' {
		glue, n.Style = " ", yaml.FoldedStyle
	}
	q.at++
	strip := q.char() == '-'
	if strip {
		q.at++
	}
	if q.skipBlanks(); q.char() != '\n' {
		return nil
	}
	q.newLine()
	q.skipBlanks()
	indent := q.at - q.start
	if indent <= column || q.char() == '\n' {
		return nil
	}
	var b strings.Builder
	for empty := 0; ; {
		line := q.text[q.at:q.lineEnd()]
		switch {
		case b.Len() == 0:
		case empty > 0:
			b.WriteString(strings.Repeat("\n", empty))
			if glue == "\n" {
				b.WriteString("\n")
			}
		default:
			b.WriteString(glue)
		}
		b.WriteString(line)
		q.at += len(line)
		q.newLine()
		for empty = 0; ; empty++ {
			if q.skipBlanks(); q.char() != '\n' || q.at >= len(q.text) {
				break
			}
			if q.at-q.start > indent {
				return nil
			}
			q.newLine()
		}
		switch here := q.at - q.start; {
		case q.at < len(q.text) && here > indent: // it keeps its own line
			return nil
		case q.at < len(q.text) && here == indent:
			continue
		}
		q.at = q.start
		q.next()
		if n.Value = b.String(); !strip {
			n.Value += "\n"
		}
		return n
	}
}

// brackets reads a list in brackets or a mapping in braces. Its lines must be indented deeper than
// the column of its key or dash.
func (q *quick) brackets(column int) *yaml.Node {
	var n *yaml.Node
	closing := byte(']')
	if q.char() == '[' {
		n = q.node(yaml.SequenceNode, "!!seq")
	} else {
		n, closing = q.node(yaml.MappingNode, "!!map"), '}'
	}
	n.Style = yaml.FlowStyle
	q.at++
	return q.inside(n, func() bool {
		for first := true; ; first = false {
			if !q.skipInside(column) {
				return false
			}
			if first && q.char() == closing {
				q.at++
				return true
			}
			if closing == '}' && !q.keyInside() || !q.skipInside(column) || !q.keep(q.valueInside(column)) || !q.skipInside(column) {
				return false
			}
			q.at++
			switch q.text[q.at-1] {
			case closing:
				return true
			case ',':
			default:
				return false
			}
		}
	})
}

// skipInside passes over blanks and line breaks inside brackets.
func (q *quick) skipInside(column int) bool {
	q.skipBlanks()
	if q.char() == '\n' {
		if q.newLine(); q.at >= len(q.text) {
			return false
		}
		q.skipBlanks()
		if q.at-q.start <= column || q.char() == '\n' {
			return false
		}
	}
	return q.at < len(q.text)
}

// keyInside keeps a key inside braces and passes over its colon, which a blank must follow.
func (q *quick) keyInside() bool {
	from := q.at
	if c := q.char(); c == '[' || c == '{' || !q.keep(q.valueInside(0)) {
		return false
	}
	if q.char() != ':' || !q.blankAt(1) || q.at-from > longestKey {
		return false
	}
	q.at++
	return true
}

// valueInside reads a value inside brackets.
func (q *quick) valueInside(column int) *yaml.Node {
	switch c := q.char(); {
	case c == '[' || c == '{':
		return q.brackets(column)
	case c == '"' || c == '\'':
		return q.quoted(c)
	case !plainStart(c) && (c != '-' || q.blankAt(1)):
		return nil
	}
	from := q.at
	for q.at++; ; q.at++ {
		switch c := q.char(); c {
		case '\n', '[', '{', '?':
			return nil
		case '#':
			if q.text[q.at-1] == ' ' {
				return nil
			}
		case ':', ',', ']', '}':
			if c == ':' && !q.blankAt(1) {
				return nil
			}
			end := q.at
			q.at = from
			n := q.plainNode(strings.TrimRight(q.text[from:end], " "))
			q.at = end
			return n
		}
	}
}
