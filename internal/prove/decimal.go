package prove

import (
	"math/big"
	"strconv"
)

// decimal is the shortest decimal that reads back as v: an end of a span as it was
// written, in a unit that is a power of ten of its base unit.
func decimal(v float64) *big.Rat {
	r, _ := new(big.Rat).SetString(strconv.FormatFloat(v, 'g', -1, 64))
	return r
}

// nearestFloat is the float64 nearest to r.
func nearestFloat(r *big.Rat) float64 {
	f, _ := r.Float64()
	return f
}
