package leadacid

import (
	"fmt"
	"math"
	"regexp"
	"strings"

	"deadflat/internal/unit"
)

// between parts the two ends of a range; parted from numbers, so that "12.3..12.5"
// and "12.3 to 12.5" are one and "tonne" none.
var between = regexp.MustCompile(`\.\.|\s+to\s+`)

// giveOrTake stands before the doubt of a value.
var giveOrTake = regexp.MustCompile(`±|\+/-|\+-`)

// ReadRange reads a quantity as a person types it, in the unit wanted (its name)
// or in another of the same kind, with or without its doubt:
//
//	12.4   12.4 V   12,4   twelve point four
//	12.4 V ± 0.05   12.4 +- 0.05 V   12.4 ± 1 %
//	12.3..12.5 V   12.3 V to 12.5 V
//
// A share in % of a quantity that is itself in % is a number of per cent, like any
// other. The range is in the unit wanted. The error says what cannot be read.
func ReadRange(s, wanted string) (Range, error) {
	u := unitNamed(wanted)
	if ends := between.Split(s, -1); len(ends) > 1 {
		return readEnds(s, ends, u)
	}
	if parts := giveOrTake.Split(s, -1); len(parts) > 1 {
		return readAround(s, parts, u)
	}
	v, err := readOne(s, u)
	return Exactly(v.in(u)), err
}

// typed is a quantity as typed.
type typed struct{ unit.Typed }

func (t typed) in(u *unit.Unit) float64 {
	if t.Unit == u || t.Unit == nil {
		return t.Value
	}
	return u.From(t.Unit.Base(t.Value))
}

// readOne reads one number and refuses words after it.
func readOne(s string, u *unit.Unit) (typed, error) {
	t, err := unit.ParseTyped(s, u)
	if err == nil && t.Rest != "" {
		err = fmt.Errorf("%s: the words %s after the number mean nothing here", quote(s), quote(t.Rest))
	}
	return typed{t}, err
}

func readEnds(s string, ends []string, u *unit.Unit) (Range, error) {
	if len(ends) > 2 {
		return Range{}, fmt.Errorf("%s has more than two ends: type a range such as 12.3..12.5", quote(s))
	}
	hi, err := readOne(ends[1], u)
	if err != nil {
		return Range{}, err
	}
	// A unit behind the second end is that of both.
	first := u
	if hi.Given {
		first = hi.Unit
	}
	lo, err := readOne(ends[0], first)
	if err != nil {
		return Range{}, err
	}
	r := Between(lo.in(u), hi.in(u))
	if r.Lo > r.Hi {
		return Range{}, fmt.Errorf("%s: the first end is the greater one, type the lesser one first", quote(s))
	}
	return r, nil
}

func readAround(s string, parts []string, u *unit.Unit) (Range, error) {
	if len(parts) > 2 {
		return Range{}, fmt.Errorf("%s has more than one doubt: type one such as 12.4 ± 0.05", quote(s))
	}
	best, err := readOne(parts[0], u)
	if err != nil {
		return Range{}, err
	}
	by, err := readDoubt(best, parts[1], u)
	if err != nil {
		return Range{}, err
	}
	if by < 0 {
		return Range{}, fmt.Errorf("%s: a doubt cannot be negative", quote(s))
	}
	return Around(best.in(u), by), nil
}

// readDoubt reads what stands behind the ±, in the unit u: an amount in the unit
// of the value, or a share of it in per cent. A temperature's doubt is a
// difference of temperatures.
func readDoubt(best typed, s string, u *unit.Unit) (float64, error) {
	if share, ok := strings.CutSuffix(strings.TrimSpace(s), "%"); ok && u.Name != "%" {
		t, err := readOne(share, unitNamed("1"))
		return math.Abs(best.in(u)) * t.Value / 100, err
	}
	if u.Dim.Point {
		return readDegrees(best, s)
	}
	of := u
	if best.Given {
		of = best.Unit
	}
	t, err := readOne(s, of)
	return t.in(u), err
}

// readDegrees reads a difference of temperatures, in K; typed as a temperature it
// is meant as a difference on that scale.
func readDegrees(best typed, s string) (float64, error) {
	if t, err := readOne(s, unitNamed("K")); err == nil && t.Given {
		return t.Value, nil
	}
	t, err := readOne(s, best.Unit)
	if err != nil {
		return 0, err
	}
	return t.Unit.Base(t.Value) - t.Unit.Base(0), nil
}
