package eval

import (
	"fmt"
	"math/bits"
	"slices"
	"strings"

	"deadflat/internal/unit"
)

// Kind is what sort of answer a domain holds.
type Kind uint8

// The kinds.
const (
	Number Kind = iota
	Choice
	YesNo   // a choice of "no" and "yes" whose bare name is a guard
	Several // a choice of which words of a list hold at once
)

// MaxSeveral is how many words may hold at once, so that their combinations fit a set.
const MaxSeveral = 6

// Domain is what an answer can be: a number inside a span, or one of some words.
//
// Several is no more than a choice among all combinations of a list: what is known of a
// choice holds for it, and only who shows or reads the list need tell the two apart.
type Domain struct {
	Kind    Kind
	Unit    *unit.Unit // of a number
	Span    [2]float64 // of a number, base units
	Choices []string   // every answer of a choice; at most 64
	list    []string   // of Several: choice i holds the words whose bits are set in i; then None
}

// SeveralOf is the domain of the combinations of at most MaxSeveral words.
func SeveralOf(list []string) Domain {
	d := Domain{Kind: Several, list: append(slices.Clone(list), None)}
	for i := range 1 << len(list) {
		d.Choices = append(d.Choices, d.Combination(uint64(i)))
	}
	return d
}

// None is the combination that holds no word.
const None = "none"

// Combination names a combination by the bits of its words: "left, right and rear".
func (d *Domain) Combination(bits uint64) string {
	words := (&Domain{Choices: d.list}).Words(bits)
	switch last := len(words) - 1; last {
	case -1:
		return None
	case 0:
		return words[0]
	default:
		return strings.Join(words[:last], ", ") + " and " + words[last]
	}
}

// List is what a person picks from: one word of it, or with Many one or more of those
// before the last, which is None.
func (d *Domain) List() []string {
	if d.Many() {
		return d.list
	}
	return d.Choices
}

// Many reports whether an answer may hold any number of the words of the list.
func (d *Domain) Many() bool { return d.Kind == Several }

// With is the set of the combinations that hold a word of the list; 0 where it is not in it.
func (d *Domain) With(word string) uint64 {
	k := slices.Index(d.list, word)
	if k < 0 || word == None {
		return d.Set(word)
	}
	var set uint64
	for i := range d.Choices {
		set |= uint64(i>>k&1) << uint(i)
	}
	return set
}

// Holds gives the word that all combinations of set hold, or that all of them lack,
// where they are those and no others; "" where there is none.
func (d *Domain) Holds(set uint64) (word string, lacks bool) {
	for _, w := range d.list {
		switch with := d.With(w); {
		case w == None:
		case with == set:
			return w, false
		case with == d.All()&^set:
			return w, true
		}
	}
	return "", false
}

// Says words that the answer lies in set, or that it does not: "is", "loose or damaged".
func (d *Domain) Says(set uint64, not bool) (is, words string) {
	if w, lacks := d.Holds(set); w != "" {
		return map[bool]string{false: "includes", true: "does not include"}[lacks != not], w
	}
	return map[bool]string{false: "is", true: "is not"}[not], strings.Join(d.Words(set), " or ")
}

// Guard writes that the answer to id lies in set, as an author would.
func (d *Domain) Guard(id string, set uint64) string {
	rest := d.All() &^ set
	in := func(set uint64) string { return fmt.Sprintf("%s in [\"%s\"]", id, strings.Join(d.Words(set), `", "`)) }
	w, lacks := d.Holds(set)
	switch n := bits.OnesCount64(set); {
	case w != "" && lacks:
		return fmt.Sprintf("not (%q in %s)", w, id)
	case w != "":
		return fmt.Sprintf("%q in %s", w, id)
	case n == 1:
		return fmt.Sprintf("%s == %q", id, d.Words(set)[0])
	case bits.OnesCount64(rest) == 1:
		return fmt.Sprintf("%s != %q", id, d.Words(rest)[0])
	case n > bits.OnesCount64(rest):
		return "not (" + in(rest) + ")"
	}
	return in(set)
}

// Sample is a value of the type that expr checks a guard with; of Several that is any type, since a word is looked for in it and it is compared with a word.
func (d *Domain) Sample() any {
	return [...]any{Number: 0.0, Choice: "", YesNo: true, Several: new(any)}[d.Kind]
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
