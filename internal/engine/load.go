package engine

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"regexp"
	"runtime"
	"sort"
	"strings"
	"sync"

	"gopkg.in/yaml.v3"

	"deadflat/internal/eval"
	"deadflat/internal/source"
)

// Source is one file of a library: a tree, shared declarations, or a list of
// faults; several lists are one. Or a picture that a tree names, by its ending. Name is shown in messages.
type Source struct {
	Name string `json:"name"`
	Data []byte `json:"data"`
}

// Library is a set of trees that were loaded and linked together. What it gives
// never changes; it may be shared.
type Library struct {
	trees     []*Tree
	faults    []*FaultKind
	sources   []Source
	functions []*eval.Func
	lazy      *lazyLoader // nil when all is loaded
}

// Trees lists the trees by name.
func (l *Library) Trees() []*Tree {
	l.loadAll()
	return l.trees
}

// Tree finds a tree by name; nil if there is none.
func (l *Library) Tree(name string) *Tree {
	if l.lazy != nil {
		return l.lazy.tree(l, name)
	}
	for _, t := range l.trees {
		if t.Name == name {
			return t
		}
	}
	return nil
}

// Sources are the files the library was loaded from, for a job to carry.
func (l *Library) Sources() []Source { return l.sources }

// FaultKinds lists the faults a finding may name, of every list of the library.
func (l *Library) FaultKinds() []*FaultKind {
	l.loadAll()
	return l.faults
}

func (l *Library) loadAll() {
	if l.lazy != nil {
		l.lazy.all(l)
	}
}

// maxSteps bounds a tree with its sub-trees laid in.
const maxSteps = 20000

// document is one file, read but not yet understood.
type document struct {
	r    source.Reader
	kind string // "tree", "shared" or "faults"
	name string
	top  *source.Mapping
	data []byte
	bad  bool // it has a fault by itself: no tree that needs it is usable
	made bool // its tree was built, or is being built

	readings, limits, values, findings, steps *table
	parameters                                *table
	before                                    []*yaml.Node
	use                                       []*yaml.Node
	misnamed                                  []string // names of entries that no name can be
}

// entry is one named declaration.
type entry struct {
	doc  *document
	id   string
	key  *yaml.Node
	node *yaml.Node
}

// table holds named declarations in the order written.
type table struct {
	list []*entry
	by   map[string]*entry
}

func (t *table) get(id string) *entry { return t.by[id] }

// entries are those of a file that has such a section.
func (t *table) entries() []*entry {
	if t == nil {
		return nil
	}
	return t.list
}

func (t *table) names() []string {
	out := make([]string, len(t.list))
	for i, e := range t.list {
		out[i] = e.id
	}
	return out
}

// loader holds what is known of all files while trees are built.
type loader struct {
	faults    *source.Faults
	docs      []*document
	kinds     map[string]*FaultKind
	lib       *Library
	functions map[string]*eval.Func
	rounds    []string        // trees that a `then` may name, beside those loaded
	broken    map[string]bool // files that there would be but for a fault: "shared common"
}

// Load reads all files of a library and links its trees. Every fault of every
// file is reported in one run; a tree with faults is left out of the library.
// Files of worked cases (`cases:`) are passed over.
//
// functions are those of the trade that values may call.
func Load(sources []Source, functions ...*eval.Func) (*Library, *source.Faults) {
	return loadFrom(sources, functions, nil)
}

// Reload loads other files with the same functions of the trade.
func (l *Library) Reload(sources []Source) (*Library, *source.Faults) {
	return Load(sources, l.functions...)
}

func loadFrom(sources []Source, functions []*eval.Func, rounds []string) (*Library, *source.Faults) {
	l := newLoader(functions, rounds)
	l.lib.sources, l.lib.functions = sources, functions
	files, bad := l.parse(sources)
	for i, f := range files {
		l.read(f, sources[i], bad[i])
	}
	return l.link()
}

func newLoader(functions []*eval.Func, rounds []string) *loader {
	l := &loader{functions: map[string]*eval.Func{}, rounds: rounds, faults: &source.Faults{}, kinds: map[string]*FaultKind{}, broken: map[string]bool{}, lib: &Library{}}
	for _, f := range functions {
		l.functions[f.Name] = f
	}
	return l
}

// parse reads the files as YAML, side by side: it is most of the work of loading.
// A file that cannot be read is nil, as is a picture; bad tells which have a fault as YAML.
func (l *loader) parse(sources []Source) (files []*source.File, bad []bool) {
	files, bad = make([]*source.File, len(sources)), make([]bool, len(sources))
	faults := make([]source.Faults, len(sources))
	var wait sync.WaitGroup
	next := make(chan int)
	for range min(runtime.NumCPU(), len(sources)) {
		wait.Go(func() {
			for i := range next {
				if IsPicture(sources[i].Name) {
					continue
				}
				files[i] = source.Read(sources[i].Name, sources[i].Data, &faults[i])
			}
		})
	}
	for i := range sources {
		next <- i
	}
	close(next)
	wait.Wait()
	for i := range faults {
		bad[i] = !faults[i].Empty()
		l.faults.Join(&faults[i])
	}
	return files, bad
}

