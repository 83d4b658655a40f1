package leadacid

import "math"

// Conversions of cold-crank ratings are rules of thumb that depend on the design
// of the battery. The known ones form a tree: each standard has one other toward
// which it is converted, with every published rule for that step, the one to go
// by first. A conversion goes up to the standard that both have in common and
// down again, and its range covers all rules.

// rule is: other = factor * rating + plus.
type rule struct {
	says         string
	factor, plus float64
	source       Source
}

type step struct {
	toward Standard
	rules  []rule
}

var steps = map[Standard]step{
	EN: {SAE, []rule{
		{"SAE = EN / 0.945, the middle of the band", 1 / 0.945, 0, derived},
		{"SAE = EN / 0.92", 1 / 0.92, 0, practiced(Seen)},
		{"SAE = EN / 0.97", 1 / 0.97, 0, fromMemory},
	}},
	EN2: {EN, []rule{
		{"EN = EN2 / 0.885, the middle of the band", 1 / 0.885, 0, derived},
		{"EN = EN2 / 0.85", 1 / 0.85, 0, practiced(Seen)},
		{"EN = EN2 / 0.92", 1 / 0.92, 0, practiced(Seen)},
	}},
	IEC: {EN, []rule{
		{"EN = IEC / 0.685, the middle of the band", 1 / 0.685, 0, derived},
		{"EN = IEC / 0.67", 1 / 0.67, 0, fromMemory},
		{"EN = IEC / 0.70", 1 / 0.70, 0, fromMemory},
	}},
	DIN: {SAE, []rule{
		{"SAE = 1.7 DIN", 1.7, 0, practiced(Seen)},
		{"SAE = 1.6 DIN", 1.6, 0, fromMemory},
		{"SAE = 1.5 DIN + 40 A", 1.5, 40, fromMemory},
	}},
	CA: {SAE, []rule{
		{"SAE = 0.8 CA", 0.8, 0, practiced(Practice)},
		{"ten per cent less than 0.8 CA, since no spread is published", 0.8 * 0.9, 0, ownChoice},
		{"ten per cent more than 0.8 CA, since no spread is published", 0.8 * 1.1, 0, ownChoice},
	}},
	HCA: {SAE, []rule{
		{"SAE = HCA / 1.7, the middle of the band", 1 / 1.7, 0, derived},
		{"SAE = HCA / 1.5", 1 / 1.5, 0, fromMemory},
		{"SAE = HCA / 1.9", 1 / 1.9, 0, fromMemory},
	}},
}

// up converts toward the step's standard, down comes from it.
func (s step) up(r Range) Range {
	return s.join(r, func(x float64, by rule) float64 { return by.factor*x + by.plus })
}

func (s step) down(r Range) Range {
	return s.join(r, func(x float64, by rule) float64 { return math.Max(0, (x-by.plus)/by.factor) })
}

func (s step) join(r Range, f func(float64, rule) float64) Range {
	var out Range
	for i, by := range s.rules {
		o := Over(func(x []float64) float64 { return f(x[0], by) }, r)
		if i == 0 {
			out = o
		} else {
			out = out.Join(o)
		}
	}
	return out
}

// wayUp lists the standards from s to the top of the tree.
func wayUp(s Standard) []Standard {
	way := []Standard{s}
	for {
		next, ok := steps[s]
		if !ok {
			return way
		}
		s = next.toward
		way = append(way, s)
	}
}

// ConvertRating is a cold-crank rating (A, 20 to 2500) of one standard in
// another, with the spread of what is published. Nothing leads to or from JIS,
// which rates by size code: that is Impossible, as is an unknown standard.
//
// Source: common practice, no source, and from memory; see the opinions of the
// function convert_rating.
func ConvertRating(rating Range, from, to Standard) (Range, error) {
	for _, s := range []Standard{from, to} {
		if _, err := RatingTestOf(s); err != nil {
			return Range{}, err
		}
	}
	if err := check(ratingAmps.is(rating)); err != nil {
		return Range{}, err
	}
	if from != to && (from == JIS || to == JIS) {
		return Range{}, impossible("nothing published leads to or from a JIS rating: look the size code up in its maker's list, or go by the capacity")
	}
	down := wayUp(to)
	for i := 0; ; i++ {
		for j, s := range down {
			if s == from {
				for j--; j >= 0; j-- {
					rating = steps[down[j]].down(rating)
				}
				return rating, nil
			}
		}
		rating = steps[from].up(rating)
		from = steps[from].toward
	}
}

