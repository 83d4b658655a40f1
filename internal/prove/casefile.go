package prove

import (
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"gopkg.in/yaml.v3"

	"deadflat/internal/engine"
	"deadflat/internal/source"
)

// caseFile is the worked cases of one tree, in NAME.cases.yaml beside it.
type caseFile struct {
	tree  *engine.Tree
	usual map[string]given
	list  []*workedCase
}

// given is what is typed for a reading, and where.
type given struct {
	name, text string // the name as it is written
	place      source.Place
	width      int
}

// workedCase is what is read on one vehicle, and what must come out.
//
// A reading is keyed by its id, which serves the first time it is asked for, or
// by "step.id", which serves at that step. "step.done" acknowledges a step,
// "step.unable" says why it could not be done. An optional reading that is not
// given is skipped. What the file says under `usual` stands in for everything that
// a case does not mention.
type workedCase struct {
	name     string
	meter    *engine.Meter
	without  []string // equipment that is not there
	readings map[string]given

	finding   string
	certainty string
	way       []string // the steps that put a form on the screen
	forms     int      // no more forms than this, when not 0
	clears    []string // findings that must be ruled out
	asksNot   []string // readings that must not be asked for
	left      []string // steps at which the walk is left for a night
	place     source.Place
	width     int
}

// caseFiles reads the worked cases of the named trees out of a library's files.
func (c *checker) caseFiles(trees []*engine.Tree) []*caseFile {
	var out []*caseFile
	for _, s := range c.lib.Sources() {
		f := c.where.files[s.Name]
		if f == nil || valueOf(f.Root, "cases") == nil {
			continue
		}
		r := source.Reader{File: f, Faults: c.faults}
		file := readCases(r, f.Root, c.lib)
		if file == nil || !slices.Contains(trees, file.tree) || filepath.Dir(s.Name) != filepath.Dir(c.where.trees[file.tree.Name]) {
			continue // of another tree, or of another edition of it that lies elsewhere
		}
		out = append(out, file)
	}
	return out
}

func readCases(r source.Reader, root *yaml.Node, lib *engine.Library) *caseFile {
	top := r.Map(root)
	name := r.Text(top.Get("cases"))
	f := &caseFile{tree: lib.Tree(name), usual: map[string]given{}}
	if f.tree == nil {
		r.Fault("case-file", top.Get("cases"), "these are the worked cases of tree %q, which is not here", name)
		return nil
	}
	f.usual = readingTexts(r, f.tree, top.Get("usual"))
	r.Text(top.Get("about"))
	titles := map[string]bool{}
	for _, n := range r.List(top.Get("list")) {
		w := readCase(r, f.tree, n)
		if w == nil {
			continue
		}
		if titles[w.name] {
			r.Fault("case-file", n, "two cases are called %q", w.name)
		}
		titles[w.name] = true
		f.list = append(f.list, w)
	}
	top.Done()
	return f
}

// shippedMeters are read once and not for every case.
var shippedMeters = sync.OnceValue(engine.Meters)

