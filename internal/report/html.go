package report

import (
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"io"
	"strconv"

	"deadflat/internal/engine"
)

// style is the look of the page, on screen and on A4.
//
//go:embed style.css
var style string

// HTML writes the report as one page that needs nothing else: no script, no
// font, picture or sheet from outside, and a policy in its head that forbids
// them. It is well-formed XML. The only error is w's.
func HTML(w io.Writer, rec *engine.Record) error {
	h := &htmlForm{}
	h.outline(lay(rec))
	return emit(w, h.Bytes())
}

// htmlForm prints an outline as HTML.
type htmlForm struct{ markup }

func (h *htmlForm) outline(o *outline) {
	h.WriteString("<!DOCTYPE html>\n")
	h.start("html", "xmlns", "http://www.w3.org/1999/xhtml", "lang", "en-GB", "xml:lang", "en-GB")
	h.head(o)
	h.start("body")
	h.start("header")
	h.leaf("h1", o.title)
	h.leaf("p", o.subtitle, "class", "subtitle")
	h.end()
	h.start("main")
	for i, s := range o.sections {
		h.section(i, s)
	}
	h.end()
	h.end()
	h.end()
}

// head writes what stands before the page: nothing may be loaded, and only the
// style that stands here, known by its hash, may be used.
func (h *htmlForm) head(o *outline) {
	sum := sha256.Sum256([]byte(style))
	policy := "default-src 'none'; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'; base-uri 'none'; form-action 'none'"
	h.start("head")
	h.void("meta", "charset", "utf-8")
	h.WriteString(`<meta http-equiv="Content-Security-Policy" content="` + policy + "\"/>\n")
	h.void("meta", "name", "viewport", "content", "width=device-width, initial-scale=1")
	h.void("meta", "name", "referrer", "content", "no-referrer")
	h.leaf("title", o.title+" – "+o.subtitle)
	h.WriteString("<style>" + style + "</style>\n")
	h.end()
}

func (h *htmlForm) section(i int, s section) {
	id := "part" + strconv.Itoa(i+1)
	attrs := []string{"aria-labelledby", id}
	if s.role != ordinary {
		attrs = append(attrs, "class", string(s.role))
	}
	h.start("section", attrs...)
	h.leaf("h2", s.title, "id", id)
	for _, p := range s.parts {
		h.part(p)
	}
	h.end()
}

func (h *htmlForm) part(p part) {
	switch p := p.(type) {
	case heading:
		h.leaf("h"+strconv.Itoa(p.level), p.text)
	case para:
		h.para(p)
	case list:
		h.list(p)
	case facts:
		h.facts(p)
	case table:
		h.table(p)
	case *scale:
		h.figure("scale", sentences(p.title, p.far()), func() { p.svg(&h.markup) })
	case *circuit:
		h.figure("circuit", p.words()+" The vehicle's own layout may differ from this outline.", func() { p.svg(&h.markup) })
	}
}

func (h *htmlForm) para(p para) {
	h.start("p")
	if p.lead != "" {
		h.leaf("strong", p.lead)
		h.WriteByte(' ')
	}
	h.text(p.text)
	h.end()
}

// manyItems is from how many points on a list is set in two columns.
const manyItems = 7

func (h *htmlForm) list(l list) {
	class := "points"
	switch {
	case l.warning:
		class = "warning"
	case len(l.items) > manyItems:
		class = "points many"
	}
	h.start("div", "class", class)
	if l.lead != "" {
		h.start("p", "class", "lead")
		if l.warning {
			h.leaf("strong", "Caution.")
			h.WriteByte(' ')
		}
		h.text(l.lead)
		h.end()
	}
	h.start("ul")
	for _, i := range l.items {
		h.start("li")
		h.item(i)
		h.end()
	}
	h.end()
	h.end()
}

// item writes a text and, in smaller type under it, its remark.
func (h *htmlForm) item(i item) {
	h.text(i.text)
	if i.under != "" {
		h.WriteByte(' ')
		h.leaf("small", i.under)
	}
}

func (h *htmlForm) facts(f facts) {
	h.start("dl")
	for _, p := range f.pairs {
		h.start("div")
		h.leaf("dt", p[0])
		h.leaf("dd", p[1])
		h.end()
	}
	h.end()
}

func (h *htmlForm) table(t table) {
	class := "columns" + strconv.Itoa(len(t.head))
	if t.small {
		class += " small"
	}
	h.start("table", "class", class)
	h.leaf("caption", t.caption)
	h.start("thead")
	h.start("tr")
	for _, name := range t.head {
		h.leaf("th", name, "scope", "col")
	}
	h.end()
	h.end()
	h.start("tbody")
	for _, row := range t.rows {
		h.start("tr")
		h.start("th", "scope", "row")
		h.item(row[0])
		h.end()
		for _, c := range row[1:] {
			h.start("td")
			h.item(c)
			h.end()
		}
		h.end()
	}
	h.end()
	h.end()
}

// figure writes a drawing with the words that say the same.
func (h *htmlForm) figure(class, words string, draw func()) {
	h.start("figure", "class", class)
	draw()
	h.leaf("figcaption", words)
	h.end()
}
