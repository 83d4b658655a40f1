package prove

import (
	"fmt"
	"maps"
	"math"
	"math/big"
	"path"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/unit"
)

// What would notice a change is looked for among the cases that come to it: they are walked
// with the answers that tell the two apart, on the tree as it is and on the changed one. So
// what is told can be typed, and comes there.

// mostNear bounds the walks that are tried for one change.
const mostNear = 400

// hint says which case would notice a change.
func (b *bench) hint(m *mutant, d *difference) string {
	if d.unclear != "" {
		return d.unclear
	}
	with := m.with
	if m.library != nil { // is loaded once
		if lib := m.library(); lib != nil {
			with = func(do func(func(*engine.Tree) *engine.Tree)) {
				do(func(t *engine.Tree) *engine.Tree { return lib.Tree(t.Name) })
			}
		}
	}
	pools := map[*caseFile]*caseFile{}
	tries := 0
	for _, p := range m.cases {
		if pools[p.file] == nil {
			pools[p.file] = p.file.pool()
		}
		for _, swaps := range p.near(d) {
			if tries++; tries > mostNear {
				break
			}
			c := *p.c
			c.readings = pools[p.file].done()
			maps.Copy(c.readings, p.c.readings)
			maps.Copy(c.readings, swaps)
			was, _ := pools[p.file].play(p.file.tree, &c, nil)
			if was.result == nil {
				continue
			}
			var is *run
			with(func(changed func(*engine.Tree) *engine.Tree) {
				is, _ = pools[p.file].play(changed(p.file.tree), &c, nil)
			})
			if alike(is.result, was.result) {
				continue
			}
			said := fmt.Sprintf("worked case %q", p.c.name)
			if others := p.others(was); len(others) > 0 {
				said += " with " + strings.Join(others, ", ")
			}
			said += " would notice"
			if is.result != nil && is.result.Finding.ID == was.result.Finding.ID && is.result.Certainty == was.result.Certainty {
				said += ", if it says with `clears` what is ruled out"
			}
			return said
		}
	}
	d.walks.tells = func(w *engine.Walk, events []engine.Event) (tells bool) {
		with(func(changed func(*engine.Tree) *engine.Tree) {
			is := engine.NewWalk(changed(d.walks.f.t), b.c.ideal, engine.Kit{})
			is.Quiet()
			if out, err := is.Answer(events...); err != nil || out.Refused != nil {
				tells = true
				return
			}
			x, y := w.Next(), is.Next()
			tells = (x.Step == nil) != (y.Step == nil) || x.Step != nil && x.Step.ID != y.Step.ID || !alike(x.Result, y.Result)
		})
		return tells
	}
	if told := d.walks.from(nil, nil, 0); told != nil {
		return fmt.Sprintf("a case with %s would notice", strings.Join(told, ", "))
	}
	return fmt.Sprintf("it shows at step %s with %s, if anything comes there so", base(d.step), d.answers)
}

// pool is a file that knows what some case of it says of a reading, for a walk that comes
// to what the case in hand does not give.
func (f *caseFile) pool() *caseFile {
	out := &caseFile{tree: f.tree, usual: map[string]given{}, list: f.list}
	for _, c := range f.list {
		for _, key := range slices.Sorted(maps.Keys(c.readings)) {
			id := key[strings.LastIndexByte(key, '.')+1:]
			if _, ok := out.usual[id]; !ok && f.tree.ReadingNamed(id) != nil {
				out.usual[id] = c.readings[key]
			}
		}
	}
	maps.Copy(out.usual, f.usual)
	return out
}

// done acknowledges every step of a file's tree.
func (f *caseFile) done() map[string]given {
	out := map[string]given{}
	for _, s := range f.tree.Steps {
		key := path.Base(s.ID) + ".done"
		out[key] = given{name: key, text: "done"}
	}
	return out
}

