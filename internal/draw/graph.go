package draw

import (
	"io"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// longestLabel bounds a text in a graph, whose reader may have bounds of its own.
const longestLabel = 160

// shape is how a node looks in either language; in Mermaid's it is the brackets
// round the label.
type shape struct{ dot, open, shut string }

var (
	finds = shape{"hexagon", "{{", "}}"}
	stops = shape{"octagon, peripheries=2", "[[", "]]"}
	turns = shape{"cds", ">", "]"}
	works = shape{"parallelogram", "[/", "/]"}
	reads = shape{"ellipse", "([", "])"}
	notes = shape{"note", "[/", "\\]"}
	// shapes tell kinds of step apart.
	shapes = map[engine.Kind]shape{engine.Measure: reads, engine.Retest: reads, engine.Inspect: {"box", "[", "]"}, engine.Crank: turns, engine.Jump: turns,
		engine.LoadTest: works, engine.Charge: works, engine.Wait: works, engine.Repair: works, engine.Decide: {"diamond", "{", "}"}}
)

// language is how a graph is written. Labels come to its functions quoted.
type language struct {
	escapes *strings.Replacer
	group   [3]string // before, between and behind the number and the label of a sub-tree
	end     string    // of a sub-tree
	node    func(s shape, label string, walked, bare bool) string
	edge    func(r *Row, label string) string
}

func (l *language) label(s string) string {
	return `"` + l.escapes.Replace(text.Shorten(text.Clean(s), longestLabel)) + `"`
}

// graph is the steps with a bracket round every sub-tree, the findings, what limits come
// to, and the ways.
func (p *Plan) graph(l *language) string {
	var b strings.Builder
	in, groups := "", 0
	for i, s := range p.Steps {
		for ; !strings.HasPrefix(s.Prefix(), in); in = parent(in) {
			b.WriteString(l.end)
		}
		for _, in = range begun(p.Steps, i) {
			groups++
			name := strings.TrimSuffix(in[len(parent(in)):], "/")
			b.WriteString(l.group[0] + number(groups) + l.group[1] + l.label(text.Spoken(name)) + l.group[2])
		}
		b.WriteString("s" + number(s.Number) + l.node(shapes[s.Kind], l.label(number(s.Number)+" "+s.Title+changes(s)), len(s.Visits) > 0, p.bare(s.Cases)) + "\n")
	}
	for ; in != ""; in = parent(in) {
		b.WriteString(l.end)
	}
	for _, f := range p.Findings {
		look := finds
		if f.Stop {
			look = stops
		}
		b.WriteString("f" + number(f.Number) + l.node(look, l.label("F"+number(f.Number)+" "+f.Title+" ("+text.Spoken(f.Action)+")"), false, false) + "\n")
	}
	for i, says := range append(p.workedOut(), p.words.notes()...) {
		b.WriteString("n" + number(i+1) + l.node(notes, l.label(says), false, false) + "\n")
	}
	for _, s := range p.Steps {
		for _, r := range s.Rows {
			b.WriteString("s" + number(s.Number) + l.edge(r, l.label(r.When)) + "\n")
		}
	}
	return b.String()
}

// node is the name of where a row leads.
func (r *Row) node() string {
	if r.Step != nil {
		return "s" + number(r.Step.Number)
	}
	return "f" + number(r.Finding.Number)
}

// dot is the language of Graphviz.
var dot = language{
	escapes: strings.NewReplacer(`\`, `\\`, `"`, `\"`),
	group:   [3]string{"subgraph \"cluster_", "\" { label=", ";\n"},
	end:     "}\n",
	node: func(s shape, label string, walked, bare bool) string {
		return " [shape=" + s.dot + ", label=" + label + pick(walked, ", penwidth=3", pick(bare, ", style=dashed", "")) + "];"
	},
	edge: func(r *Row, label string) string {
		return " -> " + r.node() + " [label=" + label + pick(r.Taken, ", penwidth=3", pick(r.Side, ", style=dashed", "")) + "];"
	},
}

// Dot writes the tree as a graph in the language of Graphviz. The only error is
// w's.
func (p *Plan) Dot(w io.Writer) error {
	_, err := io.WriteString(w, "digraph "+dot.label(p.tree.Name)+" {\nlabel="+dot.label(p.tree.Title)+
		"; labelloc=t; rankdir=TB; node [fontname=\"Helvetica\", fontsize=10]; edge [fontname=\"Helvetica\", fontsize=9];\n"+p.graph(&dot)+"}\n")
	return err
}

// mermaid is the language of Mermaid.
var mermaid = language{
	escapes: strings.NewReplacer(`"`, "#quot;", "<", "#lt;", ">", "#gt;", "#", "#35;", "&", "#amp;", "`", "#96;", "\\", "#92;", "%", "#37;"),
	group:   [3]string{"subgraph g", "[", "]\n"},
	end:     "end\n",
	node:    func(s shape, label string, _, _ bool) string { return s.open + label + s.shut }, // classes mark it
	edge: func(r *Row, label string) string {
		return pick(r.Taken, " ==>|", pick(r.Side, " -.->|", " -->|")) + label + "| " + r.node()
	},
}

// Mermaid writes the tree as a flowchart in the language of Mermaid. The only
// error is w's.
func (p *Plan) Mermaid(w io.Writer) error {
	_, err := io.WriteString(w, "flowchart TD\n"+p.graph(&mermaid)+
		"classDef stop stroke-width:3px\nclassDef way stroke-width:4px\nclassDef bare stroke-dasharray:5 3\n"+p.classes())
	return err
}

// classes lists which nodes stop the work, were walked, and have no case.
func (p *Plan) classes() string {
	nodes := map[string][]string{}
	add := func(class, node string, is bool) {
		if is {
			nodes[class] = append(nodes[class], node)
		}
	}
	for _, f := range p.Findings {
		add("stop", "f"+number(f.Number), f.Stop)
		add("way", "f"+number(f.Number), f.Ends)
	}
	for _, s := range p.Steps {
		add("way", "s"+number(s.Number), len(s.Visits) > 0)
		add("bare", "s"+number(s.Number), len(s.Visits) == 0 && p.bare(s.Cases))
	}
	out := ""
	for _, class := range []string{"stop", "way", "bare"} {
		if list := nodes[class]; len(list) > 0 {
			out += "class " + strings.Join(list, ",") + " " + class + "\n"
		}
	}
	return out
}
