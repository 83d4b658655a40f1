package engine

import (
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"deadflat/internal/source"
	"deadflat/internal/text"
)

// Name is something that files declare and that trees may name.
type Name struct {
	What  string // "reading", "limit", "point"
	ID    string
	Short string // of a reading
	Means string // in plain words; of a word, what uses it
	In    string // the file's own kind and name: "shared common", "tree no-start", "faults faults"
	Place source.Place
}

// Names lists what files declare, by sort and in the order of the files. Files need not
// be sound for it: the faults are those that hide names.
func Names(sources []Source) ([]Name, *source.Faults) {
	l := newLoader(nil, nil)
	files, bad := l.parse(sources)
	for i, f := range files {
		l.read(f, sources[i], bad[i])
	}
	n := namer{builder: &builder{loader: l, opened: map[*entry]*source.Mapping{}}, users: map[string][]string{}}
	faults := *l.faults // what is wrong with the meaning of a name is told when it is used
	l.faults = &source.Faults{}
	for _, d := range l.docs {
		d.r.Faults = l.faults
		n.using(d)
	}
	for _, sort := range []struct {
		what string
		of   func(what string, d *document)
	}{
		{"reading", n.readings}, {"limit", n.limits}, {"value", n.values}, {"hazard rule", n.rules}, {"finding", n.findings},
		{"point", n.words("points")}, {"state", n.states}, {"act", n.words("acts")}, {"thing to look at", n.words("sees")},
		{"equipment", n.words("equipment")}, {"temporary change", n.undone}, {"fault", n.kinds},
	} {
		for _, d := range l.docs {
			sort.of(sort.what, d)
		}
	}
	return n.out, &faults
}

// namer gathers names.
type namer struct {
	*builder
	users map[string][]string // of a declared word: the readings and steps that name it
	out   []Name
}

func (n *namer) add(what string, d *document, at *yaml.Node, means string) {
	n.out = append(n.out, Name{What: what, ID: at.Value, Means: text.Clean(means), In: d.kind + " " + d.name, Place: d.r.File.At(at)})
}

// namesWords are the keys of readings and steps that hold declared words.
var namesWords = []string{"probe", "clamp", "needs", "sees", "act", "leaves", "restores"}

// using notes the words that readings and steps name.
func (n *namer) using(d *document) {
	for _, t := range []*table{d.readings, d.steps} {
		for _, e := range t.entries() {
			for key, value := range d.r.Map(e.node).All() {
				if slices.Contains(namesWords, key.Value) {
					n.under(e.id, value)
				}
			}
		}
	}
}

// under notes the words of one key; those of a probe stand deeper.
func (n *namer) under(id string, node *yaml.Node) {
	if node.Kind == yaml.ScalarNode && !slices.Contains(n.users[node.Value], id) {
		n.users[node.Value] = append(n.users[node.Value], id)
	}
	for _, k := range node.Content {
		n.under(id, k)
	}
}

// used names the first few users of a word.
func (n *namer) used(word string) string {
	by, more := n.users[word], ""
	if k := len(by); k > 3 {
		by, more = by[:2], fmt.Sprintf(" and %d more", k-2)
	}
	if len(by) == 0 {
		return "nothing uses it"
	}
	return "in " + strings.Join(by, ", ") + more
}

func (n *namer) readings(what string, d *document) {
	for _, e := range d.readings.entries() {
		m := n.like(e, d.readings.get)
		is := d.r.Text(m.Get("unit"))
		switch choices := d.r.Texts(m.Get("choices")); {
		case m.Has("yes_no"):
			is = "yes or no"
		case len(choices) > 0:
			is = strings.Join(choices, " | ")
		}
		n.add(what, d, e.key, fmt.Sprintf("%s (%s)", d.r.Text(m.Get("ask")), is))
		n.out[len(n.out)-1].Short = d.r.Text(m.Get("short"))
	}
}

func (n *namer) limits(what string, d *document) {
	for _, e := range d.limits.entries() {
		m := d.r.Map(e.node)
		var is string
		switch table := d.r.Map(m.Get("table")); {
		case m.Has("is"):
			is = m.Get("is").Value
		case table != nil:
			is = fmt.Sprintf("%d points in %s over %s", len(d.r.List(table.Get("points"))), d.r.Text(m.Get("unit")), d.r.Text(table.Get("over")))
		default:
			var each []string
			for choice, value := range d.r.Map(m.Get("cases")).All() {
				each = append(each, choice.Value+" "+value.Value)
			}
			is = "by " + d.r.Text(m.Get("by")) + ": " + strings.Join(each, ", ")
		}
		n.add(what, d, e.key, titled(d.r.Text(m.Get("title")), is))
	}
}

func (n *namer) values(what string, d *document) {
	for _, e := range d.values.entries() {
		m := d.r.Map(e.node)
		n.add(what, d, e.key, titled(d.r.Text(m.Get("title")), strings.Join(append(d.r.Texts(m.Get("first_known")), d.r.Text(m.Get("is"))), ", ")))
	}
}

func titled(title, is string) string { return strings.Trim(title+": "+is, ": ,") }

func (n *namer) rules(what string, d *document) {
	for _, node := range d.before {
		if m := d.r.Map(node); m.Has("id") {
			n.add(what, d, m.Get("id"), "before "+text.List(d.r.Texts(m.Get("kinds")), "or")+": "+d.r.Text(m.Get("why")))
		}
	}
}

func (n *namer) findings(what string, d *document) {
	for _, e := range d.findings.entries() {
		m := d.r.Map(e.node)
		n.add(what, d, e.key, fmt.Sprintf("%s (%s)", d.r.Text(m.Get("title")), d.r.Text(m.Get("action"))))
	}
}

// words lists one vocabulary.
func (n *namer) words(key string) func(string, *document) {
	return func(what string, d *document) {
		for _, word := range d.r.List(d.top.Get(key)) {
			n.add(what, d, word, n.used(word.Value))
		}
	}
}

func (n *namer) states(what string, d *document) {
	for key, states := range d.r.Map(d.top.Get("states")).All() {
		n.add(what, d, key, text.List(d.r.Texts(states), "or"))
	}
}

func (n *namer) undone(what string, d *document) {
	at := d.top.Get("undone")
	if at == nil || at.Kind != yaml.MappingNode {
		n.words("undone")(what, d)
		return
	}
	for word, back := range d.r.Map(at).All() {
		n.add(what, d, word, d.r.Text(back))
	}
}

func (n *namer) kinds(what string, d *document) {
	for _, node := range d.r.List(d.top.Get("faults")) {
		if m := d.r.Map(node); m.Has("id") {
			n.add(what, d, m.Get("id"), d.r.Text(m.Get("title")))
		}
	}
}
