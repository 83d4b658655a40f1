package source

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"

	"deadflat/internal/text"
)

// FuzzRead feeds any bytes. Nothing may panic, every place must lie inside the text, the scan of every
// scalar must come to the very value that yaml.v3 read, and nothing printed may hold a control code.
func FuzzRead(f *testing.F) {
	for _, seed := range []string{
		"tree: x\nsteps: {a: {if: 'b < c', to: d}}\n",
		"a: &x 1\nb: *x\nc: *zz\n<<: {d: !foo e}\nc: 3\nn: .nan\nv:\nl: [a, ~, ]\n",
		"a: |2-\n   x\n  y\n\nb: >+\n\n  one\n  two\n\n   three\n\nc: \"d\\x41\\\n  e\n\n  f\"\n",
		"a: b\n---\nc: d\n",
		"\ta: b\n",
		"a: 'it''s\n  so'\r\nb: plain\r\n  on\r\n\r\n  more # not\r\n",
		"\xef\xbb\xbfa: \"\\e[31m\"\n",
		"a: \x1b[31m\nb: \u202e\n",
		"a: \xff\n",
		"a: {b: [c, 'd''e', \"f\\\"\"], g: h i\n  j, k: l} # m\n",
		"- - a\n  - b: |2\n      c\n\n    d: >-\n      e\n-f\n",
		"? a\n: b\n{c}: d\n%e\n",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var faults Faults
		file := Read("a.yaml", data, &faults)
		requirePlacesInside(t, data, &faults)
		requireSafePrint(t, &faults)
		scanned := newFile("a.yaml", data)
		if s := (&lineScanner{File: scanned}).read(); s != nil {
			require.LessOrEqual(t, s.at+s.width, len(scanned.runes)+1)
			require.GreaterOrEqual(t, s.at, 0)
		}
		if file == nil {
			require.False(t, faults.Empty(), "nothing was read, and nothing said why")
			return
		}
		readAll(Reader{file, &faults}, file.Root)
		requirePlacesInside(t, data, &faults)
		everyScalar(file.Root, func(n *yaml.Node) {
			require.Equal(t, n.Value, strings.Map(disarm, string(file.scan(n).value)), "scalar at %v", file.At(n))
		})
	})
}

func everyScalar(n *yaml.Node, do func(*yaml.Node)) {
	if n.Kind == yaml.ScalarNode {
		do(n)
	}
	for _, child := range n.Content {
		everyScalar(child, do)
	}
}

// readAll asks for every node as everything.
func readAll(r Reader, n *yaml.Node) {
	r.Text(n)
	r.Texts(n)
	r.Number(n)
	r.Int(n)
	r.Bool(n)
	m := r.Map(n)
	m.Has("title")
	m.Done()
	for _, child := range n.Content {
		readAll(r, child)
	}
}

func requirePlacesInside(t require.TestingT, data []byte, faults *Faults) {
	lines := strings.Split(string([]rune(strings.TrimPrefix(string(data), "\ufeff"))), "\n")
	inside := func(p Place) bool {
		return p.Line == 0 && p.Col == 0 ||
			p.Line >= 1 && p.Line <= len(lines) && p.Col >= 1 && p.Col <= len([]rune(lines[p.Line-1]))+1
	}
	for _, fault := range faults.Sorted() {
		require.Truef(t, inside(fault.Place), "%v lies outside: %s", fault.Place, fault.Message)
		require.GreaterOrEqual(t, fault.Width, 1)
		for _, note := range fault.Notes {
			require.Truef(t, inside(note.Place), "%v lies outside: %s", note.Place, note.Message)
		}
	}
}

func requireSafePrint(t require.TestingT, faults *Faults) {
	var b strings.Builder
	faults.Print(&b)
	for _, r := range b.String() {
		require.Truef(t, r == '\n' || r == '\t' || !text.Hidden(r), "%q in the output", r)
	}
}
