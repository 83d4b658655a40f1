package drill

import (
	_ "embed"
	"html/template"
	"io"
)

//go:embed page.html
var pageText string

var page = template.Must(template.New("page").Funcs(template.FuncMap{
	// What the drawing holds comes from the trace alone.
	"drawn": func(t *Trace, slow bool) template.HTML { return template.HTML(t.SVG(slow)) },
}).Parse(pageText))

// HTML writes the drill up as one page that needs nothing else.
func (d *Drill) HTML(w io.Writer) error {
	return page.Execute(w, struct {
		Head     []string
		Sections []Section
	}{d.Head(), d.Sections()})
}
