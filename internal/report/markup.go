package report

import (
	"bytes"
	"strconv"
	"strings"

	"deadflat/internal/text"
)

// markup writes HTML and SVG that is well-formed XML by its making: it closes
// what it opened, in order, and escapes every text and attribute.
type markup struct {
	bytes.Buffer
	open []string
	ids  int
}

// start opens an element; attributes come as name, value, name, value.
func (m *markup) start(name string, attrs ...string) {
	m.tag(name, attrs)
	m.WriteByte('>')
	m.open = append(m.open, name)
}

// end closes the innermost open element.
func (m *markup) end() {
	last := len(m.open) - 1
	name := m.open[last]
	m.open = m.open[:last]
	m.WriteString("</" + name + ">")
	if breaksLine[name] {
		m.WriteByte('\n')
	}
}

// breaksLine lists the elements after which a new line costs nothing.
var breaksLine = map[string]bool{
	"p": true, "li": true, "ul": true, "ol": true, "tr": true, "thead": true, "tbody": true, "table": true, "caption": true,
	"h1": true, "h2": true, "h3": true, "h4": true, "section": true, "header": true, "main": true, "div": true,
	"dl": true, "dt": true, "dd": true, "figure": true, "figcaption": true, "svg": true, "g": true, "head": true,
	"title": true, "style": true, "desc": true, "body": true, "html": true, "text": true,
}

// void writes an element that holds nothing.
func (m *markup) void(name string, attrs ...string) {
	m.tag(name, attrs)
	m.WriteString("/>\n")
}

// text writes a text, cleaned and escaped, that does not break a number from its
// unit.
func (m *markup) text(s string) { m.WriteString(text.Glue(escapeMarkup(s))) }

// leaf writes an element that holds only text.
func (m *markup) leaf(name, text string, attrs ...string) {
	m.start(name, attrs...)
	m.text(text)
	m.end()
}

func (m *markup) tag(name string, attrs []string) {
	m.WriteString("<" + name)
	for i := 0; i < len(attrs); i += 2 {
		m.WriteString(" " + attrs[i] + `="` + escapeMarkup(attrs[i+1]) + `"`)
	}
}

// id gives names for the parts of a drawing that no other drawing of the
// document has.
func (m *markup) id(word string) string {
	m.ids++
	return word + strconv.Itoa(m.ids)
}

var markupEscapes = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&#34;", "'", "&#39;")

// escapeMarkup makes a text safe inside an element and inside a quoted
// attribute of HTML or SVG.
func escapeMarkup(s string) string { return markupEscapes.Replace(text.Clean(s)) }
