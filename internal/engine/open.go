package engine

import (
	"slices"
	"sync"

	"deadflat/internal/eval"
)

// Index says which files each tree of a library needs: names of its sources, by the
// name of the tree.
type Index map[string][]string

// Open is a library of files that were proved beforehand, such as those that ship: a
// tree is loaded when it is first asked for, from the files that the index names, so
// that a walk shows its first question soon. A tree that has a fault after all is not
// there.
func Open(sources []Source, index Index, functions ...*eval.Func) *Library {
	return &Library{sources: sources, functions: functions, lazy: &lazyLoader{functions: functions, index: index, opened: map[string]*Tree{}}}
}

// lazyLoader loads the trees of a library when they are asked for.
type lazyLoader struct {
	functions []*eval.Func
	index     Index
	mu        sync.Mutex
	opened    map[string]*Tree
	whole     bool
}

// tree loads one tree, once.
func (z *lazyLoader) tree(l *Library, name string) *Tree {
	z.mu.Lock()
	defer z.mu.Unlock()
	if t, ok := z.opened[name]; ok || z.index[name] == nil {
		return t
	}
	needed := slices.DeleteFunc(slices.Clone(l.sources), func(s Source) bool { return !slices.Contains(z.index[name], s.Name) })
	part, faults := loadFrom(needed, z.functions, keys(z.index))
	t := part.Tree(name)
	if !faults.Empty() {
		t = nil
	}
	if t != nil {
		t.lib = l
	}
	z.opened[name] = t
	return t
}

// all loads every tree that is not there yet, and the kinds of faults.
func (z *lazyLoader) all(l *Library) {
	z.mu.Lock()
	defer z.mu.Unlock()
	if z.whole {
		return
	}
	z.whole = true
	all, _ := Load(l.sources, z.functions...)
	l.faults = all.faults
	for _, t := range all.trees {
		if had := z.opened[t.Name]; had != nil {
			t = had
		}
		t.lib = l
		l.trees = append(l.trees, t)
		z.opened[t.Name] = t
	}
}
