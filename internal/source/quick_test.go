package source

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"
	"pgregory.net/rapid"
)

// likeYAML holds the quick reader to yaml.v3 and reports whether it read the text.
func likeYAML(t require.TestingT, text string) bool {
	quick := quickRoot(text)
	if quick == nil {
		return false
	}
	doc, another, err := parseText([]byte(text))
	require.NoError(t, err)
	require.False(t, another)
	require.Equal(t, nodes(doc.Content[0], nil), nodes(quick, nil))
	return true
}

// nodes lists a node and all below it, without their comments.
func nodes(n *yaml.Node, out []yaml.Node) []yaml.Node {
	c := *n
	c.Content, c.HeadComment, c.LineComment, c.FootComment = make([]*yaml.Node, len(n.Content)), "", "", ""
	out = append(out, c)
	for _, k := range n.Content {
		out = nodes(k, out)
	}
	return out
}

// quickSeeds are texts that the quick reader takes, and texts on which it must give up.
var quickSeeds = []string{
	"a: b\n",
	"# c\n\na b : \"c d\" # e\nf:\n  g: 'it''s'\n  'h' : -1.5\n",
	"a:\n- b: c\n  d: e\n- f\ng:\n  - [h, -2 V, \"i\"]\n  - {j: k, l: [], m: {}}\n",
	"a: >-\n  b c\n  d\n\n  e\nf: |\n  g\n    h\n\n  i\n# j\nk: l\n",
	"a: [b,\n    c,\n    d]\ne: 5°C: x\n",
	"a: 20 °C\nb: {c: °, d: [µ, 3]}\n",
	"yes: no\nn: ~\no: 0o7\np: 1e3\nq: 2001-01-01\nr: .5\ns: =\nt: <<\n",
	"a:\n  b: c\n d: e\n",
	"a: b\n  c\n",
	"a: |\n\n  b\n",
	"a: >\n  b\n   c\n  d\n",
	"a: 'b\n  c'\n",
	"a: {b: c: d}\n",
	"a: {b, c}\n",
	"a: [b: c]\n",
	"a: [b, ]\n",
	"a: b #c\nd: e#f\ng: \"h\"#i\n",
	"a: &b c\nd: *b\n",
	"a: - b\n",
	"a:\nb: c\n",
	"a: b: c\n",
	"---\na: b\n",
	"a: b\n---\nc: d\n",
	"a: |-\n  b",
	"a: |\n  b",
	"a:\n    - b\n   - c\n",
	"- a\n- b\n",
	"a: {\n  b: c\n}\n",
	"a: [b\n  , c]\n",
	"a: \"b\" c\n",
	"a: [b]: c\n",
	"a: {b: c}d\n",
	"a:\n  - b\n  c: d\n",
	"a : b\n? c\n: d\n",
	"a:\n  {b: c}\nd:\n  [e]: f\n",
}

func FuzzQuick(f *testing.F) {
	for _, seed := range quickSeeds {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		file := newFile("a.yaml", []byte(text))
		if file.checkEncoding(&Faults{}) {
			file.replaceControlCodes(&Faults{})
			likeYAML(t, string(file.runes))
		}
	})
}

// TestTheShippedTreesAreReadQuickly: a form that the quick reader does not know makes loading slow.
func TestTheShippedTreesAreReadQuickly(t *testing.T) {
	files, err := filepath.Glob("../../trees/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, name := range files {
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		require.True(t, likeYAML(t, string(data)), name)
	}
}

// TestATreeWithSlipsIsReadAlike edits pieces of the shipped trees as a slip of the hand does.
func TestATreeWithSlipsIsReadAlike(t *testing.T) {
	var lines []string
	for _, name := range []string{"no-start", "common", "charger", "recharge.cases"} {
		data, err := os.ReadFile("../../trees/" + name + ".yaml")
		require.NoError(t, err)
		lines = append(lines, strings.SplitAfter(string(data), "\n")...)
	}
	taken := 0
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.IntRange(0, len(lines)-1).Draw(t, "from")
		piece := lines[from:min(from+rapid.IntRange(1, 12).Draw(t, "lines"), len(lines))]
		indent := len(piece[0]) - len(strings.TrimLeft(piece[0], " "))
		var b strings.Builder
		for _, l := range piece {
			b.WriteString(strings.TrimPrefix(l, strings.Repeat(" ", indent)))
		}
		text := b.String()
		for range rapid.IntRange(0, 3).Draw(t, "slips") {
			at := rapid.IntRange(0, len(text)).Draw(t, "at")
			gone := min(rapid.IntRange(0, 2).Draw(t, "gone"), len(text)-at)
			put := rapid.SampledFrom([]string{"", " ", "  ", ":", ": ", "-", "- ", "#", " #", "'", `"`, "[", "]", "{", "}", ",", "|", ">", "\n", "\n\n", "\n  ", "x"}).Draw(t, "put")
			text = text[:at] + put + text[at+gone:]
		}
		if strings.ToValidUTF8(text, "") == text && likeYAML(t, text) {
			taken++
		}
	})
	require.Positive(t, taken)
}
