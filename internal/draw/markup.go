package draw

import (
	"bytes"
	"strings"

	"deadflat/internal/text"
)

// markup writes XML that is well-formed by its making: it closes what it opened,
// in order, and escapes every text and attribute.
type markup struct {
	bytes.Buffer
	open []string
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
	m.WriteString("</" + m.open[last] + ">\n")
	m.open = m.open[:last]
}

// void writes an element that holds nothing.
func (m *markup) void(name string, attrs ...string) {
	m.tag(name, attrs)
	m.WriteString("/>\n")
}

// leaf writes an element that holds only text.
func (m *markup) leaf(name, text string, attrs ...string) {
	m.tag(name, attrs)
	m.WriteString(">" + escape(text) + "</" + name + ">\n")
}

func (m *markup) tag(name string, attrs []string) {
	m.WriteString("<" + name)
	for i := 0; i < len(attrs); i += 2 {
		m.WriteString(" " + attrs[i] + `="` + escape(attrs[i+1]) + `"`)
	}
}

var escapes = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&#34;", "'", "&#39;")

func escape(s string) string { return escapes.Replace(text.Clean(s)) }
