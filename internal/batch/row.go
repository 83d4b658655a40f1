package batch

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"deadflat/internal/engine"
)

// Row is what is said of one vehicle: a text for each key that is given, as a
// person would type it. A row belongs to one goroutine.
type Row struct {
	tree  *engine.Tree
	keys  []Key          // every key named so far
	named map[string]int // index into keys, by every name used for it

	label int // key of the vehicle's label, -1 while nobody named it

	values [][]byte // by key; empty: not given
	given  []int    // the keys given, in the order they came
	fixed  [][]byte // by key: what --set gives for every row; wins over the row
}

// NewRow makes an empty row for a tree.
func NewRow(t *engine.Tree) *Row { return &Row{tree: t, named: map[string]int{}, label: -1} }

// key gives the index of what a name means.
func (r *Row) key(name string) (int, error) {
	if at, ok := r.named[name]; ok {
		return at, nil
	}
	k, err := findKey(r.tree, name)
	if err != nil {
		return 0, err
	}
	at, ok := r.named[k.Name]
	if !ok {
		at = len(r.keys)
		r.keys, r.values, r.fixed = append(r.keys, k), append(r.values, nil), append(r.fixed, nil)
		r.named[k.Name] = at
		if k.Vehicle {
			r.label = at
		}
	}
	r.named[name] = at
	return at, nil
}

// Fix gives a value for this row and every later use of it, as --set does.
func (r *Row) Fix(assignment string) error {
	name, value, ok := strings.Cut(assignment, "=")
	name, value = strings.TrimSpace(name), strings.TrimSpace(value)
	if !ok {
		return fmt.Errorf("%q: expected name=value, as in rest_voltage=12.6", assignment)
	}
	at, err := r.key(name)
	if err != nil {
		return err
	}
	if value == "" {
		return fmt.Errorf("%q: there is no value after the equals sign", assignment)
	}
	if r.fixed[at] != nil {
		return fmt.Errorf("%q is given twice", name)
	}
	r.fixed[at] = []byte(value)
	return nil
}

// clear empties the row for the next vehicle; what was fixed stays.
func (r *Row) clear() {
	for _, at := range r.given {
		r.values[at] = nil
	}
	r.given = r.given[:0]
}

// set notes one value; text is kept, not copied. Blank text says nothing.
func (r *Row) set(at int, text []byte) {
	if text = bytes.TrimSpace(text); len(text) == 0 {
		return
	}
	r.values[at] = text
	r.given = append(r.given, at)
}

// put is set by name, for inputs that may name a thing twice.
func (r *Row) put(name string, text []byte) error {
	at, err := r.key(name)
	if err != nil {
		return err
	}
	if r.values[at] != nil {
		return fmt.Errorf("%q is given twice", name)
	}
	r.set(at, text)
	return nil
}

// value is the text given for a key; empty when there is none.
func (r *Row) value(at int) []byte {
	if r.fixed[at] != nil {
		return r.fixed[at]
	}
	return r.values[at]
}

// vehicle is the label given; empty when there is none.
func (r *Row) vehicle() []byte {
	if r.label < 0 {
		return nil
	}
	return r.value(r.label)
}

// copy makes another row for another goroutine, with the same keys and fixed
// values and nothing given.
func (r *Row) copy() *Row {
	return &Row{
		tree: r.tree, keys: slices.Clone(r.keys), named: maps.Clone(r.named), label: r.label,
		values: make([][]byte, len(r.keys)), fixed: slices.Clone(r.fixed),
	}
}

// errNoUTF8 is what is said of text in another encoding.
var errNoUTF8 = errors.New("the text is not UTF-8: save the file as UTF-8")
