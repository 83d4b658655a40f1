package leadacid

import (
	"math"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

var (
	cellCount     = &calc.Quantity{Title: "number of cells", Unit: "1", Lo: 1, Hi: 300}
	airTemp       = &calc.Quantity{Title: "air temperature", Unit: "°C", Lo: -40, Hi: 60}
	faraday       = figure("charge of a mole of electrons, in C", unit.Exactly(96485.33212), "1", source("SI, from the exact elementary charge and Avogadro constant", definition))
	molarGas      = figure("molar gas constant, in J/(mol K)", unit.Exactly(8.314462618), "1", source("SI, from the exact Boltzmann and Avogadro constants", definition))
	airPressure   = figure("pressure of the air, in Pa", unit.Exactly(101325), "1", source("standard atmosphere", definition))
	ventRule      = figure("air for each cell, mA of gassing current and Ah (24 * 5 * 0.42 rounded by the standard)", unit.Exactly(0.05), "1", ventingRule)
	openingRule   = figure("opening for each m3/h of air (28 cm2)", unit.Exactly(2800), "mm2", ventingRule)
	zeroInKelvins = 273.15 // by definition of the Celsius scale

	cellsParam = assuming(number("cells", cellCount, "cells in a row; 6 in a 12 V battery"), unit.Exactly(6))
)

var hydrogenFunction = &calc.Function{
	Name: "hydrogen", Title: "Hydrogen that an overcharge makes", Topic: topicCharging,
	Doc: "When a full battery is charged on, all the current makes gas. It explodes at 4 % in air, and stays round the battery for hours.",
	Params: []calc.Param{
		number("current", chargingCurrent, "current into the full battery"), cellsParam,
		assuming(number("air_temp", airTemp, "temperature of the air"), span(0, 25, 30)),
	},
	Formula: "flow = current / (2 * 96485 C) * cells, as an ideal gas at air_temp",
	Source:  source("Faraday's law", definition), Figures: []calc.Figure{faraday, molarGas, airPressure},
	Work: func(a calc.Args) (calc.Result, error) {
		q := unit.Over(func(x []float64) float64 {
			moles := x[0] * 3600 / (2 * faraday.Range.Best) * x[1]
			return moles * molarGas.Range.Best * (x[2] + zeroInKelvins) / airPressure.Range.Best
		}, a.Num("current"), a.Num("cells"), a.Num("air_temp"))
		return single("hydrogen", "hydrogen", "m3/h", q, 4), nil
	},
}

// gassingCurrents is the current for each Ah that goes into gas, by build and by
// how the battery is charged.
var (
	gassingNames    = []string{"sealed_float", "sealed_boost", "vented_float", "vented_boost"}
	gassingCurrents = map[string]calc.Figure{
		"sealed_float": figure("gassing current, valve-regulated, on float", unit.Exactly(1), "mA", ventingRule),
		"sealed_boost": figure("gassing current, valve-regulated, on charge", unit.Exactly(8), "mA", ventingRule),
		"vented_float": figure("gassing current, vented, on float", unit.Exactly(5), "mA", ventingRule),
		"vented_boost": figure("gassing current, vented, on charge", unit.Exactly(20), "mA", ventingRule),
	}
)

// The rule keeps the hydrogen at a fifth of what can explode. It asks for the
// 10-hour capacity; the 20-hour one is on the safe side.
var ventilationFunction = &calc.Function{
	Name: "ventilation", Title: "Air that a charging place needs", Topic: topicCharging,
	Doc: "Five times what just keeps the hydrogen from exploding. Local rules come first. No flame or spark near the vents even so.",
	Params: []calc.Param{
		number("capacity", capacity, "capacity of the battery on charge"), cellsParam,
		assumingWord(words("kind", "valve-regulated (AGM, gel) or vented, on float or on charge", gassingNames...), "vented_boost"),
	},
	Formula: "air = 0.05 * cells * gassing current * capacity / 1000 (m3/h; mA for each Ah; Ah); opening = 28 cm2 for each m3/h, low and high",
	Source:  ventingRule,
	Figures: []calc.Figure{ventRule, openingRule, gassingCurrents["sealed_float"], gassingCurrents["sealed_boost"], gassingCurrents["vented_float"], gassingCurrents["vented_boost"]},
	Work: func(a calc.Args) (calc.Result, error) {
		gassing := gassingCurrents[a.Word("kind")]
		air := unit.Over(func(x []float64) float64 {
			return ventRule.Range.Best * x[0] * gassing.Range.Best * x[1] / 1000
		}, a.Num("cells"), a.Num("capacity"))
		opening := air.Times(openingRule.Range.Best)
		return calc.Result{Values: []calc.Value{
			value("air", "fresh air", "m3/h", air, 2),
			value("opening", "each of two openings, without a fan", "mm2", opening, 0),
			value("diameter", "the same as a round hole", "mm", opening.Map(func(area float64) float64 { return math.Sqrt(4 * area / math.Pi) }), 0),
		}}, nil
	},
}
