package eval

import (
	"math/bits"
	"slices"

	"deadflat/internal/unit"
)

// Kind is what sort of answer a domain holds.
type Kind uint8

// The kinds.
const (
	Number Kind = iota
	Choice
	YesNo // a choice of "no" and "yes" whose bare name is a guard
)

// Domain is what an answer can be: a number inside a span, or one of some words.
type Domain struct {
	Kind    Kind
	Unit    *unit.Unit // of a number
	Span    [2]float64 // of a number, base units
	Choices []string   // of a choice; at most 64
}

// Number reports whether the answer is a quantity rather than a choice.
func (d *Domain) Number() bool { return d.Kind == Number }

// All is the set of all choices: nothing is known.
func (d *Domain) All() uint64 { return 1<<uint(len(d.Choices)) - 1 }

// Set is the set of the choices that stand in words; others are passed over.
func (d *Domain) Set(words ...string) uint64 {
	var set uint64
	for _, w := range words {
		if i := slices.Index(d.Choices, w); i >= 0 {
			set |= 1 << uint(i)
		}
	}
	return set
}

// Words gives the choices that lie in set.
func (d *Domain) Words(set uint64) []string {
	out := make([]string, 0, bits.OnesCount64(set))
	for i, w := range d.Choices {
		if set&(1<<uint(i)) != 0 {
			out = append(out, w)
		}
	}
	return out
}

// Same reports whether an answer of one domain means the same in the other.
func (d *Domain) Same(o *Domain) bool {
	return d.Number() == o.Number() && slices.Equal(d.Choices, o.Choices) && (!d.Number() || d.Unit.Dim == o.Unit.Dim)
}
