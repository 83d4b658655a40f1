package leadacid

import "math"

// Range is a quantity that lies between Lo and Hi, both included, with Best the
// value to show: Lo <= Best <= Hi.
type Range struct{ Lo, Best, Hi float64 }

// Exactly is a quantity without doubt.
func Exactly(v float64) Range { return Range{v, v, v} }

// Around is best, give or take by.
func Around(best, by float64) Range { return Range{best - by, best, best + by} }

// Between is anything from lo to hi; the middle is shown.
func Between(lo, hi float64) Range { return Range{lo, lo + (hi-lo)/2, hi} }

// Contains reports whether v can be the quantity.
func (r Range) Contains(v float64) bool { return r.Lo <= v && v <= r.Hi }

// Join is the smallest range that covers r and o; it keeps r's Best.
func (r Range) Join(o Range) Range {
	return Range{math.Min(r.Lo, o.Lo), r.Best, math.Max(r.Hi, o.Hi)}
}

// held brings all of r between lo and hi, for what cannot be outside them.
func (r Range) held(lo, hi float64) Range {
	hold := func(v float64) float64 { return math.Min(math.Max(v, lo), hi) }
	return Range{hold(r.Lo), hold(r.Best), hold(r.Hi)}
}

// Verdict answers a question about quantities that are not known exactly.
type Verdict int

// The three answers. Open means that it can be either way within the doubt.
const (
	Open Verdict = iota
	Yes
	No
)

// Below answers whether r is less than o: Yes or No only when that holds for
// every value of both.
func (r Range) Below(o Range) Verdict {
	switch {
	case r.Hi < o.Lo:
		return Yes
	case r.Lo >= o.Hi:
		return No
	}
	return Open
}

// Over is the range of f while each of its arguments runs through its own range
// independently: the worst case, with no probability in it.
//
// f must rise or fall in each argument while the others stand still (which way
// may depend on the others). Then no inside point can pass the corners: moving
// one argument after the other to one of its ends never loses height. So the
// corners are all that has to be looked at. NaN from f is passed on.
func Over(f func(x []float64) float64, in ...Range) Range {
	x := make([]float64, len(in))
	for i, r := range in {
		x[i] = r.Best
	}
	best := f(x)
	out := Exactly(best)
	for corner := 0; corner < 1<<len(in); corner++ {
		for i, r := range in {
			x[i] = r.Lo
			if corner>>i&1 == 1 {
				x[i] = r.Hi
			}
		}
		v := f(x)
		out.Lo, out.Hi = math.Min(out.Lo, v), math.Max(out.Hi, v)
	}
	return out
}
