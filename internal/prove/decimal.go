package prove

import (
	"math/big"
	"strconv"
)

// written is the decimal that the author meant by a number. A limit is the
// shortest decimal of its float64. Products and sums of limits that the loader
// worked out in binary carry a rounding error in the 16th digit, which is taken
// off here: 12.4 - 12.1 is 0.3.
func written(v float64) *big.Rat {
	r, _ := new(big.Rat).SetString(strconv.FormatFloat(v, 'g', 13, 64))
	short, _ := new(big.Rat).SetString(r.FloatString(12))
	if short.Sign() == 0 {
		return r
	}
	return short
}

// factor is the same for a number that multiplies a reading, which may be small.
func factor(v float64) *big.Rat {
	r, _ := new(big.Rat).SetString(strconv.FormatFloat(v, 'g', 13, 64))
	return r
}

// nearestFloat is the float64 nearest to r.
func nearestFloat(r *big.Rat) float64 {
	f, _ := r.Float64()
	return f
}
