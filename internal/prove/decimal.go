package prove

import (
	"math/big"
	"strconv"
)

// written is the decimal that somebody typed and a float64 holds: the shortest
// one that reads back as v.
func written(v float64) *big.Rat {
	r, _ := new(big.Rat).SetString(strconv.FormatFloat(v, 'g', -1, 64))
	return r
}

// nearestFloat is the float64 nearest to r.
func nearestFloat(r *big.Rat) float64 {
	f, _ := r.Float64()
	return f
}
