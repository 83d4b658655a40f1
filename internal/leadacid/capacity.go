package leadacid

import (
	"math"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// The 20-hour capacity is what a twentieth of it draws in 20 h down to 10.5 V;
// the reserve capacity is the time that 25 A takes down to 10.5 V. Between them
// stands the standards' law and, beside it, the trade's rules of thumb.

// powerLaw is y = factor * x ^ power.
type powerLaw struct{ factor, power float64 }

func (p powerLaw) at(x float64) float64 { return p.factor * math.Pow(x, p.power) }

// The law of EN 50342-1 and IEC 60095-1:2006, both ways; the two ways agree to
// 0.1 %. VRLA stands for AGM and gel.
var (
	reserveLaw  = map[string]powerLaw{"flooded": {0.7732, 1.1828}, "VRLA": {1.1339, 1.1201}}
	capacityLaw = map[string]powerLaw{"flooded": {1.2429, 0.8455}, "VRLA": {0.8939, 0.8928}}
	enLaw       = source("EN 50342-1 and IEC 60095-1:2006", memoryChecked)
)

// byLaw is what the standards' law says for every build that the type may be of.
func byLaw(laws map[string]powerLaw, chemistry string, x unit.Range) []calc.Opinion {
	builds := map[string][]string{flooded: {"flooded"}, efb: {"flooded"}, agm: {"VRLA"}, gel: {"VRLA"}, unsure: {"flooded", "VRLA"}}
	var all []calc.Opinion
	for _, build := range builds[chemistry] {
		all = append(all, opinion("law of the standards, "+build, x.Map(laws[build].at), enLaw))
	}
	return all
}

// reserveSpan is where the rules of thumb hold, in minutes of reserve capacity.
var reserveSpan = span(60, 120, 200)

// A thumb rule is capacity (Ah) = factor * reserve (min) + plus.
type thumb struct {
	says         string
	factor, plus float64
	source       calc.Source
}

var thumbs = []thumb{
	{"capacity = reserve / 2 + 15.5", 0.5, 15.5, practiced(seenTwice)},
	{"capacity = reserve / 2 + 16", 0.5, 16, practiced(seen)},
	{"capacity = 0.6 reserve", 0.6, 0, practiced(seen)},
}

func (t thumb) capacity(reserve float64) float64 { return t.factor*reserve + t.plus }
func (t thumb) reserve(capacity float64) float64 { return (capacity - t.plus) / t.factor }

// inside gives f over the part of r that lies in bounds, when there is one.
func (t thumb) inside(all []calc.Opinion, r, bounds unit.Range, f func(float64) float64) []calc.Opinion {
	if r.Hi < bounds.Lo || bounds.Hi < r.Lo {
		return all
	}
	return append(all, opinion(t.says, r.Clamp(bounds.Lo, bounds.Hi).Map(f), t.source))
}

func reserveFromCapacity(ah unit.Range, chemistry string) agreed {
	all := byLaw(reserveLaw, chemistry, ah)
	for _, t := range thumbs {
		all = t.inside(all, ah, reserveSpan.Map(t.capacity), t.reserve)
	}
	return agree(all...)
}

// peukertPowers: the flooded one to go by is the exponent of the standards' law.
var peukertPowers = map[string]calc.Figure{
	flooded: figure("Peukert's exponent, flooded", span(1.1, 1.1828, 1.3), "1", practiced(seen)),
	efb:     figure("Peukert's exponent, EFB, taken as flooded", span(1.1, 1.1828, 1.3), "1", practiced(seen)),
	agm:     figure("Peukert's exponent, AGM", span(1.05, 1.12, 1.15), "1", practiced(seen)),
	gel:     figure("Peukert's exponent, gel", span(1.1, 1.15, 1.2), "1", practiced(seen)),
}

// ratedHours is what Peukert's law gives nonsense without.
var ratedHours = figure("hours that the capacity is rated for", unit.Exactly(20), "h", source("Army Ordnance lesson OS 010, p. 3-P27", seen))

var (
	exponent      = &calc.Quantity{Title: "Peukert's exponent", Unit: "1", Lo: 1, Hi: 2}
	steadyCurrent = &calc.Quantity{Title: "steady current", Unit: "A", Lo: 0.001, Hi: 3000, Under: "without a current the battery lasts for ever"}
)

var capacityFunctions = []*calc.Function{
	{
		Name: "reserve_from_capacity", Title: "Reserve capacity from 20-hour capacity", Topic: topicCapacity, Unit: unit.Must("min"),
		Doc:     "The minutes that 25 A can be drawn, from the ampere-hours on the label.",
		Params:  []calc.Param{number("capacity", capacity, "20-hour capacity on the label"), chemistryParam},
		Formula: "reserve = 0.7732 * capacity ^ 1.1828 flooded, 1.1339 * capacity ^ 1.1201 AGM and gel (min, Ah)",
		Source:  enLaw, Figures: thumbFigures(),
		Work: func(a calc.Args) (calc.Result, error) {
			return sourced("reserve", "reserve capacity", "min", reserveFromCapacity(a.Num("capacity"), a.Word("chemistry")), 0), nil
		},
	},
	{
		Name: "capacity_from_reserve", Title: "20-hour capacity from reserve capacity", Topic: topicCapacity, Unit: unit.Must("Ah"),
		Doc:     "The ampere-hours of a battery whose label gives minutes only.",
		Params:  []calc.Param{number("reserve", reserve, "reserve capacity on the label"), chemistryParam},
		Formula: "capacity = 1.2429 * reserve ^ 0.8455 flooded, 0.8939 * reserve ^ 0.8928 AGM and gel (Ah, min)",
		Source:  enLaw, Figures: thumbFigures(),
		Work: func(a calc.Args) (calc.Result, error) {
			minutes := a.Num("reserve")
			all := byLaw(capacityLaw, a.Word("chemistry"), minutes)
			for _, t := range thumbs {
				all = t.inside(all, minutes, reserveSpan, t.capacity)
			}
			return sourced("capacity", "20-hour capacity", "Ah", agree(all...), 1), nil
		},
	},
	{
		Name: "discharge_time", Title: "How long a steady load runs", Topic: topicCapacity,
		Doc: "A full, sound battery down to 10.5 V. Not for a starter's current.",
		Params: []calc.Param{
			number("capacity", capacity, "20-hour capacity"),
			number("current", steadyCurrent, "steady current"),
			chemistryParam,
			optional(number("exponent", exponent, "Peukert's exponent; that of the type when left out")),
		},
		Formula: "time = 20 h * (capacity / (current * 20 h)) ^ exponent",
		Source:  source("Peukert's law with its reference time", seenTwice),
		Figures: []calc.Figure{ratedHours, peukertPowers[flooded], peukertPowers[agm], peukertPowers[gel]},
		Work: func(a calc.Args) (calc.Result, error) {
			power := anyOf(peukertPowers, a.Word("chemistry"))
			if a.Has("exponent") {
				power = a.Num("exponent")
			}
			hours := ratedHours.Range.Best
			t := unit.Over(func(x []float64) float64 {
				return hours * math.Pow(x[0]/(x[1]*hours), x[2])
			}, a.Num("capacity"), a.Num("current"), power)
			return single("time", "lasts about", "h", t, 1), nil
		},
	},
}

func thumbFigures() []calc.Figure {
	all := []calc.Figure{figure("reserve capacity for which the rules of thumb are meant", reserveSpan, "min", practiced(seenTwice))}
	for _, t := range thumbs {
		all = append(all, figure(t.says, unit.Exactly(t.factor), "1", t.source))
	}
	return all
}
