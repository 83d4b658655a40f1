package draw

import (
	_ "embed"
	"io"
)

// pageStyle fits the picture to a screen, and to one sheet of A3 on paper.
//
//go:embed page.css
var pageStyle string

// HTML writes a page that holds the picture and needs nothing else: no script,
// and a policy in its head that forbids whatever does not stand in it. The only
// error is w's.
func (p *Plan) HTML(w io.Writer) error {
	s := &svg{picture: p.picture()}
	s.Page(p.tree.Title, pageStyle+style, func() { s.drawing(fixed(s.width), fixed(s.height), "") })
	_, err := w.Write(s.Bytes())
	return err
}
