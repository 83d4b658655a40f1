package batch

import (
	"fmt"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/source"
)

// The names that are no readings.
const (
	vehicleWord = "vehicle" // a label for the result
	doneWord    = "done"    // "charge.done": whether the step was carried out
	unableWord  = "unable"  // "earth.unable": why the step could not be carried out
)

// Key is what a name means. Two names may mean the same: "rest" and
// "rest_voltage".
type Key struct {
	engine.Column
	Name    string // the one to print: the reading's id, with its step if it has one
	Vehicle bool
}

// findKey finds what a name means in a tree.
func findKey(t *engine.Tree, name string) (Key, error) {
	if name == vehicleWord {
		return Key{Name: name, Vehicle: true}, nil
	}
	c, err := t.Column(name)
	if err != nil {
		return Key{}, fmt.Errorf("%w%s", err, meant(t, name))
	}
	k := Key{Column: c}
	switch {
	case c.Step == nil:
		k.Name = c.Reading.ID
	case c.Reading != nil:
		k.Name = c.Step.ID + "." + c.Reading.ID
	case c.Unable:
		k.Name = c.Step.ID + "." + unableWord
	default:
		k.Name = c.Step.ID + "." + doneWord
	}
	return k, nil
}

// meant suggests a name for one that means nothing.
func meant(t *engine.Tree, name string) string {
	step, word, dotted := strings.Cut(name, ".")
	if !dotted {
		known := []string{vehicleWord}
		for _, r := range t.Readings {
			known = append(known, r.ID)
		}
		return source.DidYouMean(name, known)
	}
	var steps []string
	for _, s := range t.Steps {
		if s.ID == step {
			return source.DidYouMean(word, wordsAt(s))
		}
		steps = append(steps, s.ID)
	}
	return source.DidYouMean(step, steps)
}

// wordsAt lists what may stand behind a step's name.
func wordsAt(s *engine.Step) []string {
	words := []string{doneWord, unableWord}
	for _, r := range s.Take {
		words = append(words, r.ID)
	}
	for _, r := range s.Record {
		words = append(words, r.ID)
	}
	return words
}
