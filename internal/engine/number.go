package engine

import (
	"math"

	"deadflat/internal/eval"
	"deadflat/internal/unit"
)

// decimals is how many digits after the point a quantity is shown with: as many
// as it needs, up to what a workshop meter could show.
func decimals(base float64, u *unit.Unit) int {
	most := 2
	switch u.Name {
	case "V/A":
		most = 4
	case "A":
		if math.Abs(base) >= 10 {
			most = 1
		}
	case "°C", "K", "mV", "°F":
		most = 1
	case "1":
		most = 3
	}
	v := u.From(base)
	for d := 0; d < most; d++ {
		p := math.Pow10(d)
		if math.Abs(v-math.Round(v*p)/p) < 1e-9*math.Max(1, math.Abs(v)) {
			return d
		}
	}
	return most
}

// show prints a quantity in its unit.
func show(base float64, u *unit.Unit) string { return unit.Format(base, u, decimals(base, u)) }

// showPlain keeps two decimals for voltages, as a meter does, so that a limit of
// 12.4 V stands beside a reading as 12.40 V.
func showPlain(base float64, u *unit.Unit) string {
	if u.Name == "V" {
		return unit.Format(base, u, 2)
	}
	return show(base, u)
}

// Show prints what a limit, a value or an answer comes to, as explanations do:
// "12.40 V", or "9.10 V to 9.35 V" where what it depends on is in doubt; unknown
// stands for one that is not known yet.
func Show(in eval.Interval, u *unit.Unit, unknown string) string {
	if !in.Known {
		return unknown
	}
	if narrow(in, u) {
		return showPlain(in.Best, u)
	}
	return showPlain(in.Lo, u) + " to " + showPlain(in.Hi, u)
}

// narrow reports whether a range is hardly wider than the last digit shown, so
// that one number says enough.
func narrow(in eval.Interval, u *unit.Unit) bool {
	digit := math.Pow10(-decimalsLike(in.Best, u))
	return u.From(in.Hi)-u.From(in.Lo) <= 2.5*digit || showPlain(in.Lo, u) == showPlain(in.Hi, u)
}

func decimalsLike(base float64, u *unit.Unit) int {
	if u.Name == "V" {
		return 2
	}
	return decimals(base, u)
}

// showDoubt prints a best value with how far the truth can lie on either side.
func showDoubt(best, lo, hi float64, u *unit.Unit) string {
	below, above := best-lo, hi-best
	s := showPlain(best, u)
	const tiny = 1e-9
	if below < tiny && above < tiny {
		return s
	}
	if math.Abs(below-above) <= 0.05*math.Max(below, above) {
		return s + " ± " + showWidth(math.Max(below, above), u)
	}
	return s + " (" + showPlain(lo, u) + " to " + showPlain(hi, u) + ")"
}

// showWidth prints a doubt, rounded up to the last digit that is shown, so that
// it is never made smaller than it is.
func showWidth(w float64, u *unit.Unit) string {
	d := decimalsLike(w, u)
	v := u.From(u.Base(0) + w)
	if u.Dim.Point {
		v = w
	}
	p := math.Pow10(d)
	v = math.Ceil(v*p-1e-9) / p
	if u.Dim.Point {
		k, _ := unit.Lookup("K")
		return unit.Format(v, k, d)
	}
	return unit.Format(u.Base(v), u, d)
}
