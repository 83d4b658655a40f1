package draw

import (
	"bytes"
	"fmt"
	"io"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// hostile is a tree whose every text tries to be more than text.
func hostile(t *testing.T, evil string) *engine.Tree {
	q := fmt.Sprintf("%q", evil)
	text := `tree: evil
title: ` + q + `
summary: ` + q + `
edition: 1
begin: s
readings: {r: {ask: ` + q + `, short: r, choices: [` + q + `, b]}}
steps: {s: {kind: inspect, title: ` + q + `, do: ` + q + `, cautions: [` + q + `], take: [r], by: r, cases: {` + q + `: f, b: g}}}
findings: {f: {title: ` + q + `, action: ` + q + `, remedy: ` + q + `}, g: {title: g, action: g, stop: true}}
`
	return load(t, engine.Source{Name: "evil.yaml", Data: []byte(text)}).Tree("evil")
}

var evils = []string{
	`<script>alert(1)</script>`, `"><script src=x>`, `</style><script>x</script>`, `]]><!--`, `--> end`, `"]; evil [label="`, `\"];x`, `\`, "\\N\\G",
	"`\"#quot;|]]", `|"]--> x`, `%%init%%`, "click s1 \"javascript:x\"", `&lt;b&gt;`, strings.Repeat("x", 1000), strings.Repeat("wide 漢字 ", 60), "é\u200dü",
}

func TestHostileTexts(t *testing.T) {
	for _, evil := range evils {
		tree := hostile(t, evil)
		p := New(tree, Options{})
		for _, form := range []string{"svg", "html", "sheet"} {
			text := written(t, p, form)
			wellFormed(t, text)
			assert.NotContains(t, text, "<script")
		}
		dot, mermaid := written(t, p, "dot"), written(t, p, "mermaid")
		assert.Less(t, len(dot)+len(mermaid), 20000)
		same := New(hostile(t, "a"), Options{})
		assert.Equal(t, strings.Count(written(t, same, "dot"), "\n"), strings.Count(dot, "\n"), "a text begins no line: %q", evil)
		assert.Equal(t, strings.Count(written(t, same, "mermaid"), "\n"), strings.Count(mermaid, "\n"))
		assert.NotContains(t, mermaid, "%%", "a text begins no remark")
		for _, line := range strings.Split(mermaid, "\n") {
			assert.Contains(t, []int{0, 2}, strings.Count(line, `"`), "a text ends no quote: %s", line)
		}
		readsAsDot(t, dot, 3, 2)
		pic := p.picture()
		for _, c := range pic.cards {
			assertFits(t, c)
		}
	}
}

// readsAsDot gives a graph to Graphviz where that is there, and counts what it
// has understood. Source: Graphviz (Debian package graphviz).
func readsAsDot(t *testing.T, dot string, nodes, edges int) {
	path, err := exec.LookPath("dot")
	if err != nil {
		t.Log("dot is not there: the graph was not given to it")
		return
	}
	c := exec.Command(path, "-Tplain")
	c.Stdin = strings.NewReader(dot)
	var out, errs bytes.Buffer
	c.Stdout, c.Stderr = &out, &errs
	require.NoError(t, c.Run(), "%s\n%s", errs.String(), dot)
	plain := "\n" + out.String()
	assert.Equal(t, nodes, strings.Count(plain, "\nnode "), dot)
	assert.Equal(t, edges, strings.Count(plain, "\nedge "), dot)
}

// A step with a thousand ways and a tree of thousands of steps are drawn within
// bounds.
func TestHugeTrees(t *testing.T) {
	var b strings.Builder
	b.WriteString("tree: huge\ntitle: huge\nedition: 1\nbegin: s0\nreadings: {r: {ask: r, short: r, choices: [a, b, c]}}\nsteps:\n")
	const steps = 4000
	for i := range steps {
		fmt.Fprintf(&b, "  s%d: {kind: inspect, title: step %d, take: [r], by: r, cases: {a: %s, b: %s, c: f%d}}\n", i, i, target(i+1, steps), target(i*2+1, steps), i%50)
	}
	b.WriteString("findings:\n")
	for i := range 50 {
		fmt.Fprintf(&b, "  f%d: {title: f%d, action: a}\n", i, i)
	}
	tree := load(t, engine.Source{Name: "huge.yaml", Data: []byte(b.String())}).Tree("huge")
	p := New(tree, Options{})
	for form := range forms {
		assert.Less(t, len(written(t, p, form)), 30_000_000, form)
	}

	b.Reset()
	b.WriteString("tree: wide\ntitle: wide\nedition: 1\nbegin: s\nreadings: {r: {ask: r, short: r, unit: V, span: [0, 10]}}\nlimits:\n")
	for i := range 1500 {
		fmt.Fprintf(&b, "  l%d: {is: %d.%03d V, source: from memory}\n", i, i/1000, i%1000)
	}
	b.WriteString("steps:\n  s:\n    kind: measure\n    title: wide\n    take: [r]\n    by: r\n    bands:\n")
	for i := range 1500 {
		fmt.Fprintf(&b, "      - {below: limits.l%d, to: f}\n", i)
	}
	b.WriteString("      - {to: f}\nfindings: {f: {title: f, action: f}}\n")
	wide := load(t, engine.Source{Name: "wide.yaml", Data: []byte(b.String())}).Tree("wide")
	svg := written(t, New(wide, Options{}), "svg")
	assert.Contains(t, svg, "and 1461 more ways")
	assert.Less(t, len(svg), 100_000)
}

func target(i, steps int) string {
	if i >= steps {
		return "f0"
	}
	return fmt.Sprintf("s%d", i)
}

func TestWrap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.String().Draw(t, "text")
		room := rapid.Float64Range(20, 300).Draw(t, "room")
		most := rapid.IntRange(1, 5).Draw(t, "most")
		lines := bodyFont.wrap(s, room, most)
		if len(lines) == 0 || len(lines) > most {
			t.Fatalf("%d lines", len(lines))
		}
		for _, l := range lines {
			if bodyFont.width(l) > room {
				t.Fatalf("%q is wider than %v", l, room)
			}
		}
		if whole := strings.Join(lines, ""); len(lines) < most && strings.ReplaceAll(whole, " ", "") != strings.ReplaceAll(strings.Join(strings.Fields(text.Clean(s)), ""), " ", "") {
			t.Fatalf("%q lost something of %q", whole, s)
		}
	})
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, io.ErrShortWrite }

func TestWriteErrorsAreTold(t *testing.T) {
	p := New(small(t), Options{})
	for form, write := range forms {
		assert.ErrorIs(t, write(p, full{}), io.ErrShortWrite, form)
	}
}
