package prove

import (
	"deadflat/internal/engine"
	"deadflat/internal/source"
)

// Report is what was proved of some trees and what is wrong with them.
type Report struct {
	Faults    *source.Faults // of the trees, each by a rule of this package
	Remarks   *source.Faults // by rules that are remarks only: worth a look, and the tree is sound all the same
	Undecided int            // how many of them say that something could not be decided
	Trees     []TreeReport
	Shared    Mutation // of what stands in the files that trees share
}

// Sound reports whether everything was proved and nothing is wrong.
func (r *Report) Sound() bool {
	if !r.Faults.Empty() {
		return false
	}
	for i := range r.Trees {
		if c := r.Trees[i].Cases; c != nil && !c.Sound() {
			return false
		}
	}
	return true
}

// TreeReport is one tree in numbers.
type TreeReport struct {
	Tree     *engine.Tree
	Steps    int // steps with their sub-trees laid in
	Branches int
	Compared int // comparisons of several readings
	Longest  Length
	Open     []string // temporary changes of its steps that can be open at a finding; each has its sentence
	Cases    *Cases   // nil when there are none beside the tree
	// NotMutated is why no small change of the tree was tried, when that was asked for; "" when some were.
	NotMutated string
}

// Length is how long a way is.
type Length struct{ Questions, Cranks int }
