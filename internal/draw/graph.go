package draw

import (
	"bytes"
	"io"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// longestLabel bounds a text in a graph, whose reader may have bounds of its own.
const longestLabel = 160

// label is an author's text as it stands in a graph.
func label(s string) string {
	return text.Shorten(text.Clean(s), longestLabel)
}

var dotEscapes = strings.NewReplacer(`\`, `\\`, `"`, `\"`)

func dotText(s string) string { return `"` + dotEscapes.Replace(label(s)) + `"` }

// dotShapes tells kinds of step apart.
var dotShapes = map[engine.Kind]string{engine.Measure: "ellipse", engine.Retest: "ellipse", engine.Inspect: "box", engine.Crank: "cds",
	engine.Jump: "cds", engine.LoadTest: "parallelogram", engine.Charge: "parallelogram", engine.Wait: "parallelogram",
	engine.Repair: "parallelogram", engine.Decide: "diamond"}

// Dot writes the tree as a graph in the language of Graphviz. The only error is
// w's.
func (p *Plan) Dot(w io.Writer) error {
	var b bytes.Buffer
	b.WriteString("digraph " + dotText(p.tree.Name) + " {\n")
	b.WriteString("label=" + dotText(p.tree.Title) + "; labelloc=t; rankdir=TB; node [fontname=\"Helvetica\", fontsize=10]; edge [fontname=\"Helvetica\", fontsize=9];\n")
	p.nested("subgraph \"cluster_%\" { label=%;\n", dotText, &b, func(s *Step) {
		style := ""
		if len(s.Visits) > 0 {
			style = ", penwidth=3"
		} else if p.cases != nil && s.Cases == 0 {
			style = ", style=dashed"
		}
		b.WriteString("s" + number(s.Number) + " [shape=" + dotShapes[s.Kind] + ", label=" + dotText(number(s.Number)+" "+s.Title) + style + "];\n")
	}, "}\n")
	for _, f := range p.Findings {
		shape := "hexagon"
		if f.Stop {
			shape = "octagon, peripheries=2"
		}
		b.WriteString("f" + number(f.Number) + " [shape=" + shape + ", label=" + dotText("F"+number(f.Number)+" "+f.Title+" ("+text.Spoken(f.Action)+")") + "];\n")
	}
	for _, s := range p.Steps {
		for _, r := range s.Rows {
			style := ""
			if r.Taken {
				style = ", penwidth=3"
			} else if r.Side {
				style = ", style=dashed"
			}
			b.WriteString("s" + number(s.Number) + " -> " + r.node() + " [label=" + dotText(r.When) + style + "];\n")
		}
	}
	b.WriteString("}\n")
	_, err := w.Write(b.Bytes())
	return err
}

// node is the name of where a row leads.
func (r *Row) node() string {
	if r.Step != nil {
		return "s" + number(r.Step.Number)
	}
	return "f" + number(r.Finding.Number)
}

// nested writes the steps with a bracket round every sub-tree. In open, the
// first % is replaced by the number of the bracket, the second by its name.
func (p *Plan) nested(open string, quote func(string) string, b *bytes.Buffer, step func(*Step), end string) {
	in, groups := "", 0
	for _, s := range p.Steps {
		for !strings.HasPrefix(s.Prefix(), in) {
			b.WriteString(end)
			in = parent(in)
		}
		for in != s.Prefix() {
			next := s.Prefix()[:len(in)+strings.IndexByte(s.Prefix()[len(in):], '/')+1]
			groups++
			name := text.Spoken(strings.TrimSuffix(next[len(in):], "/"))
			parts := strings.SplitN(open, "%", 3)
			b.WriteString(parts[0] + number(groups) + parts[1] + quote(name) + parts[2])
			in = next
		}
		step(s)
	}
	for ; in != ""; in = parent(in) {
		b.WriteString(end)
	}
}

var mermaidEscapes = strings.NewReplacer(`"`, "#quot;", "<", "#lt;", ">", "#gt;", "#", "#35;", "&", "#amp;", "`", "#96;", "\\", "#92;", "%", "#37;")

func mermaidText(s string) string { return `"` + mermaidEscapes.Replace(label(s)) + `"` }

// mermaidShapes are the brackets that tell kinds of step apart.
var mermaidShapes = map[engine.Kind][2]string{engine.Measure: {"([", "])"}, engine.Retest: {"([", "])"}, engine.Inspect: {"[", "]"},
	engine.Crank: {">", "]"}, engine.Jump: {">", "]"}, engine.LoadTest: {"[/", "/]"}, engine.Charge: {"[/", "/]"}, engine.Wait: {"[/", "/]"},
	engine.Repair: {"[/", "/]"}, engine.Decide: {"{", "}"}}

// Mermaid writes the tree as a flowchart in the language of Mermaid. The only
// error is w's.
func (p *Plan) Mermaid(w io.Writer) error {
	var b bytes.Buffer
	b.WriteString("flowchart TD\n")
	p.nested("subgraph g%[%]\n", mermaidText, &b, func(s *Step) {
		shape := mermaidShapes[s.Kind]
		b.WriteString("s" + number(s.Number) + shape[0] + mermaidText(number(s.Number)+" "+s.Title) + shape[1] + "\n")
	}, "end\n")
	for _, f := range p.Findings {
		shape := [2]string{"{{", "}}"}
		if f.Stop {
			shape = [2]string{"[[", "]]"}
		}
		b.WriteString("f" + number(f.Number) + shape[0] + mermaidText("F"+number(f.Number)+" "+f.Title+" ("+text.Spoken(f.Action)+")") + shape[1] + "\n")
	}
	for _, s := range p.Steps {
		for _, r := range s.Rows {
			arrow := " -->|"
			if r.Taken {
				arrow = " ==>|"
			} else if r.Side {
				arrow = " -.->|"
			}
			b.WriteString("s" + number(s.Number) + arrow + mermaidText(r.When) + "| " + r.node() + "\n")
		}
	}
	b.WriteString("classDef stop stroke-width:3px\nclassDef way stroke-width:4px\nclassDef bare stroke-dasharray:5 3\n")
	p.classes(&b)
	_, err := w.Write(b.Bytes())
	return err
}

// classes lists which nodes stop the work, were walked, and have no case.
func (p *Plan) classes(b *bytes.Buffer) {
	var stop, way, bare []string
	for _, f := range p.Findings {
		if f.Stop {
			stop = append(stop, "f"+number(f.Number))
		}
		if f.Ends {
			way = append(way, "f"+number(f.Number))
		}
	}
	for _, s := range p.Steps {
		switch {
		case len(s.Visits) > 0:
			way = append(way, "s"+number(s.Number))
		case p.cases != nil && s.Cases == 0:
			bare = append(bare, "s"+number(s.Number))
		}
	}
	for _, c := range []struct {
		name  string
		nodes []string
	}{{"stop", stop}, {"way", way}, {"bare", bare}} {
		if len(c.nodes) > 0 {
			b.WriteString("class " + strings.Join(c.nodes, ",") + " " + c.name + "\n")
		}
	}
}
