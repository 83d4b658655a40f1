package leadacid

import "math"

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
	enLaw       = Source{"EN 50342-1 and IEC 60095-1:2006", MemoryChecked}
)

// reserveSpan is where the rules of thumb hold, in minutes of reserve capacity.
var reserveSpan = Range{60, 120, 200}

// A thumb rule is capacity (Ah) = factor * reserve (min) + plus.
type thumb struct {
	says         string
	factor, plus float64
	source       Source
}

var thumbs = []thumb{
	{"capacity = reserve / 2 + 15.5", 0.5, 15.5, practiced(SeenTwice)},
	{"capacity = reserve / 2 + 16", 0.5, 16, practiced(Seen)},
	{"capacity = 0.6 reserve", 0.6, 0, practiced(Seen)},
}

// builds lists which of the two laws can hold for a type.
func builds(c Chemistry) ([]string, error) {
	if _, err := c.kinds(); err != nil {
		return nil, err
	}
	switch c {
	case Flooded, EFB:
		return []string{"flooded"}, nil
	case AGM, Gel:
		return []string{"VRLA"}, nil
	}
	return []string{"flooded", "VRLA"}, nil
}

// ReserveFromCapacity is the reserve capacity, in min at 25 A, of a battery of
// that 20-hour capacity (Ah, 1 to 300), by the law of the standards and by the
// rules of thumb where they hold.
//
// Source: EN 50342-1 and IEC 60095-1:2006, from memory; the rules are common
// practice, no source.
func ReserveFromCapacity(ah Range, c Chemistry) (Agreed, error) {
	kinds, err := builds(c)
	if err == nil {
		err = check(capacity.is(ah))
	}
	if err != nil {
		return Agreed{}, err
	}
	var all []Opinion
	for _, k := range kinds {
		law := reserveLaw[k]
		all = append(all, Opinion{"law of the standards, " + k, Over(func(x []float64) float64 { return law.at(x[0]) }, ah), enLaw})
	}
	for _, t := range thumbs {
		inside, ok := common(ah, Range{t.capacity(reserveSpan.Lo), 0, t.capacity(reserveSpan.Hi)})
		if ok {
			all = append(all, Opinion{t.says, Over(func(x []float64) float64 { return t.reserve(x[0]) }, inside), t.source})
		}
	}
	return agree(all...), nil
}

// CapacityFromReserve is the 20-hour capacity, in Ah, of a battery of that
// reserve capacity (min at 25 A, 5 to 700): the reverse of [ReserveFromCapacity].
func CapacityFromReserve(minutes Range, c Chemistry) (Agreed, error) {
	kinds, err := builds(c)
	if err == nil {
		err = check(reserve.is(minutes))
	}
	if err != nil {
		return Agreed{}, err
	}
	var all []Opinion
	for _, k := range kinds {
		law := capacityLaw[k]
		all = append(all, Opinion{"law of the standards, " + k, Over(func(x []float64) float64 { return law.at(x[0]) }, minutes), enLaw})
	}
	for _, t := range thumbs {
		if inside, ok := common(minutes, reserveSpan); ok {
			all = append(all, Opinion{t.says, Over(func(x []float64) float64 { return t.capacity(x[0]) }, inside), t.source})
		}
	}
	return agree(all...), nil
}

func (t thumb) capacity(reserve float64) float64 { return t.factor*reserve + t.plus }
func (t thumb) reserve(capacity float64) float64 { return (capacity - t.plus) / t.factor }

// common is the part that two ranges share, its Best as near to a's as can be.
func common(a, b Range) (Range, bool) {
	if a.Hi < b.Lo || b.Hi < a.Lo {
		return Range{}, false
	}
	return a.held(b.Lo, b.Hi), true
}

// peukertPowers are the exponents of Peukert's law. The flooded one to go by is
// the exponent of the standards' law.
var peukertPowers = map[Chemistry]Figure{
	Flooded: {"Peukert's exponent, flooded", Range{1.1, 1.1828, 1.3}, "1", practiced(Seen)},
	EFB:     {"Peukert's exponent, EFB, taken as flooded", Range{1.1, 1.1828, 1.3}, "1", practiced(Seen)},
	AGM:     {"Peukert's exponent, AGM", Range{1.05, 1.12, 1.15}, "1", practiced(Seen)},
	Gel:     {"Peukert's exponent, gel", Range{1.1, 1.15, 1.2}, "1", practiced(Seen)},
}

// ratedHours is the time that the capacity is rated for, without which Peukert's
// law gives nonsense.
var ratedHours = Figure{"hours that the capacity is rated for", Exactly(20), "h", Source{"Army Ordnance lesson OS 010, p. 3-P27", Seen}}

