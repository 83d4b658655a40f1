package prove

import (
	"fmt"
	"maps"
	"math/big"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/source"
	"deadflat/internal/unit"
)

// figure is one number of a limit as it stands in a file.
type figure struct {
	file  string
	at    int    // byte offset of the number in the file
	text  string // the number
	unit  *unit.Unit
	limit string
	what  string // which number of the limit: "", "for agm", "at -18"
	place source.Place
}

// limits are the changes of a file's limits: each number of each, if something that can be
// reached decides on it, one step of the grid up and down.
func (b *bench) limits(file string) []*mutant {
	var out []*mutant
	where := b.c.where
	limits := map[string]*yaml.Node{}
	for k, v := range entries(where.limits(file)) {
		limits[k.Value] = v
	}
	for _, id := range slices.Sorted(maps.Keys(limits)) {
		s := b.site(func(x *engine.Step) bool { return b.declares(file, x) && mentions(x.Program(), id) },
			func(g gate) bool { return b.declares(file, g.step) && mentions(g.rule.Holds.Program(), id) })
		if len(s.steps)+len(s.gates) == 0 {
			continue
		}
		needed := b.sources(s)
		for _, f := range where.figures(file, id, limits[id]) {
			for _, up := range []bool{true, false} {
				out = append(out, &mutant{site: s, text: fmt.Sprintf("%s: limits.%s%s %s for %s", f.place, f.limit, f.what, f.moved(up), f.text),
					library: func() *engine.Library { return b.moved(needed, f, up) }})
			}
		}
	}
	return out
}

// declares reports whether a file is one of those of the tree in which a step lies.
func (b *bench) declares(file string, s *engine.Step) bool {
	return slices.Contains(b.treeOf[s].Files(), file)
}

// sources are the files without which the trees of a site cannot be loaded, with those of
// the trees that they hand over to.
func (b *bench) sources(s site) []engine.Source {
	needed := map[string]bool{} // trees, then files
	var need func(name string)
	need = func(name string) {
		t := b.c.lib.Tree(name)
		if t == nil || needed[name] {
			return
		}
		needed[name] = true
		for tree, file := range b.c.where.trees {
			if slices.Contains(t.Files(), file) {
				need(tree)
			}
		}
		for _, x := range t.Findings {
			if x.Then != nil {
				need(x.Then.Tree)
			}
		}
	}
	s.each(func(x *engine.Step, _ *eval.Program) { need(b.treeOf[x].Name) })
	return slices.DeleteFunc(slices.Clone(b.c.lib.Sources()), func(f engine.Source) bool {
		read := b.c.where.files[f.Name]
		if read == nil {
			return false
		}
		tree := valueOf(read.Root, "tree")
		return valueOf(read.Root, "cases") != nil || tree != nil && !needed[tree.Value]
	})
}

// moved loads some files with a number moved; nil when the loader refuses them then.
func (b *bench) moved(sources []engine.Source, f figure, up bool) *engine.Library {
	sources = slices.Clone(sources)
	for i, s := range sources {
		if s.Name == f.file {
			sources[i].Data = slices.Concat(s.Data[:f.at], []byte(f.moved(up)), s.Data[f.at+len(f.text):])
		}
	}
	lib, faults := b.c.lib.Reload(sources)
	if !faults.Empty() {
		return nil
	}
	return lib
}

// paired gives what the comparisons of a site become on the changed trees; nil when the two
// do not match.
func (b *bench) paired(m *mutant, changed func(*engine.Tree) *engine.Tree) map[*eval.Atom]*eval.Atom {
	out := map[*eval.Atom]*eval.Atom{}
	pair := func(was, is *eval.Program) bool {
		for i, a := range was.Atoms {
			if len(is.Atoms) == len(was.Atoms) {
				if out[a] = is.Atoms[i]; a.Of != nil && is.Atoms[i].Of != nil {
					out[a.Of.Whole] = is.Atoms[i].Of.Whole
				}
			}
		}
		return len(is.Atoms) == len(was.Atoms)
	}
	match := true
	for _, s := range m.steps {
		match = match && pair(s.Program(), changed(b.treeOf[s]).Steps[s.Index].Program())
	}
	for _, g := range m.gates {
		t := b.treeOf[g.step]
		match = match && pair(g.rule.Holds.Program(), changed(t).Before[slices.Index(t.Before, g.rule)].Holds.Program())
	}
	if !match {
		return nil
	}
	return out
}

func mentions(p *eval.Program, id string) bool {
	for _, a := range p.Atoms {
		if a.Kind == eval.Compare && slices.ContainsFunc(a.Diff.Limits, func(l eval.Mention) bool { return l.ID == id }) {
			return true
		}
	}
	return false
}

// figures finds the numbers of a limit in the text of its file.
func (w *places) figures(file, id string, body *yaml.Node) []figure {
	var out []figure
	add := func(n *yaml.Node, u *unit.Unit, what string) {
		if f, ok := w.figure(file, n, u); ok {
			f.limit, f.what = id, what
			out = append(out, f)
		}
	}
	if n := valueOf(body, "is"); n != nil {
		add(n, nil, "")
	}
	for word, n := range entries(valueOf(body, "cases")) {
		add(n, nil, " for "+word.Value)
	}
	if points := valueOf(valueOf(body, "table"), "points"); points != nil {
		u := unitOf(body)
		for _, p := range points.Content {
			if len(p.Content) == 2 && u != nil {
				add(p.Content[1], u, " at "+p.Content[0].Value)
			}
		}
	}
	return out
}

func unitOf(body *yaml.Node) *unit.Unit {
	n := valueOf(body, "unit")
	if n == nil {
		return nil
	}
	u, _ := unit.Lookup(n.Value)
	return u
}

// figure reads one number with its unit; ok is false for one that does not stand
// in the text as it is written.
func (w *places) figure(file string, n *yaml.Node, u *unit.Unit) (figure, bool) {
	f := w.files[file]
	number, name, _ := strings.Cut(n.Value, " ")
	if u == nil {
		if name == "" {
			name = "1"
		}
		if u, _ = unit.Lookup(name); u == nil {
			return figure{}, false
		}
	}
	place := f.At(n)
	at := offset(f.Data, place)
	if at < len(f.Data) && (f.Data[at] == '"' || f.Data[at] == '\'') {
		at++
	}
	if !strings.HasPrefix(string(f.Data[at:]), number) {
		return figure{}, false
	}
	return figure{file: file, at: at, text: number, unit: u, place: place}, true
}

// offset is the byte at a place.
func offset(data []byte, p source.Place) int {
	at := 0
	for line := 1; line < p.Line; line++ {
		next := strings.IndexByte(string(data[at:]), '\n')
		if next < 0 {
			return len(data)
		}
		at += next + 1
	}
	for i := range string(data[at:]) {
		if p.Col--; p.Col == 0 {
			return at + i
		}
	}
	return len(data)
}

// moved is the number one step of the grid up or down.
func (f figure) moved(up bool) string {
	v, ok := new(big.Rat).SetString(f.text)
	if !ok {
		return f.text
	}
	step := Grid(f.unit)
	if f.unit.Name == "1" {
		step = big.NewRat(1, 100)
	}
	if up {
		v.Add(v, step)
	} else {
		v.Sub(v, step)
	}
	return trimmed(v, 6)
}
