package markup

import (
	"bytes"
	"encoding/base64"
	"strconv"
	"strings"

	"deadflat/internal/text"
)

// Writer gathers a document. The zero one is empty and ready.
type Writer struct {
	bytes.Buffer
	open []string
	ids  int

	pictures bool // there is one on the page
}

// Start opens an element; attributes come as name, value, name, value.
func (w *Writer) Start(name string, attrs ...string) {
	w.tag(name, attrs)
	w.WriteByte('>')
	w.open = append(w.open, name)
}

// End closes the innermost open element. It begins a new line except inside running text
// and table rows, where a blank would show.
func (w *Writer) End() {
	last := len(w.open) - 1
	name := w.open[last]
	w.open = w.open[:last]
	w.WriteString("</" + name + ">")
	if !inline[name] {
		w.WriteByte('\n')
	}
}

var inline = map[string]bool{"span": true, "strong": true, "small": true, "td": true, "th": true}

// Void writes an element that holds nothing.
func (w *Writer) Void(name string, attrs ...string) {
	w.tag(name, attrs)
	w.WriteString("/>\n")
}

// Text writes a text; a number is not torn from its unit.
func (w *Writer) Text(s string) { w.WriteString(text.Glue(Escape(s))) }

// Leaf writes an element that holds only text.
func (w *Writer) Leaf(name, text string, attrs ...string) {
	w.Start(name, attrs...)
	w.Text(text)
	w.End()
}

func (w *Writer) tag(name string, attrs []string) {
	w.WriteString("<" + name)
	for i := 0; i < len(attrs); i += 2 {
		w.WriteString(" " + attrs[i] + `="` + Escape(attrs[i+1]) + `"`)
	}
}

// Picture writes a picture that stands in the page itself, no wider than most, with the words
// that say the same.
func (w *Writer) Picture(mime string, data []byte, width, height, most int, words string) {
	w.pictures = true
	if width > most {
		width, height = most, height*most/width
	}
	w.Void("img", "src", "data:"+mime+";base64,"+base64.StdEncoding.EncodeToString(data),
		"width", strconv.Itoa(width), "height", strconv.Itoa(height), "alt", words)
}

// ID gives a name for a part of a drawing that no other part of the document has.
func (w *Writer) ID(word string) string {
	w.ids++
	return word + strconv.Itoa(w.ids)
}

var escapes = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&#34;", "'", "&#39;")

// Escape makes a text safe inside an element and inside a quoted attribute.
func Escape(s string) string { return escapes.Replace(text.Clean(s)) }

// Tenth prints a length of a drawing to a tenth, which is enough for the eye; never "-0.0".
func Tenth(x float64) string {
	if s := strconv.FormatFloat(x, 'f', 1, 64); s != "-0.0" {
		return s
	}
	return "0.0"
}
