package markup

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
)

// Page writes a whole page round a body. It needs nothing else: a policy in its head lets
// nothing be loaded or run, and only the style that stands here, known by its hash, be used,
// and pictures that stand in the page itself, where it has some.
func (w *Writer) Page(title, style string, body func()) {
	sum := sha256.Sum256([]byte(style))
	policy := "default-src 'none'; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'; base-uri 'none'; form-action 'none'"
	w.WriteString("<!DOCTYPE html>\n")
	w.Start("html", "xmlns", "http://www.w3.org/1999/xhtml", "lang", "en-GB", "xml:lang", "en-GB")
	w.Start("head")
	w.Void("meta", "charset", "utf-8")
	w.WriteString(`<meta http-equiv="Content-Security-Policy" content="` + policy + "\"/>\n")
	w.Void("meta", "name", "viewport", "content", "width=device-width, initial-scale=1")
	w.Void("meta", "name", "referrer", "content", "no-referrer")
	w.Leaf("title", title)
	w.WriteString("<style>" + style + "</style>\n")
	w.End()
	w.Start("body")
	body()
	w.End()
	w.End()
	if w.pictures {
		page := bytes.Replace(w.Bytes(), []byte(policy), []byte(policy+"; img-src data:"), 1)
		w.Reset()
		w.Write(page)
	}
}
