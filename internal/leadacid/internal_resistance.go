package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

var currentsApart = figure("least difference of the two currents, beside their doubt", unit.Exactly(0.5), "A", ownChoice)

// internalResistance is the worst case: every reading at its own end. Two readings
// of one meter on one range share the meter's gain error, which cancels in their
// difference, so the true doubt is smaller.
func internalResistance(v1, v2, i1, i2 unit.Range) (unit.Range, error) {
	switch {
	case i2.Best <= i1.Best:
		return unit.Range{}, calc.Impossiblef("the second current, %s, must be the heavier one; the first is %s", calc.Show(i2.Best, "A"), calc.Show(i1.Best, "A"))
	case i2.Lo-i1.Hi < currentsApart.Range.Best:
		return unit.Range{}, calc.Impossiblef("the two currents differ by less than %s beside their doubt: take a heavier load", calc.Show(currentsApart.Range.Best, "A"))
	case v2.Best > v1.Best:
		return unit.Range{}, calc.Impossiblef("the voltage rises from %s to %s under the heavier current: a resistance cannot be negative, so the readings are swapped or a charger is connected", calc.Show(v1.Best, "V"), calc.Show(v2.Best, "V"))
	case v2.Hi >= v1.Lo:
		return unit.Range{}, calc.Impossiblef("the two voltages differ by less than their doubt: take a heavier load or a finer meter")
	}
	return unit.Over(func(x []float64) float64 { return 1000 * (x[0] - x[1]) / (x[3] - x[2]) }, v1, v2, i1, i2), nil
}

var resistanceFunctions = []*calc.Function{
	{
		Name: "internal_resistance", Title: "Internal resistance of a battery", Topic: topicResistance,
		Doc: "From two loads, or from rest and one load, on the posts themselves. Read within seconds of each other: the longer a load lasts, the higher it comes out.",
		Params: []calc.Param{
			number("first_voltage", postsVoltage, "at the posts, lighter load or none"),
			number("second_voltage", postsVoltage, "at the posts, heavier load"),
			assuming(number("first_current", starterCurrent, "lighter load; 0 at rest"), unit.Exactly(0)),
			number("second_current", starterCurrent, "heavier load"),
		},
		Formula: "resistance = (first_voltage - second_voltage) / (second_current - first_current)",
		Source:  circuitLaw, Figures: []calc.Figure{currentsApart},
		Work: func(a calc.Args) (calc.Result, error) {
			r, err := internalResistance(a.Num("first_voltage"), a.Num("second_voltage"), a.Num("first_current"), a.Num("second_current"))
			return single("resistance", "internal resistance", "mΩ", r, 1), err
		},
	},
	ratingResistanceFunction,
	starterVoltageFunction,
}
