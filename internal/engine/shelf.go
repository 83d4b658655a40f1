package engine

import (
	"bytes"
	"slices"
	"strings"
	"sync"

	"deadflat/internal/eval"
)

// Open is a library of files that were proved beforehand, such as those that
// ship: a tree is loaded when it is first asked for, from no more files than it
// needs, so that a walk shows its first question soon. A tree that has a fault
// after all is not there.
func Open(sources []Source, functions ...*eval.Func) *Library {
	l := &Library{sources: sources, shelf: &shelf{functions: functions, taken: map[string]*Tree{}}}
	for _, s := range sources {
		l.shelf.heads = append(l.shelf.heads, headOf(s))
	}
	return l
}

// shelf holds the files of a library that loads when asked.
type shelf struct {
	functions []*eval.Func
	heads     []head
	mu        sync.Mutex
	taken     map[string]*Tree
	whole     bool
}

// head is what a file says of itself, read without parsing it.
type head struct {
	source Source
	kind   string   // "tree", "shared", "faults", or "" for worked cases and what is not known
	name   string   // of a tree or shared file
	needs  []string // "tree NAME", "shared NAME"
}

// headOf reads a file's head. A `use` that is not written in brackets on one
// line is not understood here; the file then counts as needing every shared file.
func headOf(s Source) head {
	h := head{source: s}
	for rest := s.Data; h.kind == ""; {
		line, below, more := bytes.Cut(rest, []byte("\n"))
		switch key, value, _ := bytes.Cut(line, []byte(":")); string(key) {
		case "tree", "shared", "faults":
			h.kind, h.name = string(key), wordOf(value)
		case "cases":
			return h
		}
		if !more {
			break
		}
		rest = below
	}
	if h.kind != "" {
		h.needs = needsOf(h.kind, s.Data)
	}
	return h
}

// needsOf finds what a file names that it needs.
func needsOf(kind string, text []byte) []string {
	var needs []string
	_, use, _ := bytes.Cut(text, []byte("\nuse:"))
	use, _, _ = bytes.Cut(use, []byte("\n"))
	_, list, _ := strings.Cut(string(use), "[")
	if list, _, closed := strings.Cut(list, "]"); closed {
		for _, name := range strings.Split(list, ",") {
			needs = append(needs, "shared "+strings.Trim(strings.TrimSpace(name), `"'`))
		}
	} else if kind == "tree" {
		needs = append(needs, "shared")
	}
	for {
		_, run, ok := bytes.Cut(text, []byte("run: "))
		if !ok {
			return needs
		}
		if name := wordOf(run); name != "" {
			needs = append(needs, "tree "+name)
		}
		text = run
	}
}

// wordOf is the name that a text begins with.
func wordOf(text []byte) string {
	text = bytes.TrimLeft(text, " \t")
	end := bytes.IndexFunc(text, func(r rune) bool {
		return (r < 'a' || r > 'z') && (r < '0' || r > '9') && r != '_' && r != '-'
	})
	if end < 0 {
		end = len(text)
	}
	return string(text[:end])
}

// take loads one tree, once.
func (s *shelf) take(l *Library, name string) *Tree {
	s.mu.Lock()
	defer s.mu.Unlock()
	if t, ok := s.taken[name]; ok {
		return t
	}
	s.taken[name] = nil
	sources := s.needed("tree " + name)
	if sources == nil {
		return nil
	}
	part, faults := loadFrom(sources, s.functions, s.names())
	if t := part.Tree(name); faults.Empty() && t != nil {
		t.lib = l
		s.taken[name] = t
	}
	return s.taken[name]
}

func (s *shelf) names() []string {
	var out []string
	for _, h := range s.heads {
		if h.kind == "tree" {
			out = append(out, h.name)
		}
	}
	return out
}

// needed gathers the files that one of them needs, and the list of faults.
func (s *shelf) needed(first string) []Source {
	var out []Source
	wanted := []string{first}
	for i := 0; i < len(wanted); i++ {
		for _, h := range s.heads {
			if wanted[i] != h.kind+" "+h.name && (wanted[i] != "shared" || h.kind != "shared") || slices.ContainsFunc(out, func(o Source) bool { return o.Name == h.source.Name }) {
				continue
			}
			out = append(out, h.source)
			wanted = append(wanted, h.needs...)
		}
	}
	if len(out) == 0 {
		return nil
	}
	for _, h := range s.heads {
		if h.kind == "faults" {
			out = append(out, h.source)
		}
	}
	return out
}

// takeAll loads every tree of a library that loads when asked.
func (l *Library) takeAll() {
	if l.shelf == nil {
		return
	}
	l.shelf.mu.Lock()
	defer l.shelf.mu.Unlock()
	if l.shelf.whole {
		return
	}
	l.shelf.whole = true
	all, _ := Load(l.sources, l.shelf.functions...)
	l.faults = all.faults
	for _, t := range all.trees {
		if had := l.shelf.taken[t.Name]; had != nil {
			t = had
		}
		t.lib = l
		l.trees = append(l.trees, t)
		l.shelf.taken[t.Name] = t
	}
}
