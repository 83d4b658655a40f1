package compare

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"deadflat/internal/engine"
)

// Change is one thing of a tree that was added, removed or changed.
type Change struct {
	Part    string   `json:"part"` // "limits", "readings", "steps", ...
	Name    string   `json:"name"`
	Title   string   `json:"title,omitempty"`
	Did     Did      `json:"did"`
	Details []Detail `json:"details,omitempty"` // of what was changed
}

// Did says what became of a thing.
type Did string

// What can become of a thing.
const (
	Added   Did = "added"
	Removed Did = "removed"
	Changed Did = "changed"
)

// Detail is one key that says something else now. Was or Is is empty when the key
// was not there.
type Detail struct {
	Key string `json:"key"`
	Was string `json:"was,omitempty"`
	Is  string `json:"is,omitempty"`
}

// parts are the parts of a tree in the order in which they are told.
var parts = []string{"tree", "readings", "limits", "values", "hazard rules", "steps", "findings"}

// item is one thing of a tree with everything that its author says of it.
type item struct {
	part, name, title string
	facts             []fact
}

type fact struct{ key, says string }

func (i *item) add(key, says string) {
	if says != "" {
		i.facts = append(i.facts, fact{key, says})
	}
}

func (i *item) mark(key string, yes bool) {
	if yes {
		i.add(key, "yes")
	}
}

func (i *item) number(key string, x float64) {
	if x != 0 {
		i.add(key, strconv.FormatFloat(x, 'g', 6, 64))
	}
}

func (i *item) list(key string, words []string) { i.add(key, strings.Join(words, ", ")) }

func (i *item) get(key string) string {
	for _, f := range i.facts {
		if f.key == key {
			return f.says
		}
	}
	return ""
}

// Changes lists what is different, part by part.
func Changes(old, now *engine.Tree) []Change {
	was, is := items(old), items(now)
	out := []Change{}
	for _, i := range is.list {
		if before := was.find(i); before == nil {
			out = append(out, Change{Part: i.part, Name: i.name, Title: i.title, Did: Added, Details: details(&item{}, i)})
		} else if d := details(before, i); len(d) > 0 {
			out = append(out, Change{Part: i.part, Name: i.name, Title: i.title, Did: Changed, Details: d})
		}
	}
	for _, i := range was.list {
		if is.find(i) == nil {
			out = append(out, Change{Part: i.part, Name: i.name, Title: i.title, Did: Removed})
		}
	}
	slices.SortStableFunc(out, func(a, b Change) int { return cmp.Compare(slices.Index(parts, a.Part), slices.Index(parts, b.Part)) })
	return out
}

// things is everything of one edition, in order.
type things struct {
	list []*item
	by   map[[2]string]*item
}

// find looks a thing up among those of another edition.
func (t *things) find(i *item) *item { return t.by[[2]string{i.part, i.name}] }

// item begins a thing, or goes on with it: a sub-tree that is laid in twice has
// its steps once.
func (t *things) item(part, name, title string) *item {
	key := [2]string{part, name}
	if t.by[key] == nil {
		t.by[key] = &item{part: part, name: name, title: title}
		t.list = append(t.list, t.by[key])
	}
	return t.by[key]
}

func details(was, is *item) []Detail {
	var out []Detail
	for _, f := range is.facts {
		if before := was.get(f.key); before != f.says {
			out = append(out, Detail{f.key, before, f.says})
		}
	}
	for _, f := range was.facts {
		if is.get(f.key) == "" {
			out = append(out, Detail{f.key, f.says, ""})
		}
	}
	return out
}
