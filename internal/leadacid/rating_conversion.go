package leadacid

import (
	"math"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// Conversions of cold-crank ratings are rules of thumb that depend on the design
// of the battery. The known ones form a tree: each standard has one other toward
// which it is converted, with every published rule for that step, the one to go
// by first. A conversion goes up to the standard that both have in common and
// down again, and its range covers all rules.

// rule is: other = factor * rating + plus.
type rule struct {
	says         string
	factor, plus float64
	source       calc.Source
}

type step struct {
	toward string
	rules  []rule
}

var steps = map[string]step{
	en: {sae, []rule{
		{"SAE = EN / 0.945, the middle of the band", 1 / 0.945, 0, derived},
		{"SAE = EN / 0.92", 1 / 0.92, 0, practiced(seen)},
		{"SAE = EN / 0.97", 1 / 0.97, 0, fromMemory},
	}},
	"en2": {en, []rule{
		{"EN = EN2 / 0.885, the middle of the band", 1 / 0.885, 0, derived},
		{"EN = EN2 / 0.85", 1 / 0.85, 0, practiced(seen)},
		{"EN = EN2 / 0.92", 1 / 0.92, 0, practiced(seen)},
	}},
	"iec": {en, []rule{
		{"EN = IEC / 0.685, the middle of the band", 1 / 0.685, 0, derived},
		{"EN = IEC / 0.67", 1 / 0.67, 0, fromMemory},
		{"EN = IEC / 0.70", 1 / 0.70, 0, fromMemory},
	}},
	"din": {sae, []rule{
		{"SAE = 1.7 DIN", 1.7, 0, practiced(seen)},
		{"SAE = 1.6 DIN", 1.6, 0, fromMemory},
		{"SAE = 1.5 DIN + 40 A", 1.5, 40, fromMemory},
	}},
	"ca": {sae, []rule{
		{"SAE = 0.8 CA", 0.8, 0, practiced(practice)},
		{"ten per cent less than 0.8 CA, since no spread is published", 0.8 * 0.9, 0, ownChoice},
		{"ten per cent more than 0.8 CA, since no spread is published", 0.8 * 1.1, 0, ownChoice},
	}},
	"hca": {sae, []rule{
		{"SAE = HCA / 1.7, the middle of the band", 1 / 1.7, 0, derived},
		{"SAE = HCA / 1.5", 1 / 1.5, 0, fromMemory},
		{"SAE = HCA / 1.9", 1 / 1.9, 0, fromMemory},
	}},
}

// up converts toward the step's standard, down comes from it.
func (s step) up(r unit.Range) unit.Range {
	return s.join(r, func(x float64, by rule) float64 { return by.factor*x + by.plus })
}

func (s step) down(r unit.Range) unit.Range {
	return s.join(r, func(x float64, by rule) float64 { return math.Max(0, (x-by.plus)/by.factor) })
}

func (s step) join(r unit.Range, f func(float64, rule) float64) unit.Range {
	by := func(i int) unit.Range { return r.Map(func(x float64) float64 { return f(x, s.rules[i]) }) }
	out := by(0)
	for i := range s.rules[1:] {
		out = out.Hull(by(i + 1))
	}
	return out
}

// wayUp lists the standards from s to the top of the tree.
func wayUp(s string) []string {
	way := []string{s}
	for steps[s].toward != "" {
		s = steps[s].toward
		way = append(way, s)
	}
	return way
}

// convertRating is a rating of one standard in another, with the spread of what is
// published.
func convertRating(rating unit.Range, from, to string) (unit.Range, error) {
	if from != to && (from == jis || to == jis) {
		return unit.Range{}, calc.Impossiblef("nothing published leads to or from a JIS rating: look the size code up in its maker's list, or go by the capacity")
	}
	down := wayUp(to)
	for {
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

var sameWithin = figure("difference that never counts between ratings of different standards", unit.Exactly(0.10), "1", ownChoice)

// ratingOrder says how two cold-crank ratings stand to each other. Open means that
// one lies inside the spread of the other.
type ratingOrder struct {
	secondInFirst         unit.Range // A
	secondLess, firstLess unit.Verdict
}

// compareRatings goes by the numbers in one standard. In two, the second is
// converted, and neither is called the lesser while the other lies inside the
// spread of the conversion or within ten per cent.
func compareRatings(first unit.Range, firstStandard string, second unit.Range, secondStandard string) (ratingOrder, error) {
	in, err := convertRating(second, secondStandard, firstStandard)
	if err != nil {
		return ratingOrder{}, err
	}
	if firstStandard == secondStandard {
		return ratingOrder{in, in.Below(first), first.Below(in)}, nil
	}
	by := 1 + sameWithin.Range.Best
	wide := span(math.Min(in.Lo, in.Best/by), in.Best, math.Max(in.Hi, in.Best*by))
	return ratingOrder{in, certain(wide.Below(first)), certain(first.Below(wide))}, nil
}

// certain keeps a Yes: between two standards "not less" cannot be claimed.
func certain(v unit.Verdict) unit.Verdict {
	if v == unit.Yes {
		return unit.Yes
	}
	return unit.Open
}

func (o ratingOrder) says(sameStandard bool) string {
	switch {
	case o.secondLess == unit.Yes:
		return "The second is the lesser one."
	case o.firstLess == unit.Yes:
		return "The first is the lesser one."
	case sameStandard && o.secondLess == unit.No && o.firstLess == unit.No:
		return "They are equal."
	case sameStandard:
		return "Too close to call within the doubt of the numbers."
	}
	return "They cannot be called unequal: the difference is inside the spread of the conversion. Ask for both in one standard."
}

// conversionFigures lists the factors of all steps.
func conversionFigures() []calc.Figure {
	var all []calc.Figure
	for _, s := range standardNames {
		for _, r := range steps[s].rules {
			all = append(all, figure(r.says, unit.Exactly(r.factor), "1", r.source))
		}
	}
	return all
}

var ratingFunctions = []*calc.Function{
	ratingTestFunction,
	{
		Name: "convert_rating", Title: "Cold-crank rating in another standard", Topic: topicRating,
		Doc: "Approximate, since the tests differ and designs do. Never a reason to call a battery weak by a few per cent.",
		Params: []calc.Param{
			number("rating", ratingAmps, "cold-crank rating on the label"),
			standardParam("from", "its standard"),
			standardParam("to", "the standard wanted"),
		},
		Formula: "rating * factor for each step of the way; the range covers every published factor",
		Source:  practiced(seen), Figures: conversionFigures(),
		Work: func(a calc.Args) (calc.Result, error) {
			v, err := convertRating(a.Num("rating"), a.Word("from"), a.Word("to"))
			return single("rating", "about", "A", v, 0), err
		},
	},
	{
		Name: "compare_ratings", Title: "Two cold-crank ratings compared", Topic: topicRating,
		Doc: "Whether one battery is rated less than another when the labels go by different standards.",
		Params: []calc.Param{
			number("first", ratingAmps, "first rating"), standardParam("first_standard", "its standard"),
			number("second", ratingAmps, "second rating"), standardParam("second_standard", "its standard"),
		},
		Formula: "convert the second to the standard of the first; unequal only outside the spread and beyond 10 %",
		Source:  ownChoice, Figures: append([]calc.Figure{sameWithin}, conversionFigures()...),
		Work: func(a calc.Args) (calc.Result, error) {
			first, second := a.Word("first_standard"), a.Word("second_standard")
			o, err := compareRatings(a.Num("first"), first, a.Num("second"), second)
			r := single("second_in_first", "the second in the standard of the first", "A", o.secondInFirst, 0)
			r.Says = []string{o.says(first == second)}
			return r, err
		},
	},
}