// others lists what a walk was answered that the case does not say.
func (p *casePlayed) others(is *run) []string {
	var out []string
	for _, key := range slices.Sorted(maps.Keys(is.used)) {
		if !is.used[key] || strings.HasSuffix(key, ".done") {
			continue
		}
		name, usual := strings.CutPrefix(key, "usual ")
		g, own := is.c.readings[name], p.c.readings[name]
		if usual {
			g, own = is.file.usual[name], p.file.usual[name]
		}
		if at := strings.LastIndexByte(name, '.'); own.text == "" && at >= 0 {
			own = p.c.readings[name[at+1:]]
		}
		if g.text != own.text {
			out = append(out, name+" "+g.text)
		}
	}
	return out
}

// near lists other answers for a case: those of a difference, and with each number beside
// it or at the edge of its doubt.
func (p *casePlayed) near(d *difference) []map[string]given {
	t := p.file.tree
	last := -1 // the step until which answers count
	for _, s := range p.was.steps {
		if s.Place == d.step.Place {
			last = max(last, s.Index)
		}
	}
	swaps := map[string]given{}
	numbers := map[string][]string{}
	for _, a := range d.answers {
		key, q := p.given(t, a.Reading, last)
		if a.Step != "" || q == nil || standsOpen(a.Is) {
			continue
		}
		swaps[key] = given{name: key, text: strings.Trim(a.Is, `"`)}
		if q.Number() {
			numbers[key] = atEdges(q, p.c.meter, swaps[key].text)
		}
	}
	out := []map[string]given{swaps}
	for _, key := range slices.Sorted(maps.Keys(numbers)) {
		for _, text := range numbers[key] {
			try := maps.Clone(swaps)
			try[key] = given{name: key, text: text}
			out = append(out, try)
		}
	}
	return out
}

// standsOpen reports whether a witness says that a reading is not known.
func standsOpen(is string) bool {
	return slices.Contains([]string{standing(stale), standing(absent), standing(passed)}, is)
}

// given is the reading that a witness names and what a case calls the take that counts at a
// step; nil when the case did not take it.
func (p *casePlayed) given(t *engine.Tree, name string, last int) (key string, q *engine.Reading) {
	at, id, dotted := strings.Cut(name, ".")
	if !dotted {
		at, id = "", name
	}
	for _, ev := range p.was.w.Events() {
		i := slices.IndexFunc(t.Steps, func(s *engine.Step) bool { return s.ID == ev.Step })
		if ev.Reading == id && i >= 0 && i <= last && (at == "" || at == path.Base(ev.Step)) {
			key, q = path.Base(ev.Step)+"."+id, t.ReadingNamed(id)
		}
	}
	return key, q
}

// atEdges are the numbers beside one, and where the doubt of a meter just touches it.
func atEdges(q *engine.Reading, m *engine.Meter, text string) []string {
	a, refusal := q.Parse(text, m)
	if refusal != nil {
		return nil
	}
	u := q.Unit
	if a.Unit != "" {
		u, _ = unit.Lookup(a.Unit)
	}
	x := q.Unit.From(u.Base(a.Value))
	step := nearestFloat(Grid(q.Unit))
	out := q.Unit.From(q.Unit.Base(0)+Doubt(m, q, u.Base(a.Value))) - q.Unit.From(q.Unit.Base(0))
	var list []string
	for _, from := range []float64{x, x - out, x + out} {
		for k := -2.0; k <= 2; k++ {
			n := new(big.Rat).Mul(Grid(q.Unit), new(big.Rat).SetInt64(int64(math.Round(from/step+k))))
			text := strings.TrimSpace(trimmed(n, 4) + " " + strings.TrimSuffix(q.Unit.Name, "1"))
			if !slices.Contains(list, text) {
				list = append(list, text)
			}
		}
	}
	return list
}

// trimmed is a number with no more decimals than it needs.
func trimmed(n *big.Rat, decimals int) string {
	return strings.TrimSuffix(strings.TrimRight(n.FloatString(decimals), "0"), ".")
}