// read opens one file as far as its top level.
func (l *loader) read(f *source.File, s Source, bad bool) {
	if f == nil || f.Root == nil {
		if m := heading.FindSubmatch(s.Data); m != nil {
			l.broken[strings.TrimSpace(string(m[1])+" "+string(m[2]))] = true
		}
		return
	}
	before := l.faults.Added()
	r := source.Reader{File: f, Faults: l.faults}
	top := r.Map(f.Root)
	if top == nil || top.Has("cases") {
		return
	}
	d := &document{r: r, top: top, data: s.Data}
	switch {
	case top.Has("tree"):
		d.kind, d.name = "tree", l.fileName(r, top, "tree", "a tree's")
	case top.Has("shared"):
		d.kind, d.name = "shared", l.fileName(r, top, "shared", "a shared file's")
	case top.Has("faults"):
		d.kind, d.name = "faults", "faults"
	default:
		l.noHeading(r, top)
		return
	}
	l.docs = append(l.docs, d)
	if d.kind != "faults" {
		l.sections(d)
	}
	d.bad = bad || l.faults.Added() > before
}

// heading is how a file that cannot be read says what it would be.
var heading = regexp.MustCompile(`(?m)^\x{FEFF}?["']?(tree|shared|faults)["']?:[ \t]*["']?([\w-]*)`)

// noHeading reports a file that does not say what it is, at the key that may have been meant to.
func (l *loader) noHeading(r source.Reader, top *source.Mapping) {
	at, advice := top.Node, ""
	for key, value := range top.All() {
		for _, kind := range []string{"tree", "shared", "faults"} {
			if advice == "" {
				if advice = source.DidYouMean(key.Value, []string{kind}); advice != "" {
					at = key
					l.broken[strings.TrimSpace(kind+" "+value.Value)] = true
				}
			}
		}
	}
	r.Fault("wrong-shape", at, `a file begins with "tree: NAME", "shared: NAME" or "faults:"%s`, advice)
}

// link builds the trees of all files that were read.
func (l *loader) link() (*Library, *source.Faults) {
	l.uniqueNames()
	for _, d := range l.docs {
		if d.kind == "faults" {
			l.readFaultKinds(d)
		}
	}
	for _, d := range l.docs {
		if d.kind == "tree" {
			l.make(d)
		}
	}
	sort.Slice(l.lib.trees, func(i, j int) bool { return l.lib.trees[i].Name < l.lib.trees[j].Name })
	return l.lib, l.faults
}

// make builds the tree of a document, once. One that has parameters and a fault is bad:
// it is not laid into others, where the fault would be told again in other words.
func (l *loader) make(d *document) {
	if d.made {
		return
	}
	d.made = true
	t := l.tree(d, false)
	if t == nil && l.faults.Empty() {
		t = l.tree(d, true) // what was not told follows from nothing
	}
	if t != nil {
		l.lib.trees = append(l.lib.trees, t)
	} else if len(d.parameters.list) > 0 {
		d.bad = true
	}
}

// sections opens the parts that trees and shared files have in common.
func (l *loader) sections(d *document) {
	d.readings = l.table(d, "readings")
	d.limits = l.table(d, "limits")
	d.values = l.table(d, "values")
	d.findings = l.table(d, "findings")
	d.before = d.r.List(d.top.Get("before"))
	d.steps, d.parameters = &table{by: map[string]*entry{}}, &table{by: map[string]*entry{}}
	if d.kind == "tree" {
		d.steps, d.parameters = l.table(d, "steps"), l.table(d, "parameters")
		d.use = d.r.List(d.top.Get("use"))
	}
}

func (l *loader) table(d *document, section string) *table {
	t := &table{by: map[string]*entry{}}
	n := d.top.Get(section)
	if n == nil {
		return t
	}
	for k, v := range d.r.Map(n).All() {
		e := &entry{doc: d, id: l.identifier(d.r, k, "a name in "+section), key: k, node: v}
		if e.id == "" {
			d.misnamed = append(d.misnamed, k.Value)
			continue
		}
		t.list = append(t.list, e)
		t.by[e.id] = e
	}
	return t
}

