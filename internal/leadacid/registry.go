package leadacid

import (
	"slices"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// All lists every function there is, topic by topic. The list is made anew for
// each caller; what it points to is not to be changed.
func All() []*calc.Function {
	return slices.Concat(
		chargeFunctions, loadFunctions, ratingFunctions, capacityFunctions, resistanceFunctions,
		dropFunctions, crankCurrentFunctions, chargingFunctions, alternatorFunctions, drawFunctions,
		replacementFunctions,
	)
}

// Find gives the function of that name, or nil.
func Find(name string) *calc.Function {
	for _, f := range All() {
		if f.Name == name {
			return f
		}
	}
	return nil
}

// The topics that functions are listed under.
const (
	topicCharge       = "State of charge"
	topicLoad         = "Load test and crank"
	topicRating       = "Cold-crank ratings"
	topicCapacity     = "Capacity"
	topicResistance   = "Resistance"
	topicDrop         = "Cables and voltage drops"
	topicCrankCurrent = "Cranking current without a clamp"
	topicCharging     = "Charging"
	topicAlternator   = "Alternator"
	topicDraw         = "Key-off draw"
	topicReplacement  = "Choosing a replacement"
)

// What several functions take. The spans are this program's own choice: outside of
// them a number is a slip, or of another system than a 12 V lead-acid one.
var (
	restVoltage     = &calc.Quantity{Title: "rest voltage", Unit: "V", Lo: 0, Hi: 18, Under: "the leads are the wrong way round, or the battery is reversed", Over: "this is a 24 V system, or a slip"}
	postsVoltage    = &calc.Quantity{Title: "voltage at the posts", Unit: "V", Lo: 0, Hi: 18, Under: "the leads are the wrong way round", Over: "this is a 24 V system, or a slip"}
	batteryTemp     = &calc.Quantity{Title: "battery temperature", Unit: "°C", Lo: -40, Hi: 60, Over: "let it cool first"}
	stateOfCharge   = &calc.Quantity{Title: "state of charge", Unit: "%", Lo: 0, Hi: 100}
	starterCurrent  = &calc.Quantity{Title: "current", Unit: "A", Lo: 0, Hi: 3000, Under: "the clamp is the wrong way round"}
	chargingCurrent = &calc.Quantity{Title: "charging current", Unit: "A", Lo: 0, Hi: 300, Under: "the clamp is the wrong way round"}
	capacity        = &calc.Quantity{Title: "20-hour capacity", Unit: "Ah", Lo: 1, Hi: 300}
	reserve         = &calc.Quantity{Title: "reserve capacity", Unit: "min", Lo: 5, Hi: 700}
	ratingAmps      = &calc.Quantity{Title: "cold-crank rating", Unit: "A", Lo: 20, Hi: 2500}
	dropVoltage     = &calc.Quantity{Title: "drop", Unit: "V", Lo: 0, Hi: 18, Under: "the probes are the wrong way round, or the current is"}
	resistance      = &calc.Quantity{Title: "resistance", Unit: "mΩ", Lo: 0, Hi: 100000, Under: "a resistance cannot be negative"}

	chemistryParam = assumingWord(words("chemistry", "type on the label", flooded, efb, agm, gel, unsure), unsure)
	tempParam      = assuming(number("battery_temp", batteryTemp, "temperature of the battery itself, not of the air"), span(10, 25, 30))
)

// The types of battery, as their labels give them, and unsure for a label that
// cannot be read: then what is worked out covers all of them. Lithium is none.
const (
	flooded = "flooded" // plain lead-acid, with liquid acid
	efb     = "efb"     // enhanced flooded battery
	agm     = "agm"     // absorbed in glass mat, valve-regulated
	gel     = "gel"     // gelled acid, valve-regulated
	unsure  = "unsure"
)

// kinds lists the types that one may be.
func kinds(chemistry string) []string {
	if chemistry == unsure {
		return []string{flooded, efb, agm, gel}
	}
	return []string{chemistry}
}

// anyOf joins the figures of the types that one may be.
func anyOf(figures map[string]calc.Figure, chemistry string) unit.Range {
	all := kinds(chemistry)
	r := figures[all[0]].Range
	for _, k := range all[1:] {
		r = r.Hull(figures[k].Range)
	}
	return r
}

// number is a parameter that measures q.
func number(name string, q *calc.Quantity, doc string) calc.Param {
	return calc.Param{Name: name, Quantity: q, Doc: doc}
}

// words is a parameter that is one of some words.
func words(name, doc string, all ...string) calc.Param {
	return calc.Param{Name: name, Doc: doc, Choices: all}
}

// optional makes a parameter that may be left out.
func optional(p calc.Param) calc.Param { p.Optional = true; return p }

// assuming is a number that stands in when it is not given.
func assuming(p calc.Param, r unit.Range) calc.Param {
	a := calc.Number(r)
	p.Optional, p.Assume = true, &a
	return p
}

// assumingWord is a word that stands in when it is not given.
func assumingWord(p calc.Param, word string) calc.Param {
	a := calc.Word(word)
	p.Optional, p.Assume = true, &a
	return p
}

func value(name, title, unitName string, r unit.Range, decimals int) calc.Value {
	return calc.Value{Name: name, Title: title, Unit: unitName, Range: r, Decimals: decimals}
}

// single is the result that is a single value.
func single(name, title, unitName string, r unit.Range, decimals int) calc.Result {
	return calc.Result{Values: []calc.Value{value(name, title, unitName, r, decimals)}}
}

// sourced is the result that is a single value of which several sources speak.
func sourced(name, title, unitName string, a agreed, decimals int) calc.Result {
	r := single(name, title, unitName, a.Range, decimals)
	r.Opinions = opinionsOn(name, a)
	return r
}

// opinionsOn lists opinions of a value, when there is more than one.
func opinionsOn(name string, a agreed) []calc.Opinion {
	if len(a.opinions) < 2 {
		return nil
	}
	all := slices.Clone(a.opinions)
	for i := range all {
		all[i].Of = name
	}
	return all
}
