package report

import (
	_ "embed"
	"io"
	"strconv"

	"deadflat/internal/engine"
	"deadflat/internal/markup"
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
type htmlForm struct{ markup.Writer }

func (h *htmlForm) outline(o *outline) {
	h.Page(o.title+" – "+o.subtitle, style, func() {
		h.Start("header")
		h.Leaf("h1", o.title)
		h.Leaf("p", o.subtitle, "class", "subtitle")
		h.End()
		h.Start("main")
		for i, s := range o.sections {
			h.section(i, s)
		}
		h.End()
	})
}

func (h *htmlForm) section(i int, s section) {
	id := "part" + strconv.Itoa(i+1)
	attrs := []string{"aria-labelledby", id}
	if s.role != ordinary {
		attrs = append(attrs, "class", string(s.role))
	}
	h.Start("section", attrs...)
	h.Leaf("h2", s.title, "id", id)
	for _, p := range s.parts {
		h.part(p)
	}
	h.End()
}

func (h *htmlForm) part(p part) {
	switch p := p.(type) {
	case heading:
		h.Leaf("h"+strconv.Itoa(p.level), p.text)
	case para:
		h.para(p)
	case list:
		h.list(p)
	case facts:
		h.facts(p)
	case table:
		h.table(p)
	case *engine.Picture:
		h.figure("picture", p.Text, func() { h.Picture(p.Type, p.Data, p.Width, p.Height, 560, p.Text) })
	case *scale:
		h.figure("scale", sentences(p.title, p.far()), func() { p.svg(&h.Writer) })
	case *circuit:
		h.figure("circuit", p.words()+" The vehicle's own layout may differ from this outline.", func() { p.svg(&h.Writer) })
	}
}

func (h *htmlForm) para(p para) {
	h.Start("p")
	if p.lead != "" {
		h.Leaf("strong", p.lead)
		h.WriteByte(' ')
	}
	h.Text(p.text)
	h.End()
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
	h.Start("div", "class", class)
	if l.lead != "" {
		h.Start("p", "class", "lead")
		if l.warning {
			h.Leaf("strong", "Caution.")
			h.WriteByte(' ')
		}
		h.Text(l.lead)
		h.End()
	}
	h.Start("ul")
	for _, i := range l.items {
		h.Start("li")
		h.item(i)
		h.End()
	}
	h.End()
	h.End()
}

// item writes a text and, in smaller type under it, its remark.
func (h *htmlForm) item(i item) {
	h.Text(i.text)
	if i.under != "" {
		h.WriteByte(' ')
		h.Leaf("small", i.under)
	}
}

func (h *htmlForm) facts(f facts) {
	h.Start("dl")
	for _, p := range f.pairs {
		h.Start("div")
		h.Leaf("dt", p[0])
		h.Leaf("dd", p[1])
		h.End()
	}
	h.End()
}

func (h *htmlForm) table(t table) {
	class := "columns" + strconv.Itoa(len(t.head))
	if t.small {
		class += " small"
	}
	h.Start("table", "class", class)
	h.Leaf("caption", t.caption)
	h.Start("thead")
	h.Start("tr")
	for _, name := range t.head {
		h.Leaf("th", name, "scope", "col")
	}
	h.End()
	h.End()
	h.Start("tbody")
	for _, row := range t.rows {
		h.Start("tr")
		h.Start("th", "scope", "row")
		h.item(row[0])
		h.End()
		for _, c := range row[1:] {
			h.Start("td")
			h.item(c)
			h.End()
		}
		h.End()
	}
	h.End()
	h.End()
}

// figure writes a drawing with the words that say the same.
func (h *htmlForm) figure(class, words string, draw func()) {
	h.Start("figure", "class", class)
	draw()
	h.Leaf("figcaption", words)
	h.End()
}
