package draw

import (
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
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
	s.page(p.tree.Title, pageStyle+style, func() { s.drawing(fixed(s.width), fixed(s.height), "") })
	_, err := w.Write(s.Bytes())
	return err
}

// page writes a page round a body.
func (m *markup) page(title, style string, body func()) {
	sum := sha256.Sum256([]byte(style))
	policy := "default-src 'none'; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'; base-uri 'none'; form-action 'none'"
	m.WriteString("<!DOCTYPE html>\n")
	m.start("html", "xmlns", "http://www.w3.org/1999/xhtml", "lang", "en-GB")
	m.start("head")
	m.void("meta", "charset", "utf-8")
	m.WriteString(`<meta http-equiv="Content-Security-Policy" content="` + policy + "\"/>\n")
	m.void("meta", "name", "viewport", "content", "width=device-width, initial-scale=1")
	m.leaf("title", title)
	m.WriteString("<style>" + style + "</style>\n")
	m.end()
	m.start("body")
	body()
	m.end()
	m.end()
}