var (
	exponent      = quantity{title: "Peukert's exponent", unit: "1", lo: 1, hi: 2}
	steadyCurrent = quantity{title: "steady current", unit: "A", lo: 0.001, hi: 3000, under: "without a current the battery lasts for ever"}
)

// PeukertPower is the exponent for a type of battery.
func PeukertPower(c Chemistry) (Range, error) {
	kinds, err := c.kinds()
	if err != nil {
		return Range{}, err
	}
	power := peukertPowers[kinds[0]].Range
	for _, k := range kinds[1:] {
		power = power.Join(peukertPowers[k].Range)
	}
	return power, nil
}

// DischargeTime is the time, in h, for which a full battery of that 20-hour
// capacity (Ah, 1 to 300) gives a steady current (A, 0.001 to 3000), with
// Peukert's exponent power (1 to 2). It holds for lamps and standing loads; a
// starter's current is far outside it.
//
//	time = 20 h * (capacity / (current * 20 h)) ^ power
//
// Source: Peukert's law with its reference time, seen in two or more texts.
func DischargeTime(ah, current, power Range) (Range, error) {
	if err := check(capacity.is(ah), steadyCurrent.is(current), exponent.is(power)); err != nil {
		return Range{}, err
	}
	hours := ratedHours.Range.Best
	return Over(func(x []float64) float64 {
		return hours * math.Pow(x[0]/(x[1]*hours), x[2])
	}, ah, current, power), nil
}

var capacityFunctions = []*Function{
	{
		Name: "reserve_from_capacity", Title: "Reserve capacity from 20-hour capacity", Topic: topicCapacity,
		Doc: "The minutes that 25 A can be drawn, from the ampere-hours on the label.",
		Params: []Param{
			number("capacity", capacity, "20-hour capacity on the label"), chemistryParam,
		},
		Formula: "reserve = 0.7732 * capacity ^ 1.1828 flooded, 1.1339 * capacity ^ 1.1201 AGM and gel (min, Ah)",
		Source:  enLaw, Figures: thumbFigures(),
		work: func(a Args) (Result, error) {
			v, err := ReserveFromCapacity(a.num("capacity"), Chemistry(a.word("chemistry")))
			return told("reserve", "reserve capacity", "min", 0, v, err)
		},
	},
	{
		Name: "capacity_from_reserve", Title: "20-hour capacity from reserve capacity", Topic: topicCapacity,
		Doc: "The ampere-hours of a battery whose label gives minutes only.",
		Params: []Param{
			number("reserve", reserve, "reserve capacity on the label"), chemistryParam,
		},
		Formula: "capacity = 1.2429 * reserve ^ 0.8455 flooded, 0.8939 * reserve ^ 0.8928 AGM and gel (Ah, min)",
		Source:  enLaw, Figures: thumbFigures(),
		work: func(a Args) (Result, error) {
			v, err := CapacityFromReserve(a.num("reserve"), Chemistry(a.word("chemistry")))
			return told("capacity", "20-hour capacity", "Ah", 1, v, err)
		},
	},
	{
		Name: "discharge_time", Title: "How long a steady load runs", Topic: topicCapacity,
		Doc: "A full, sound battery down to 10.5 V. Not for a starter's current.",
		Params: []Param{
			number("capacity", capacity, "20-hour capacity"),
			number("current", steadyCurrent, "steady current"),
			chemistryParam,
			optional(number("exponent", exponent, "Peukert's exponent; that of the type when left out")),
		},
		Formula: "time = 20 h * (capacity / (current * 20 h)) ^ exponent",
		Source:  Source{"Peukert's law with its reference time", SeenTwice},
		Figures: []Figure{ratedHours, peukertPowers[Flooded], peukertPowers[AGM], peukertPowers[Gel]},
		work: func(a Args) (Result, error) {
			power, err := PeukertPower(Chemistry(a.word("chemistry")))
			if err != nil {
				return Result{}, err
			}
			if a.has("exponent") {
				power = a.num("exponent")
			}
			t, err := DischargeTime(a.num("capacity"), a.num("current"), power)
			return one(Value{"time", "lasts about", "h", t, 1}, err)
		},
	},
}

func thumbFigures() []Figure {
	all := []Figure{{"reserve capacity for which the rules of thumb are meant", reserveSpan, "min", practiced(SeenTwice)}}
	for _, t := range thumbs {
		all = append(all, Figure{t.says, Exactly(t.factor), "1", t.source})
	}
	return all
}
