package source

import (
	"fmt"
	"iter"
	"maps"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"
)

// Mapping is the keys and values of a mapping in the order of the file. It remembers which keys were
// asked for, so that Done can report the others. All methods of a nil Mapping give nothing.
type Mapping struct {
	Node *yaml.Node

	reader Reader
	keys   []*yaml.Node
	values map[string]*yaml.Node
	asked  map[string]bool
	meant  []string // what was advised in the place of unknown keys
	merged bool     // it would take keys from elsewhere, which was refused
}

// Get gives the value of a key, nil if the key is absent.
func (m *Mapping) Get(key string) *yaml.Node {
	if m == nil {
		return nil
	}
	m.asked[key] = true
	return m.values[key]
}

// Has tells whether a key is there.
func (m *Mapping) Has(key string) bool { return m.Get(key) != nil }

// All gives the keys with their values in the order of the file, for a mapping whose keys are names
// of the author's. It does not count as asking for them.
func (m *Mapping) All() iter.Seq2[*yaml.Node, *yaml.Node] {
	return func(yield func(key, value *yaml.Node) bool) {
		if m == nil {
			return
		}
		for _, key := range m.keys {
			if !yield(key, m.values[key.Value]) {
				return
			}
		}
	}
}

// Unfinished notes that the mapping would take keys from elsewhere, which was refused: it lacks none.
func (m *Mapping) Unfinished() { m.merged = true }

// Done reports the keys that nobody asked for. Call it when all keys that can stand here were asked for.
func (m *Mapping) Done() {
	if m == nil {
		return
	}
	unknown := slices.DeleteFunc(slices.Clone(m.keys), func(key *yaml.Node) bool { return m.asked[key.Value] })
	if len(unknown) == 0 {
		return
	}
	known := slices.Sorted(maps.Keys(m.asked))
	for _, key := range unknown {
		if isNull(m.values[key.Value]) {
			continue // reported by Read
		}
		advice := DidYouMean(key.Value, known)
		m.meant = append(m.meant, advice)
		if advice == "" {
			advice = m.whatElse(known)
		}
		m.reader.Fault("unknown-key", key, "%q is no key that can stand here%s", short(key.Value), advice)
	}
}

// Misspelt tells that a key is not there, but one near to it that nobody has asked for.
func (m *Mapping) Misspelt(key string) bool {
	return m != nil && m.values[key] == nil && slices.ContainsFunc(m.keys, func(k *yaml.Node) bool {
		return !m.asked[k.Value] && DidYouMean(k.Value, []string{key}) != ""
	})
}

// Lacks tells, after Done, that a key is not there and that no fault reported of the mapping may be
// the reason.
func (m *Mapping) Lacks(key string) bool {
	return m != nil && !m.merged && m.values[key] == nil && !slices.Contains(m.meant, advise(key)) && !slices.Contains(m.meant, advise("like"))
}

// whatElse names the keys that could still be given.
func (m *Mapping) whatElse(known []string) string {
	free := slices.DeleteFunc(slices.Clone(known), func(key string) bool { return m.values[key] != nil })
	if len(free) == 0 {
		return ": remove it"
	}
	return fmt.Sprintf(": remove it, or use one of %s", strings.Join(free, ", "))
}