// sameWithin is the difference that never counts between two standards.
var sameWithin = Figure{"difference that never counts between ratings of different standards", Exactly(0.10), "1", ownChoice}

// RatingOrder says how two cold-crank ratings stand to each other.
type RatingOrder struct {
	SecondInFirst Range   // the second rating, converted to the standard of the first, A
	SecondLess    Verdict // whether the second is the lesser; Open within the spread
	FirstLess     Verdict
}

// CompareRatings compares two cold-crank ratings (A, 20 to 2500). In one standard
// the numbers decide. In two, the second is converted, and neither is called the
// lesser while the other lies inside the spread of the conversion or within ten
// per cent: then both verdicts are Open.
func CompareRatings(first Range, firstStandard Standard, second Range, secondStandard Standard) (RatingOrder, error) {
	if err := check(ratingAmps.is(first)); err != nil {
		return RatingOrder{}, err
	}
	in, err := ConvertRating(second, secondStandard, firstStandard)
	if err != nil {
		return RatingOrder{}, err
	}
	if firstStandard == secondStandard {
		return RatingOrder{in, in.Below(first), first.Below(in)}, nil
	}
	by := 1 + sameWithin.Range.Best
	wide := Range{math.Min(in.Lo, in.Best/by), in.Best, math.Max(in.Hi, in.Best*by)}
	return RatingOrder{in, certain(wide.Below(first)), certain(first.Below(wide))}, nil
}

// certain keeps a Yes: between two standards "not less" cannot be claimed.
func certain(v Verdict) Verdict {
	if v == Yes {
		return Yes
	}
	return Open
}

func (o RatingOrder) says(first, second Standard) string {
	switch {
	case o.SecondLess == Yes:
		return "The second is the lesser one."
	case o.FirstLess == Yes:
		return "The first is the lesser one."
	case first == second && o.SecondLess == No && o.FirstLess == No:
		return "They are equal."
	case first == second:
		return "Too close to call within the doubt of the numbers."
	}
	return "They cannot be called unequal: the difference is inside the spread of the conversion. Ask for both in one standard."
}

// conversionFigures lists the factors of all steps.
func conversionFigures() []Figure {
	var all []Figure
	for _, s := range standardNames {
		for _, r := range steps[Standard(s)].rules {
			all = append(all, Figure{r.says, Exactly(r.factor), "1", r.source})
		}
	}
	return all
}

var ratingFunctions = []*Function{
	ratingTestFunction,
	{
		Name: "convert_rating", Title: "Cold-crank rating in another standard", Topic: topicRating,
		Doc: "Approximate, since the tests differ and designs do. Never a reason to call a battery weak by a few per cent.",
		Params: []Param{
			number("rating", ratingAmps, "cold-crank rating on the label"),
			choice("from", "its standard", standardNames...),
			choice("to", "the standard wanted", standardNames...),
		},
		Formula: "rating * factor for each step of the way; the range covers every published factor",
		Source:  practiced(Seen), Figures: conversionFigures(),
		work: func(a Args) (Result, error) {
			v, err := ConvertRating(a.num("rating"), Standard(a.word("from")), Standard(a.word("to")))
			return one(Value{"rating", "about", "A", v, 0}, err)
		},
	},
	{
		Name: "compare_ratings", Title: "Two cold-crank ratings compared", Topic: topicRating,
		Doc: "Whether one battery is rated less than another when the labels go by different standards.",
		Params: []Param{
			number("first", ratingAmps, "first rating"), choice("first_standard", "its standard", standardNames...),
			number("second", ratingAmps, "second rating"), choice("second_standard", "its standard", standardNames...),
		},
		Formula: "convert the second to the standard of the first; unequal only outside the spread and beyond 10 %",
		Source:  ownChoice, Figures: append([]Figure{sameWithin}, conversionFigures()...),
		work: func(a Args) (Result, error) {
			first, second := Standard(a.word("first_standard")), Standard(a.word("second_standard"))
			o, err := CompareRatings(a.num("first"), first, a.num("second"), second)
			r, err := one(Value{"second_in_first", "the second in the standard of the first", "A", o.SecondInFirst, 0}, err)
			if err == nil {
				r.Says = []string{o.says(first, second)}
			}
			return r, err
		},
	},
}