// identifier reads a lower_snake name.
func (l *loader) identifier(r source.Reader, n *yaml.Node, what string) string {
	s := r.Text(n)
	if s == "" {
		return ""
	}
	for i, c := range s {
		if c == '_' || c >= 'a' && c <= 'z' || i > 0 && c >= '0' && c <= '9' {
			continue
		}
		r.Fault("bad-name", n, "%s is made of small letters, digits and _ and begins with a letter, not %q%s", what, s, write(better(s)))
		return ""
	}
	if reserved[s] {
		r.Fault("bad-name", n, "%q is a word of the expression language and cannot be a name", s)
		return ""
	}
	if len(s) > 64 {
		r.Fault("bad-name", n, "%s has at most 64 letters", what)
		return ""
	}
	return s
}

// better writes a name in the characters it may have, if that gives one.
func better(s string) string {
	s = strings.Trim(otherCharacters.ReplaceAllString(strings.ToLower(s), "_"), "_")
	if s == "" || s[0] < 'a' {
		return ""
	}
	return s
}

func write(s string) string {
	if s == "" {
		return ""
	}
	return fmt.Sprintf(": write %q", s)
}

var otherCharacters = regexp.MustCompile(`[^a-z0-9]+`)

var reserved = map[string]bool{"and": true, "or": true, "not": true, "in": true, "known": true, "done": true, "limits": true,
	"true": true, "false": true, "nil": true, "let": true, "if": true, "else": true, "matches": true, "contains": true}

// fileName reads the name of a tree or a shared file. No guard holds it, so it may have
// hyphens. One that is not allowed is given all the same: other files may call it so, or
// as it should be called.
func (l *loader) fileName(r source.Reader, top *source.Mapping, kind, whose string) string {
	n := top.Get(kind)
	s := r.Text(n)
	if s != "" && !FileName.MatchString(s) {
		r.Fault("bad-name", n, "%s name is made of small letters, digits, - and _, 64 at most, and begins with a letter, not %q%s", whose, s, write(better(s)))
		l.broken[kind+" "+better(s)] = true
	}
	return s
}

// FileName is what a tree or a shared file may be called.
var FileName = regexp.MustCompile(`^[a-z][a-z0-9_-]{0,63}$`)

// uniqueNames refuses two trees or two shared files of one name.
func (l *loader) uniqueNames() {
	seen := map[string]*document{}
	for _, d := range l.docs {
		key := d.kind + " " + d.name
		if first := seen[key]; first != nil && d.kind != "faults" {
			f := d.r.Fault("duplicate-name", d.top.Get(d.kind), "%s %q is declared twice", d.kind, d.name)
			f.Notes = append(f.Notes, source.Note{Place: first.r.File.At(first.top.Get(d.kind)), Message: "it is declared here already"})
			first.bad, d.bad = true, true
			continue
		}
		seen[key] = d
	}
}

func (l *loader) find(kind, name string) *document {
	for _, d := range l.docs {
		if d.kind == kind && d.name == name {
			return d
		}
	}
	return nil
}

func (l *loader) namesOf(kind string) []string {
	var out []string
	for _, d := range l.docs {
		if d.kind == kind {
			out = append(out, d.name)
		}
	}
	return out
}

func (l *loader) readFaultKinds(d *document) {
	for _, n := range d.r.List(d.top.Get("faults")) {
		m := d.r.Map(n)
		if m == nil {
			continue
		}
		k := &FaultKind{ID: l.identifier(d.r, m.Get("id"), "a fault's id"), Title: d.r.Text(m.Get("title")), Group: d.r.Text(m.Get("group")), Place: d.r.File.At(n)}
		m.Done()
		switch {
		case k.ID == "" || k.Title == "":
			d.r.Fault("missing-key", n, "a fault needs an id and a title")
		case l.kinds[k.ID] != nil:
			f := d.r.Fault("duplicate-name", m.Get("id"), "fault %q is declared twice", k.ID)
			f.Notes = append(f.Notes, source.Note{Place: l.kinds[k.ID].Place, Message: "it is declared here already"})
		default:
			l.kinds[k.ID] = k
			l.lib.faults = append(l.lib.faults, k)
		}
	}
	d.top.Done()
}

// hash is over the text of every file the tree is resolved from, in order of
// their names, so that the same files give the same hash wherever they lie.
func hash(docs []*document, pictures []*Picture) string {
	sorted := append([]*document{}, docs...)
	sort.Slice(sorted, func(i, j int) bool { return sorted[i].kind+sorted[i].name < sorted[j].kind+sorted[j].name })
	h := sha256.New()
	for _, d := range sorted {
		fmt.Fprintf(h, "%s %s %d\n", d.kind, d.name, len(d.data))
		h.Write(d.data)
	}
	for _, p := range pictures {
		fmt.Fprintf(h, "picture %q %d\n", p.File, len(p.Data))
		h.Write(p.Data)
	}
	return "sha256:" + hex.EncodeToString(h.Sum(nil))
}
