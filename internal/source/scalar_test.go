package source

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"
	"pgregory.net/rapid"
)

// marker is planted into texts; nothing else in a test file holds it.
const marker = '§'

// styles draws the raw text of a scalar in one style, with one marker in it (or its escape), at home
// at the given indentation.
var styles = map[string]func(t *rapid.T, indent string) string{
	"plain": func(t *rapid.T, indent string) string {
		return strings.TrimSpace("a" + lines(t, rapid.SampledFrom([]string{"b", "ä", "電", "'", `"`, "\\", "#x", ":y", "--", "&", " ", "  ", "\t"}), indent))
	},
	"single": func(t *rapid.T, indent string) string {
		return "'" + lines(t, rapid.SampledFrom([]string{"b", "ä", "''", "''''", `"`, "\\", " # ", ": ", ", ", "}", " ", "\t"}), indent) + "'"
	},
	"double": func(t *rapid.T, indent string) string {
		return `"` + lines(t, rapid.SampledFrom([]string{"b", "ä", "'", `\"`, `\\`, `\x41`, `\u00e4`, `\U00000041`, `\n`, `\t`, `\ `, `\/`, " # ", ": ", "]", " ", "\\\n" + indent + "  "}), indent) + `"`
	},
	"literal": func(t *rapid.T, indent string) string { return block(t, "|", indent) },
	"folded":  func(t *rapid.T, indent string) string { return block(t, ">", indent) },
}

// lines draws pieces, line breaks and empty lines with the marker among them. Lines that go on are
// indented deeper than home, and none begins with what YAML would take for something else.
func lines(t *rapid.T, piece *rapid.Generator[string], indent string) string {
	var b strings.Builder
	write := func(name string) {
		for _, p := range rapid.SliceOfN(piece, 0, 6).Draw(t, name) {
			b.WriteString(p)
			if rapid.IntRange(0, 4).Draw(t, "break") == 0 {
				b.WriteString(rapid.SampledFrom([]string{"", " ", "  "}).Draw(t, "before"))
				b.WriteString(strings.Repeat("\n", rapid.IntRange(1, 3).Draw(t, "breaks")))
				b.WriteString(indent + rapid.SampledFrom([]string{"  c", "    c", "  \tc"}).Draw(t, "after"))
			}
		}
	}
	write("left")
	b.WriteRune(marker)
	write("right")
	return b.String()
}

// block draws a block text: header, comment, indentation, empty and over-indented lines.
func block(t *rapid.T, header, indent string) string {
	depth := rapid.IntRange(1, 4).Draw(t, "depth")
	digit := rapid.Bool().Draw(t, "digit")
	if digit {
		header += fmt.Sprint(depth)
	}
	header += rapid.SampledFrom([]string{"", "-", "+"}).Draw(t, "chomping")
	header += rapid.SampledFrom([]string{"", "  ", " # - + 3"}).Draw(t, "behind")
	line := rapid.SampledFrom([]string{"b", "b ä", "", "", "# c", "- d: e", "  f", " \tg", "h "})
	first := rapid.SampledFrom([]string{"", "b", "é c"})
	if digit {
		first = line
	}
	body := append(rapid.SliceOfN(first, 0, 2).Draw(t, "first"), string(marker)+"x")
	body = append(body, rapid.SliceOfN(line, 0, 5).Draw(t, "rest")...)
	at := rapid.IntRange(0, len(body)-1).Draw(t, "marked line")
	for i, text := range body { // the marker goes into any line, into the middle of it
		body[i] = strings.TrimPrefix(text, string(marker))
		if i == at {
			runes := []rune(body[i])
			middle := len(runes) / 2
			body[i] = string(runes[:middle]) + string(marker) + string(runes[middle:])
		}
		if body[i] != "" {
			body[i] = indent + strings.Repeat(" ", depth) + body[i]
		}
	}
	return header + "\n" + strings.Join(body, "\n") + strings.Repeat("\n", rapid.IntRange(0, 3).Draw(t, "closing"))
}

// homes are where a scalar may stand: %s takes its raw text. The indentation is that of its parent.
var homes = []struct {
	name, indent, text string
	inLine             bool // no block texts here
}{
	{"value", "", "a: b\nkey: %s\nlast: c\n", false},
	{"deep value", "    ", "a:\n  - b:\n    key: %s\n    last: c\n", false},
	{"below its key", "", "key:\n    %s\nlast: c\n", true},
	{"list entry", "", "- a\n- %s\n- b\n", false},
	{"in a list under its key", "  ", "ä: \n  - %s\nlast: b\n", false},
	{"in braces", "", "a: {b: c, key: %s, last: d}\n", true},
	{"in brackets", "", "a: [b, %s, c]\n", true},
	{"last", "", "key: %s", false},
	{"with a comment", "", "key: %s # comment\nlast: c\n", true},
}

