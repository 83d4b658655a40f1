package source

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"deadflat/internal/text"
)

// MaxBytes is the largest file that is read, in bytes; MaxDepth how deep lists and mappings may nest.
// Both are far beyond what a person writes and keep the cost of a hostile file within bounds.
const (
	MaxBytes = 1 << 20
	MaxDepth = 32
)

// aliasRounds bounds how often a text is parsed again because of an alias without an anchor.
const aliasRounds = 50

// Read parses one document and reports everything about it that a reader of the file would be misled
// by. It gives nil when there is nothing to go on with: the file is too large, no UTF-8, empty, or
// no YAML. Otherwise the file is good for finding further faults, also when some were found already.
func Read(name string, data []byte, faults *Faults) *File {
	if len(data) > MaxBytes {
		faults.Add("too-large", Place{File: name}, 1,
			"the file is larger than %d MB, which is the most that is read: split it", MaxBytes>>20)
		return nil
	}
	f := newFile(name, bytes.TrimPrefix(data, []byte("\uFEFF")))
	faults.Keep(f)
	if !f.checkEncoding(faults) {
		return nil
	}
	f.replaceControlCodes(faults)

	doc, another, err := f.parse(faults)
	switch {
	case err != nil:
		f.addSyntaxFault(err, faults)
		return nil
	case doc == nil || len(doc.Content) == 0 || isNull(doc.Content[0]):
		faults.Add("empty-document", Place{name, 1, 1}, 1, "the file says nothing: it has no keys and values")
		return nil
	}
	f.Root = doc.Content[0]
	if another {
		f.addSecondDocument(faults)
	}
	f.checkTraps(faults)
	return f
}

// checkEncoding reports the first byte that is no UTF-8. One is enough: the whole file was saved in
// another encoding.
func (f *File) checkEncoding(faults *Faults) bool {
	if bytes.HasPrefix(f.Data, []byte{0xff, 0xfe}) || bytes.HasPrefix(f.Data, []byte{0xfe, 0xff}) {
		faults.Add("not-utf8", Place{f.Name, 1, 1}, 1, "the file is UTF-16: save it as UTF-8")
		return false
	}
	if utf8.Valid(f.Data) {
		return true
	}
	at, bad := 0, f.Data
	for r, size := utf8.DecodeRune(bad); r != utf8.RuneError || size != 1; r, size = utf8.DecodeRune(bad) {
		at, bad = at+1, bad[size:]
	}
	faults.Add("not-utf8", f.place(at), 1, "byte %#02x is no UTF-8: save the file as UTF-8", bad[0])
	return false
}

// replaceControlCodes reports each run of characters that cannot be seen but do something, and puts
// U+FFFD in their place, so that the rest of the file is still read.
func (f *File) replaceControlCodes(faults *Faults) {
	for i := 0; i < len(f.runes); i++ {
		from := i
		for i < len(f.runes) && f.isControlCode(i) {
			i++
		}
		if i == from {
			continue
		}
		faults.Add("control-code", f.place(from), i-from,
			"character U+%04X cannot be seen and is not allowed: remove it", f.runes[from])
		for j := from; j < i; j++ {
			f.runes[j] = utf8.RuneError
		}
	}
}

func (f *File) isControlCode(i int) bool {
	r := f.runes[i]
	if r >= ' ' && r <= '~' {
		return false // nearly all there is
	}
	if r == '\r' && i+1 < len(f.runes) && f.runes[i+1] == '\n' {
		return false
	}
	return r != '\n' && r != '\t' && text.Hidden(r)
}

var unknownAnchor = regexp.MustCompile(`unknown anchor '(.*)' referenced`)

// parse gives the first document, and whether another follows. yaml.v3 stops at an alias whose anchor
// it never met, without saying where; so each of these is reported here, written over with a letter,
// and the text is parsed again. The walk over the nodes makes aliases of them again.
func (f *File) parse(faults *Faults) (doc *yaml.Node, another bool, err error) {
	f.unknown = map[int]bool{}
	for range aliasRounds {
		doc, another, err = f.parseText()
		if err == nil {
			return doc, another, nil
		}
		match := unknownAnchor.FindStringSubmatch(err.Error())
		if match == nil {
			return nil, false, err
		}
		at := f.findAlias(match[1])
		if at < 0 {
			return nil, false, err
		}
		f.addAlias(at, match[1], faults)
		f.runes[at] = 'x'
		f.unknown[at] = true
	}
	return nil, false, err
}

// findAlias is the index of the first *name that can be an alias, or -1.
func (f *File) findAlias(name string) int {
	want := []rune("*" + name)
	for i := range f.runes {
		if hasPrefix(f.runes[i:], want) && (i == 0 || strings.ContainsRune(" \t\n[{,:-?", f.runes[i-1])) {
			return i
		}
	}
	return -1
}

func hasPrefix(text, prefix []rune) bool {
	return len(text) >= len(prefix) && slices.Equal(text[:len(prefix)], prefix)
}

// parseText guards against yaml.v3's own failures: some malformed texts make it panic.
func (f *File) parseText() (doc *yaml.Node, another bool, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("yaml: %v", p)
		}
	}()
	decoder := yaml.NewDecoder(strings.NewReader(string(f.runes)))
	doc = new(yaml.Node)
	if err := decoder.Decode(doc); err != nil {
		if errors.Is(err, io.EOF) {
			return nil, false, nil
		}
		return nil, false, err
	}
	switch err := decoder.Decode(new(yaml.Node)); {
	case errors.Is(err, io.EOF):
		return doc, false, nil
	case err == nil, f.separator(doc.Content[0].Line) > 0:
		return doc, true, nil // whatever is wrong in it, it should not be there
	default:
		return nil, false, err
	}
}

// separator is the first line behind the given one that starts another document, 0 for none.
func (f *File) separator(line int) int {
	for line++; line <= len(f.starts); line++ {
		if isSeparator(f.runes[f.starts[line-1]:f.lineEnd(line)]) {
			return line
		}
	}
	return 0
}

// isSeparator tells whether a line is the mark between two documents.
func isSeparator(line []rune) bool {
	return hasPrefix(line, []rune("---")) && (len(line) == 3 || isBlank(line[3]) || line[3] == '\r')
}

func (f *File) addSecondDocument(faults *Faults) {
	place := f.place(len(f.runes))
	if line := f.separator(f.Root.Line); line > 0 {
		place = Place{f.Name, line, 1}
	}
	faults.Add("second-document", place, 3,
		`a second document starts here, but a file holds one: put it in a file of its own, or remove the "---"`)
}
