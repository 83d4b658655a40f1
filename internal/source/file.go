package source

import (
	"slices"

	"gopkg.in/yaml.v3"
)

// File is one YAML document together with its text.
type File struct {
	Name string
	Data []byte     // the text, without a byte order mark
	Root *yaml.Node // the value of the document, usually a mapping

	runes  []rune // the text as it was parsed: control codes replaced one for one
	starts []int  // where in runes each line starts

	unknown map[int]bool // where in runes aliases without an anchor stood
}

// newFile indexes a text. Bytes that are no UTF-8 become U+FFFD in runes.
func newFile(name string, data []byte) *File {
	f := &File{Name: name, Data: data, runes: []rune(string(data)), starts: []int{0}}
	for i, r := range f.runes {
		if r == '\n' {
			f.starts = append(f.starts, i+1)
		}
	}
	return f
}

// At is the place where a node starts: the quote of a quoted text, the bar of a block text, the first
// key of a block mapping. No node, the start of the file.
func (f *File) At(n *yaml.Node) Place {
	return f.place(f.start(n))
}

// Width is how many runes to underline for a node: the text of a scalar as far as it stands on its
// first line, and 1 for everything else.
func (f *File) Width(n *yaml.Node) int {
	if n == nil || (n.Kind != yaml.ScalarNode && n.Kind != yaml.AliasNode) {
		return 1
	}
	from := f.start(n)
	text := f.runes[from:max(from, min(f.end(n), len(f.runes)))]
	if i := slices.IndexFunc(text, isBreak); i >= 0 {
		text = text[:i]
	}
	return max(len(text), 1)
}

func isBreak(r rune) bool { return r == '\n' || r == '\r' }
func isBlank(r rune) bool { return r == ' ' || r == '\t' }

// place turns an index into runes into a place.
func (f *File) place(i int) Place {
	i = min(max(i, 0), len(f.runes))
	line, starts := slices.BinarySearch(f.starts, i)
	if starts {
		line++
	}
	return Place{File: f.Name, Line: line, Col: i - f.starts[line-1] + 1}
}

// start is the index of a node's first rune. Places outside the text (yaml.v3 gives some for values
// left out) are moved to the nearest one inside.
func (f *File) start(n *yaml.Node) int {
	if n == nil || n.Line < 1 || n.Column < 1 {
		return 0
	}
	if n.Line > len(f.starts) {
		return len(f.runes)
	}
	return min(f.starts[n.Line-1]+n.Column-1, f.lineEnd(n.Line))
}

// lineEnd is the index of the break that ends a line, or of the end of the text.
func (f *File) lineEnd(line int) int {
	end := len(f.runes)
	if line < len(f.starts) {
		end = f.starts[line] - 1
	}
	if end > f.starts[line-1] && f.runes[end-1] == '\r' {
		end--
	}
	return end
}
