package prove

import (
	"regexp"

	"gopkg.in/yaml.v3"

	"deadflat/internal/engine"
	"deadflat/internal/source"
)

// places knows where limits are declared and which names of limits any text of
// the library uses.
type places struct {
	limits map[string]map[string]*yaml.Node // file, limit: its key
	bodies map[string]map[string]*yaml.Node // file, limit: what it is
	files  map[string]*source.File
	named  map[string]bool   // limits that some text names
	trees  map[string]string // the file that declares a tree
}

var namedLimit = regexp.MustCompile(`\blimits\.([a-z][a-z0-9_]*)`)

func newPlaces(sources []engine.Source, keep ...*source.Faults) *places {
	w := &places{limits: map[string]map[string]*yaml.Node{}, bodies: map[string]map[string]*yaml.Node{}, files: map[string]*source.File{}, named: map[string]bool{}, trees: map[string]string{}}
	for _, s := range sources {
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
		w.limits[s.Name], w.bodies[s.Name] = entriesOf(valueOf(f.Root, "limits"))
		w.names(f.Root)
	}
	return w
}

// valueOf is the value of a key of a mapping, nil when it has none.
func valueOf(n *yaml.Node, key string) *yaml.Node {
	if n == nil || n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}

// entriesOf gives the keys and the values of a mapping by name.
func entriesOf(n *yaml.Node) (keys, values map[string]*yaml.Node) {
	keys, values = map[string]*yaml.Node{}, map[string]*yaml.Node{}
	if n == nil || n.Kind != yaml.MappingNode {
		return keys, values
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		keys[n.Content[i].Value], values[n.Content[i].Value] = n.Content[i], n.Content[i+1]
	}
	return keys, values
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
		if n := w.limits[name][id]; n != nil {
			return w.files[name].At(n), true
		}
	}
	return source.Place{}, false
}
