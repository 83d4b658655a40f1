package prove

import (
	"iter"
	"regexp"

	"gopkg.in/yaml.v3"

	"deadflat/internal/engine"
	"deadflat/internal/source"
)

// places knows where limits are declared and which names of limits any text of
// the library uses.
type places struct {
	files map[string]*source.File
	named map[string]bool   // limits that some text names
	trees map[string]string // the file that declares a tree
}

var namedLimit = regexp.MustCompile(`\blimits\.([a-z][a-z0-9_]*)`)

func newPlaces(sources []engine.Source, keep ...*source.Faults) *places {
	w := &places{files: map[string]*source.File{}, named: map[string]bool{}, trees: map[string]string{}}
	for _, s := range sources {
		if engine.IsPicture(s.Name) {
			continue
		}
		f := source.Read(s.Name, s.Data, &source.Faults{})
		if f == nil || f.Root == nil {
			continue
		}
		for _, faults := range keep {
			faults.Keep(f)
		}
		w.files[s.Name] = f
		if name := valueOf(f.Root, "tree"); name != nil {
			w.trees[name.Value] = s.Name
		}
		w.names(f.Root)
	}
	return w
}

// entries runs over the keys and values of a mapping; of anything else there are none.
func entries(n *yaml.Node) iter.Seq2[*yaml.Node, *yaml.Node] {
	return func(yield func(key, value *yaml.Node) bool) {
		if n == nil || n.Kind != yaml.MappingNode {
			return
		}
		for i := 0; i+1 < len(n.Content) && yield(n.Content[i], n.Content[i+1]); i += 2 {
		}
	}
}

// entry is a key of a mapping with its value; nil when it has none.
func entry(n *yaml.Node, name string) (key, value *yaml.Node) {
	for k, v := range entries(n) {
		if k.Value == name {
			return k, v
		}
	}
	return nil, nil
}

// valueOf is the value of a key of a mapping, nil when it has none.
func valueOf(n *yaml.Node, key string) *yaml.Node {
	_, v := entry(n, key)
	return v
}

// limits is where a file declares its limits, nil when it declares none.
func (w *places) limits(file string) *yaml.Node {
	if f := w.files[file]; f != nil {
		return valueOf(f.Root, "limits")
	}
	return nil
}

// names notes every limit that a text in or under n names.
func (w *places) names(n *yaml.Node) {
	if n.Kind == yaml.ScalarNode {
		for _, m := range namedLimit.FindAllStringSubmatch(n.Value, -1) {
			w.named[m[1]] = true
		}
	}
	for _, k := range n.Content {
		w.names(k)
	}
}

// limit is where one of the tree's files declares a limit.
func (w *places) limit(t *engine.Tree, id string) (source.Place, bool) {
	for _, name := range t.Files() {
		if key, _ := entry(w.limits(name), id); key != nil {
			return w.files[name].At(key), true
		}
	}
	return source.Place{}, false
}