// readCase reads one case; nil when it has a fault.
func readCase(r source.Reader, t *engine.Tree, n *yaml.Node) *workedCase {
	before := r.Faults.Added()
	m := r.Map(n)
	if m == nil {
		return nil
	}
	w := &workedCase{name: r.Text(m.Get("case")), finding: r.Text(m.Get("finding")), certainty: r.Text(m.Get("certainty")),
		without: r.Texts(m.Get("without")), way: r.Texts(m.Get("way")), clears: r.Texts(m.Get("clears")), left: r.Texts(m.Get("left"))}
	w.place, w.width = r.File.At(n), 1
	if k := m.Get("case"); k != nil {
		w.place, w.width = r.File.At(k), r.File.Width(k)
	}
	if m.Has("forms") {
		w.forms, _ = r.Int(m.Get("forms"))
	}
	w.readings = readingTexts(r, t, m.Get("readings"))
	for _, n := range r.List(m.Get("asks_not")) {
		if q := t.ReadingNamed(r.Text(n)); q != nil {
			w.asksNot = append(w.asksNot, q.ID)
		} else {
			r.Fault("case-file", n, "%q is not a reading of tree %q", n.Value, t.Name)
		}
	}
	if from, meter := r.Text(m.Get("from")), r.Text(m.Get("meter")); from == "" || w.name == "" || w.finding == "" || meter == "" {
		var lacks []string
		for _, k := range []struct{ key, text string }{{"case", w.name}, {"from", from}, {"meter", meter}, {"finding", w.finding}} {
			if k.text == "" {
				lacks = append(lacks, "`"+k.key+"`")
			}
		}
		r.Fault("case-file", n, "a worked case has a name (`case`), says where it comes from (`from`), with which meter it was read (`meter`) and what must come out (`finding`); %s is missing", strings.Join(lacks, " and "))
		return nil
	}
	meter := r.Text(m.Get("meter"))
	i := slices.IndexFunc(shippedMeters(), func(m *engine.Meter) bool { return m.Name == meter })
	if i < 0 {
		r.Fault("case-file", m.Get("meter"), "%q is not a meter%s", meter, source.DidYouMean(meter, []string{"basic", "workshop", "calibrated"}))
		return nil
	}
	w.meter = shippedMeters()[i]
	for _, word := range w.without {
		if !slices.Contains(t.Words.Equipment, word) {
			r.Fault("case-file", m.Get("without"), "%q is not a piece of equipment of this tree%s", word, source.DidYouMean(word, t.Words.Equipment))
		}
	}
	m.Done()
	if r.Faults.Added() > before {
		return nil
	}
	return w
}

// readingTexts reads what is typed for each reading, by keyOf.
func readingTexts(r source.Reader, t *engine.Tree, n *yaml.Node) map[string]given {
	texts := map[string]given{}
	for k, said := range r.Map(n).All() {
		key, err := keyOf(t, k.Value)
		if err != nil {
			r.Fault("case-file", k, "%v", err)
			continue
		}
		g := given{name: k.Value, place: r.File.At(k), width: r.File.Width(k)}
		if source.IsNumber(said) {
			g.text = said.Value // as it would be typed
		} else if said.Kind == yaml.SequenceNode {
			g.text = strings.Join(r.Texts(said), ", ")
		} else {
			g.text = r.Text(said)
		}
		if strings.HasSuffix(key, ".done") && g.text != "done" {
			r.Fault("case-file", said, "%q stands at %q; write \"done\", or leave it out when the step is not done", g.text, k.Value)
		}
		if other, twice := texts[key]; twice {
			note(r.Fault("case-file", k, "%q and %q are one reading; keep one of them", other.name, k.Value), other.place, "%q is given here", other.name)
			continue
		}
		texts[key] = g
	}
	return texts
}

// keyOf is a name of a case file with the reading's id in place of a short name. A step
// that is laid in with several sub-trees may be any of them.
func keyOf(t *engine.Tree, name string) (string, error) {
	step, tail, dotted := strings.Cut(name, ".")
	c, err := t.Column(name)
	if err != nil && dotted {
		if q, ok := atAny(t, step, tail); ok {
			c.Reading, err = q, nil
		}
	}
	switch {
	case err != nil:
		return "", err
	case c.Reading == nil: // done, or could not be
		return name, nil
	case dotted:
		return step + "." + c.Reading.ID, nil
	}
	return c.Reading.ID, nil
}

// atAny finds what a name means at the steps of one name, each laid in with another
// sub-tree: a take, a hazard answer before the step, or nil for "done" and "unable".
func atAny(t *engine.Tree, step, name string) (*engine.Reading, bool) {
	named := func(q *engine.Reading) bool { return q.ID == name || q.Short == name }
	for _, s := range t.Steps {
		if path.Base(s.ID) != step {
			continue
		}
		if name == "done" || name == "unable" {
			return nil, true
		}
		for _, f := range s.Fields() {
			if named(f.Reading) {
				return f.Reading, true
			}
		}
		for _, r := range s.Rules() {
			if i := slices.IndexFunc(r.Needs, named); i >= 0 {
				return r.Needs[i], true
			}
		}
	}
	return nil, false
}