func TestIn(t *testing.T) {
	for style, draw := range styles {
		for _, home := range homes {
			if home.inLine && (style == "literal" || style == "folded") {
				continue
			}
			t.Run(style+" "+home.name, func(t *testing.T) {
				read := 0
				rapid.Check(t, func(t *rapid.T) {
					text := fmt.Sprintf(home.text, draw(t, home.indent))
					if rapid.Bool().Draw(t, "windows") {
						text = strings.ReplaceAll(text, "\n", "\r\n")
					}
					if checkMarker(t, text) {
						read++
					}
				})
				require.Greater(t, read, 20, "too few of the texts were YAML")
			})
		}
	}
}

// checkMarker compares where the marker stands in the text with what In says. It gives false for a text
// that yaml.v3 does not take, or in which the marker became part of no value.
func checkMarker(t *rapid.T, text string) bool {
	var doc yaml.Node
	if yaml.Unmarshal([]byte(text), &doc) != nil {
		return false
	}
	file := newFile("a.yaml", []byte(text))
	before, _, _ := strings.Cut(text, string(marker))
	want := Place{"a.yaml", strings.Count(before, "\n") + 1, len([]rune(before[strings.LastIndex(before, "\n")+1:])) + 1}
	found := false
	everyScalar(&doc, func(n *yaml.Node) {
		assert.Equalf(t, n.Value, string(file.scan(n).value), "in %q", text)
		if k := strings.IndexRune(n.Value, marker); k >= 0 {
			found = true
			k = len([]rune(n.Value[:k]))
			assert.Equalf(t, want, file.In(n, k), "in %q", text)
			place, width := file.Span(n, k, k+1)
			assert.Equal(t, want, place)
			assert.Equal(t, 1, width)
		}
	})
	return found
}

// What In says of the spots that are no character of the file: folds, escapes, and the end.
func TestInBetween(t *testing.T) {
	tests := []struct {
		name, text string
		k          int
		want       Place
	}{
		{"end of plain", "k: abc # c", 3, Place{"", 1, 7}},
		{"end of single", "k: 'abc'", 3, Place{"", 1, 8}},
		{"end of empty", "k: ''", 0, Place{"", 1, 5}},
		{"beyond the end", "k: abc", 99, Place{"", 1, 7}},
		{"below nought", "k: abc", -1, Place{"", 1, 4}},
		{"escape", `k: "a\x41b"`, 1, Place{"", 1, 6}},
		{"behind an escape", `k: "a\x41b"`, 2, Place{"", 1, 10}},
		{"doubled quote", "k: 'a''b'", 1, Place{"", 1, 6}},
		{"behind a doubled quote", "k: 'a''b'", 2, Place{"", 1, 8}},
		{"fold", "k: ab  \n  cd", 2, Place{"", 1, 6}},
		{"behind a fold", "k: ab  \n  cd", 3, Place{"", 2, 3}},
		{"empty line", "k: ab\n\n\n  cd", 3, Place{"", 3, 1}},
		{"end of literal", "k: |\n  ab\n", 3, Place{"", 3, 1}},
		{"end of stripped literal", "k: |-\n  ab\n", 2, Place{"", 2, 5}},
		{"joined by a backslash", "k: \"ab\\\n  cd\"", 2, Place{"", 2, 3}},
		{"behind a tag", "k: !!str 'ab'", 1, Place{"", 1, 12}},
		{"behind an anchor", "k: &x ab", 1, Place{"", 1, 8}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var doc yaml.Node
			require.NoError(t, yaml.Unmarshal([]byte(tt.text), &doc))
			file := newFile("", []byte(tt.text))
			assert.Equal(t, tt.want, file.In(doc.Content[0].Content[1], tt.k))
		})
	}
}

// A span that runs over a line break is underlined up to the end of its first line.
func TestSpan(t *testing.T) {
	const text = "k: >\n  ab cd\n  ef\n"
	var doc yaml.Node
	require.NoError(t, yaml.Unmarshal([]byte(text), &doc))
	file := newFile("", []byte(text))
	place, width := file.Span(doc.Content[0].Content[1], 3, 8)
	assert.Equal(t, Place{"", 2, 6}, place)
	assert.Equal(t, 2, width)
	place, width = file.Span(doc.Content[0].Content[1], 6, 6)
	assert.Equal(t, Place{"", 3, 3}, place)
	assert.Equal(t, 1, width)
}

// What is no scalar has only its start, and no node stands for the start of the file.
func TestNoScalar(t *testing.T) {
	const text = "a: [b]\n"
	var doc yaml.Node
	require.NoError(t, yaml.Unmarshal([]byte(text), &doc))
	file := newFile("", []byte(text))
	list := doc.Content[0].Content[1]
	assert.Equal(t, Place{"", 1, 4}, file.In(list, 2))
	place, width := file.Span(list, 0, 2)
	assert.Equal(t, Place{"", 1, 4}, place)
	assert.Equal(t, 1, width)
	assert.Equal(t, Place{"", 1, 1}, file.At(nil))
	assert.Equal(t, 1, file.Width(nil))
	assert.Equal(t, Place{"", 2, 1}, file.At(&yaml.Node{Line: 9, Column: 9}))
	assert.Equal(t, Place{"", 1, 7}, file.At(&yaml.Node{Line: 1, Column: 99}))
}
