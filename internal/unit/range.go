package unit

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

// Hull is the smallest range that covers r and o; it keeps r's Best.
func (r Range) Hull(o Range) Range {
	return Range{math.Min(r.Lo, o.Lo), r.Best, math.Max(r.Hi, o.Hi)}
}

// Clamp brings all of r between lo and hi, for what cannot be outside them.
func (r Range) Clamp(lo, hi float64) Range {
	clamp := func(v float64) float64 { return math.Min(math.Max(v, lo), hi) }
	return Range{clamp(r.Lo), clamp(r.Best), clamp(r.Hi)}
}

// Plus is the sum of two quantities that have no doubt in common.
func (r Range) Plus(o Range) Range { return Range{r.Lo + o.Lo, r.Best + o.Best, r.Hi + o.Hi} }

// Minus is their difference.
func (r Range) Minus(o Range) Range { return Range{r.Lo - o.Hi, r.Best - o.Best, r.Hi - o.Lo} }

// Times is r times a number that is not negative.
func (r Range) Times(k float64) Range { return Range{r.Lo * k, r.Best * k, r.Hi * k} }

// Map is the range of f, which rises or falls all the way over r.
func (r Range) Map(f func(float64) float64) Range {
	lo, best, hi := f(r.Lo), f(r.Best), f(r.Hi)
	return Range{math.Min(best, math.Min(lo, hi)), best, math.Max(best, math.Max(lo, hi))}
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
	out := Exactly(f(x))
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

// Not is the answer to the opposite question.
func (v Verdict) Not() Verdict {
	switch v {
	case Yes:
		return No
	case No:
		return Yes
	}
	return Open
}
