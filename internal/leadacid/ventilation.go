package leadacid

import "math"

var (
	cellCount     = quantity{title: "number of cells", unit: "1", lo: 1, hi: 300}
	airTemp       = quantity{title: "air temperature", unit: "°C", lo: -40, hi: 60}
	sixCells      = Exactly(6)
	faraday       = Figure{"charge of a mole of electrons, in C", Exactly(96485.33212), "1", Source{"SI, from the exact elementary charge and Avogadro constant", Definition}}
	molarGas      = Figure{"molar gas constant, in J/(mol K)", Exactly(8.314462618), "1", Source{"SI, from the exact Boltzmann and Avogadro constants", Definition}}
	airPressure   = Figure{"pressure of the air, in Pa", Exactly(101325), "1", Source{"standard atmosphere", Definition}}
	ventRule      = Figure{"air for each cell, mA of gassing current and Ah (24 * 5 * 0.42 rounded by the standard)", Exactly(0.05), "1", ventingRule}
	openingRule   = Figure{"opening for each m3/h of air (28 cm2)", Exactly(2800), "mm2", ventingRule}
	zeroInKelvins = 273.15 // by definition of the Celsius scale
)

// HydrogenFlow is the hydrogen, in m3/h, that an overcharge current (A, 0 to 300)
// makes in that many cells in a row (1 to 300) at an air temperature (°C, -40 to
// 60): all of a current that a full battery no longer stores. Between 4 and 75 %
// in air it explodes.
//
// Source: Faraday's law and the ideal gas, at sea level.
func HydrogenFlow(current, cells, temp Range) (Range, error) {
	if err := check(chargingCurrent.is(current), cellCount.is(cells), airTemp.is(temp)); err != nil {
		return Range{}, err
	}
	return Over(func(x []float64) float64 {
		moles := x[0] * 3600 / (2 * faraday.Range.Best) * x[1]
		return moles * molarGas.Range.Best * (x[2] + zeroInKelvins) / airPressure.Range.Best
	}, current, cells, temp), nil
}

// gassingCurrents is the current in mA for each Ah that goes into gas, by build
// and by how the battery is charged.
var gassingCurrents = map[string]Figure{
	"sealed_float": {"gassing current, valve-regulated, on float", Exactly(1), "mA", ventingRule},
	"sealed_boost": {"gassing current, valve-regulated, on charge", Exactly(8), "mA", ventingRule},
	"vented_float": {"gassing current, vented, on float", Exactly(5), "mA", ventingRule},
	"vented_boost": {"gassing current, vented, on charge", Exactly(20), "mA", ventingRule},
}

var gassingNames = []string{"sealed_float", "sealed_boost", "vented_float", "vented_boost"}

// Venting is what a room needs in which a battery is charged.
type Venting struct {
	Air      Range // m3/h of fresh air
	Opening  Range // mm2 free, at the bottom and again at the top, where no fan is
	Diameter Range // mm of one round opening of that size
}

// Ventilation is the air that keeps the hydrogen of a battery on charge at a
// fifth of what can explode: cells in a row (1 to 300), 10-hour capacity (Ah, 1 to
// 300; the 20-hour figure is on the safe side) and one of sealed_float,
// sealed_boost, vented_float, vented_boost.
//
// Source: EN IEC 62485-2, through worked examples after it.
func Ventilation(cells, ah Range, kind string) (Venting, error) {
	gassing, ok := gassingCurrents[kind]
	if !ok {
		return Venting{}, impossible("the way of charging %q is unknown", kind)
	}
	if err := check(cellCount.is(cells), capacity.is(ah)); err != nil {
		return Venting{}, err
	}
	air := Over(func(x []float64) float64 {
		return ventRule.Range.Best * x[0] * gassing.Range.Best * x[1] / 1000
	}, cells, ah)
	opening := Over(func(x []float64) float64 { return openingRule.Range.Best * x[0] }, air)
	diameter := Over(func(x []float64) float64 { return math.Sqrt(4 * x[0] / math.Pi) }, opening)
	return Venting{air, opening, diameter}, nil
}

var cellsParam = assuming(number("cells", cellCount, "cells in a row; 6 in a 12 V battery"), sixCells)

var hydrogenFunction = &Function{
	Name: "hydrogen", Title: "Hydrogen that an overcharge makes", Topic: topicCharging,
	Doc: "When a full battery is charged on, all the current makes gas. It explodes at 4 % in air, and stays round the battery for hours.",
	Params: []Param{
		number("current", chargingCurrent, "current into the full battery"), cellsParam,
		assuming(number("air_temp", airTemp, "temperature of the air"), Range{0, 25, 30}),
	},
	Formula: "flow = current / (2 * 96485 C) * cells, as an ideal gas at air_temp",
	Source:  Source{"Faraday's law", Definition}, Figures: []Figure{faraday, molarGas, airPressure},
	work: func(a Args) (Result, error) {
		q, err := HydrogenFlow(a.num("current"), a.num("cells"), a.num("air_temp"))
		return one(Value{"hydrogen", "hydrogen", "m3/h", q, 4}, err)
	},
}

var ventilationFunction = &Function{
	Name: "ventilation", Title: "Air that a charging place needs", Topic: topicCharging,
	Doc: "Five times what just keeps the hydrogen from exploding. Local rules come first. No flame or spark near the vents even so.",
	Params: []Param{
		number("capacity", capacity, "capacity of the battery on charge"), cellsParam,
		assumingWord(choice("kind", "valve-regulated (AGM, gel) or vented, on float or on charge", gassingNames...), "vented_boost"),
	},
	Formula: "air = 0.05 * cells * gassing current * capacity / 1000 (m3/h; mA for each Ah; Ah); opening = 28 cm2 for each m3/h, low and high",
	Source:  ventingRule,
	Figures: []Figure{ventRule, openingRule, gassingCurrents["sealed_float"], gassingCurrents["sealed_boost"], gassingCurrents["vented_float"], gassingCurrents["vented_boost"]},
	work: func(a Args) (Result, error) {
		v, err := Ventilation(a.num("cells"), a.num("capacity"), a.word("kind"))
		if err != nil {
			return Result{}, err
		}
		return Result{Values: []Value{
			{"air", "fresh air", "m3/h", v.Air, 2},
			{"opening", "each of two openings, without a fan", "mm2", v.Opening, 0},
			{"diameter", "the same as a round hole", "mm", v.Diameter, 0},
		}}, nil
	},
}
