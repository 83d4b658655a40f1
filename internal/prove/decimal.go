package prove

import (
	"math/big"
	"strconv"

	"deadflat/internal/unit"
)

// decimal is the shortest decimal that reads back as v.
func decimal(v float64) *big.Rat {
	r, _ := new(big.Rat).SetString(strconv.FormatFloat(v, 'g', -1, 64))
	return r
}

// written is an end of a span, in base units, as it was written in a unit.
func written(v float64, u *unit.Unit) *big.Rat {
	if u == nil {
		return decimal(v)
	}
	y, _ := new(big.Rat).SetString(strconv.FormatFloat(u.From(v), 'g', 12, 64))
	zero, size := scale(u)
	return y.Add(y.Mul(y, size), zero)
}

// nearestFloat is the float64 nearest to r.
func nearestFloat(r *big.Rat) float64 {
	f, _ := r.Float64()
	return f
}
