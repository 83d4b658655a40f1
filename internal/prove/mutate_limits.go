package prove

import (
	"fmt"
	"maps"
	"math"
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

// mutateLimits moves each number of each limit of a tree's own file, and of the
// shared files that it uses, by one step of the grid up and down, if something that
// can be reached decides on it. A limit that several trees share is tried once, with
// the first of them.
func (c *checker) mutateLimits(b *bench, r *TreeReport) {
	for _, name := range r.Tree.Files() {
		limits := map[string]*yaml.Node{}
		for k, v := range entries(c.where.limits(name)) {
			limits[k.Value] = v
		}
		for _, id := range slices.Sorted(maps.Keys(limits)) {
			key := "limit " + name + " " + id
			if c.said[key] {
				continue
			}
			c.said[key] = true
			cases, decides := b.casesWith(id)
			if !decides {
				continue
			}
			for _, f := range c.where.figures(name, id, limits[id]) {
				for _, up := range []bool{true, false} {
					r.Cases.Mutants++
					if !c.noticedLimit(f, up, cases) {
						r.Cases.Survivors = append(r.Cases.Survivors, c.survivor(f, up))
					}
				}
			}
		}
	}
}

func mentions(p *eval.Program, id string) bool {
	for _, a := range p.Atoms {
		if a.Kind == eval.Compare && slices.ContainsFunc(a.Diff.Limits, func(l eval.Mention) bool { return l.ID == id }) {
			return true
		}
	}
	return false
}

// casesWith are the cases that reach a step which decides on a limit, or which a hazard
// rule guards that does; decides reports whether such a step can be reached at all in
// the trees that are asked after.
func (b *bench) casesWith(id string) (out []*casePlayed, decides bool) {
	add := func(list []*casePlayed) {
		for _, p := range list {
			if !slices.Contains(out, p) {
				out = append(out, p)
			}
		}
	}
	for t, f := range b.flows {
		for _, s := range t.Steps {
			if !f.reached[s.Index] {
				continue
			}
			rule := slices.ContainsFunc(s.Rules(), func(r *engine.Rule) bool { return mentions(r.Holds.Program(), id) })
			if rule || mentions(s.Program(), id) {
				decides = true
				add(b.reaching[s.Place])
			}
		}
	}
	return out, decides
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
	s := v.FloatString(6)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

// noticedLimit loads the files with the number moved and walks the cases.
func (c *checker) noticedLimit(f figure, up bool, cases []*casePlayed) bool {
	sources := slices.Clone(c.lib.Sources())
	for i, s := range sources {
		if s.Name == f.file {
			sources[i].Data = slices.Concat(s.Data[:f.at], []byte(f.moved(up)), s.Data[f.at+len(f.text):])
		}
	}
	lib, faults := c.lib.Reload(sources)
	if !faults.Empty() {
		return true // the loader itself notices
	}
	for _, p := range cases {
		if p.noticed(lib.Tree(p.file.tree.Name)) {
			return true
		}
	}
	return false
}

// survivor words a change of a limit that no case notices, with the reading that
// would show it: at the limit, or where a safer side is named at the edge of the
// meter's doubt, beyond which that side no longer counts.
func (c *checker) survivor(f figure, up bool) string {
	v, _ := new(big.Rat).SetString(f.text)
	at, why := v, "exactly there"
	if !up {
		at, _ = new(big.Rat).SetString(f.moved(false))
		why = "just under it"
	}
	l, ax := c.heldAgainst(f.limit)
	if ax != nil && l.Safer != eval.NoSide {
		base := f.unit.Exact(f.text)
		d := c.doubt(ax, base)
		edge := nearestFloat(base) + d
		if l.Safer == eval.SaferAbove {
			edge = nearestFloat(base) - d
		}
		at = nearestGrid(f.unit.From(edge), f.unit)
		why = "where the doubt of a " + c.meter.Name + " meter just touches it"
	}
	shown := strings.TrimSuffix(strings.TrimRight(at.FloatString(4), "0"), ".")
	if f.unit.Name != "1" {
		shown += " " + f.unit.Name
	}
	return fmt.Sprintf("%s: limits.%s%s %s for %s; a case with a reading %s, near %s, would notice", f.place, f.limit, f.what, f.moved(up), f.text, why, shown)
}

// nearestGrid rounds a number to the grid of its unit.
func nearestGrid(v float64, u *unit.Unit) *big.Rat {
	g := Grid(u)
	n := math.Round(v / nearestFloat(g))
	return new(big.Rat).Mul(g, new(big.Rat).SetInt64(int64(n)))
}

// heldAgainst finds a limit and the reading that is held against it alone.
func (c *checker) heldAgainst(id string) (*eval.Limit, *axis) {
	for _, t := range c.lib.Trees() {
		for _, p := range t.Programs() {
			for _, a := range p.Atoms {
				if a.Kind != eval.Compare {
					continue
				}
				for _, l := range a.Diff.Limits {
					if l.ID != id {
						continue
					}
					for _, v := range a.Vars() {
						if q := t.ReadingOf(v); q != nil && q.Number() && v.Unit.Dim == a.Diff.Dim {
							return l.Limit, newAxis(q.Var(), q)
						}
					}
				}
			}
		}
	}
	return nil, nil
}
