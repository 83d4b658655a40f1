package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// ohmicRange is in Ω times A.
var ohmicRange = figure("resistance by alternating current times the SAE rating, healthy and charged", unit.Between(2.9, 3.1), "V", fromMemory)

// resistanceOfRating is what a battery has at most at the end of the test behind
// its rating: what is left of its open-circuit voltage at the test's temperature,
// over the rated current.
func resistanceOfRating(rating unit.Range, standard string) (unit.Range, error) {
	test := testOf(standard)
	if test.volts == 0 {
		return unit.Range{}, calc.Impossiblef("a JIS rating fixes the current and not the voltage: no resistance follows from it")
	}
	open, err := voltageFromCharge(unit.Exactly(100), flooded, unit.Exactly(test.temp))
	return unit.Over(func(x []float64) float64 { return 1000 * (x[0] - test.volts) / x[1] }, open.Range, rating), err
}

// resistanceOfLoadTest is that at which a battery just fails the load test.
func resistanceOfLoadTest(rating unit.Range, standard string, rest, temp unit.Range) (unit.Range, error) {
	load, err := loadOfRating(rating, standard)
	if err != nil {
		return unit.Range{}, err
	}
	floor, err := loadFloor(temp)
	if err != nil {
		return unit.Range{}, err
	}
	if rest.Lo <= floor.Hi {
		return unit.Range{}, calc.Impossiblef("a battery that rests at %s cannot hold the floor of %s under load: charge it first", calc.Show(rest.Lo, "V"), calc.Show(floor.Best, "V"))
	}
	return unit.Over(func(x []float64) float64 { return 1000 * (x[0] - x[1]) / x[2] }, rest, floor, load), nil
}

var ratingResistanceFunction = &calc.Function{
	Name: "rating_resistance", Title: "Resistance that a rating implies", Topic: topicResistance,
	Doc: "What the internal resistance may be at most: in the laboratory's cold test, and in a load test here. A tester that uses alternating current shows about half of the latter.",
	Params: []calc.Param{
		number("rating", ratingAmps, "cold-crank rating on the label"),
		standardParam("standard", "its standard"),
		assuming(number("rest_voltage", restVoltage, "rest voltage before the load test"), unit.Around(12.6, 0.1)),
		tempParam,
	},
	Formula: "cold = (open voltage at the test's temperature - test voltage) / rating; here = (rest_voltage - load_floor(battery_temp)) / load_current",
	Source:  derived, Figures: []calc.Figure{loadShare, loadMost, ohmicRange}, Tables: []*calc.Table{floorTable, restOffset},
	Work: func(a calc.Args) (calc.Result, error) {
		rating, standard := a.Num("rating"), a.Word("standard")
		cold, err := resistanceOfRating(rating, standard)
		if err != nil {
			return calc.Result{}, err
		}
		here, err := resistanceOfLoadTest(rating, standard, a.Num("rest_voltage"), a.Num("battery_temp"))
		return calc.Result{Values: []calc.Value{
			value("cold", "at most, at the end of the rating's own test", "mΩ", cold, 1),
			value("here", "fails the load test here from", "mΩ", here, 1),
		}}, err
	},
}
