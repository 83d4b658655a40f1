package source

import (
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"
)

// Mapping is the keys and values of a mapping in the order of the file. It remembers which keys were
// asked for, so that Done can report the others. All methods of a nil Mapping give nothing.
type Mapping struct {
	File *File
	Node *yaml.Node

	reader Reader
	keys   keyList
	values []*yaml.Node // of keys, one by one
	asked  []bool       // of keys
	absent []string     // asked for and not there; a name may stand here twice
}

// keyList holds different keys and finds them by name. Most mappings have few, which are looked
// through quicker than a map is made.
type keyList struct {
	list   []*yaml.Node
	places map[string]int // nil while there are few
}

const few = 24

// find is the place of a key, -1 if it is absent.
func (k *keyList) find(name string) int {
	if k.places != nil {
		if i, ok := k.places[name]; ok {
			return i
		}
		return -1
	}
	for i, key := range k.list {
		if key.Value == name {
			return i
		}
	}
	return -1
}

func (k *keyList) add(key *yaml.Node) {
	k.list = append(k.list, key)
	switch {
	case k.places != nil:
		k.places[key.Value] = len(k.list) - 1
	case len(k.list) > few:
		k.places = map[string]int{}
		for i, key := range k.list {
			k.places[key.Value] = i
		}
	}
}

// Get gives the value of a key, nil if the key is absent.
func (m *Mapping) Get(key string) *yaml.Node {
	if m == nil {
		return nil
	}
	i := m.keys.find(key)
	if i < 0 {
		m.absent = append(m.absent, key)
		return nil
	}
	m.asked[i] = true
	return m.values[i]
}

// Has tells whether a key is there.
func (m *Mapping) Has(key string) bool { return m.Get(key) != nil }

// Keys gives the keys in the order of the file, for a mapping whose keys are names of the author's.
func (m *Mapping) Keys() []*yaml.Node {
	if m == nil {
		return nil
	}
	return m.keys.list
}

// Done reports the keys that nobody asked for. Call it when all keys that can stand here were asked for.
func (m *Mapping) Done() {
	if m == nil {
		return
	}
	for i, key := range m.keys.list {
		if m.asked[i] {
			continue
		}
		advice := DidYouMean(key.Value, m.known())
		if advice == "" {
			advice = m.whatElse()
		}
		m.reader.Fault("unknown-key", key, "%q is no key that can stand here%s", short(key.Value), advice)
	}
}

// known lists the keys that can stand here: all that were asked for, each once.
func (m *Mapping) known() []string {
	known := slices.Clone(m.absent)
	for i, key := range m.keys.list {
		if m.asked[i] {
			known = append(known, key.Value)
		}
	}
	slices.Sort(known)
	return slices.Compact(known)
}

// whatElse names the keys that could still be given.
func (m *Mapping) whatElse() string {
	free := slices.Clone(m.absent)
	slices.Sort(free)
	free = slices.Compact(free)
	if len(free) == 0 {
		return ": remove it"
	}
	return fmt.Sprintf(": remove it, or use one of %s", strings.Join(free, ", "))
}
