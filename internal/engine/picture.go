package engine

import (
	"bytes"
	"image"
	_ "image/jpeg" // the two kinds of picture that are read
	_ "image/png"
	"path/filepath"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"
)

// Picture is a picture beside a step.
type Picture struct {
	File string // its name, in the folder of the tree's file
	Text string // what it shows, where it cannot be shown
	Type string // "image/png" or "image/jpeg"
	Data []byte

	Width, Height int // pixels
}

// What pictures may be: they go along in every job, and in every report of their tree.
const (
	maxPicture  = 500_000    // bytes of one
	maxPictures = 10_000_000 // and of all that are loaded together
	maxPixels   = 4_000_000
)

// IsPicture reports whether a file name is that of a picture.
func IsPicture(name string) bool {
	return slices.Contains([]string{".png", ".jpg", ".jpeg"}, strings.ToLower(filepath.Ext(name)))
}

// picture reads `picture` of a step.
func (b *builder) picture(c *context, n *yaml.Node) *Picture {
	d := c.doc
	m := d.r.Map(n)
	if m == nil {
		return nil
	}
	p := &Picture{File: d.r.Text(m.Get("file")), Text: b.filled(d, m.Get("text"), c.prefix)}
	m.Done()
	at := m.Get("file")
	switch {
	case p.File == "" && at != nil || p.Text == "" && m.Has("text"):
		return nil // told already
	case p.File == "" || p.Text == "":
		d.r.Fault("missing-key", n, "a picture needs `file`, and `text` that says what it shows where it cannot be shown")
		return nil
	case filepath.Base(p.File) != p.File || strings.ContainsAny(p.File, `/\`) || !IsPicture(p.File):
		d.r.Fault("bad-picture", at, "%q is no name of a PNG or JPEG file in the folder of this file (.png, .jpg, .jpeg)", p.File)
		return nil
	}
	name := filepath.Join(filepath.Dir(d.r.File.Name), p.File)
	i := slices.IndexFunc(b.lib.sources, func(s Source) bool { return filepath.Clean(s.Name) == name })
	if i < 0 {
		d.r.Fault("bad-picture", at, "there is no file %q in the folder of this file, or it cannot be read", p.File)
		return nil
	}
	all := 0
	for _, s := range b.lib.sources {
		if IsPicture(s.Name) {
			all += len(s.Data)
		}
	}
	var why string
	switch p.Data = b.lib.sources[i].Data; {
	case len(p.Data) > maxPicture:
		why = "has more than 500 kB; save it smaller"
	case all > maxPictures:
		why = "and the other pictures have more than 10 MB together; save them smaller"
	default:
		why = p.decode()
	}
	if why != "" {
		d.r.Fault("bad-picture", at, "%q %s", p.File, why)
		return nil
	}
	b.pictures = append(b.pictures, p)
	return p
}

// decode reads the picture to its end and notes what it is, or says why it cannot be taken.
func (p *Picture) decode() (why string) {
	c, kind, err := image.DecodeConfig(bytes.NewReader(p.Data))
	switch {
	case err != nil:
		return "is neither a PNG nor a JPEG picture"
	case c.Width < 1 || c.Height < 1 || c.Width > maxPixels/c.Height:
		return "has more than 4 million pixels; save it smaller"
	}
	if _, _, err := image.Decode(bytes.NewReader(p.Data)); err != nil {
		return "is a picture that is damaged or cut off"
	}
	p.Type, p.Width, p.Height = "image/"+kind, c.Width, c.Height
	return ""
}
