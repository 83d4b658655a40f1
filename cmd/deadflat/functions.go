package main

import (
	"deadflat/internal/eval"
	"deadflat/internal/leadacid"
)

// tradeFunctions hands the trade's arithmetic to the trees: the functions whose
// answer is a single number.
func tradeFunctions() []*eval.Func {
	var out []*eval.Func
	for _, f := range leadacid.All() {
		if f.Unit != nil {
			out = append(out, f)
		}
	}
	return out
}
