package leadacid

// currentsApart is how far apart two currents have to be.
var currentsApart = Figure{"least difference of the two currents, beside their doubt", Exactly(0.5), "A", ownChoice}

// InternalResistance is the resistance of a battery, in mΩ, from two voltages at
// its posts (V, 0 to 18) and the two currents drawn at the time (A, 0 to 3000),
// the second one the heavier. Its range is the worst case: every reading at its
// own end. Two readings of one meter on one range share the meter's gain error,
// which cancels in their difference, so the true doubt is smaller.
//
// It is Impossible that the heavier current leaves the higher voltage (the
// resistance would be negative), and that two readings which may be equal give a
// resistance: then the load was too small for the meter.
//
// Source: Ohm's law, R = (V1 - V2) / (I2 - I1).
func InternalResistance(v1, v2, i1, i2 Range) (Range, error) {
	if err := check(postsVoltage.is(v1), postsVoltage.is(v2), starterCurrent.is(i1), starterCurrent.is(i2)); err != nil {
		return Range{}, err
	}
	switch {
	case i2.Best <= i1.Best:
		return Range{}, impossible("the second current, %s, must be the heavier one; the first is %s", show(i2.Best, "A"), show(i1.Best, "A"))
	case i2.Lo-i1.Hi < currentsApart.Range.Best:
		return Range{}, impossible("the two currents differ by less than %s beside their doubt: take a heavier load", show(currentsApart.Range.Best, "A"))
	case v2.Best > v1.Best:
		return Range{}, impossible("the voltage rises from %s to %s under the heavier current: a resistance cannot be negative, so the readings are swapped or a charger is connected", show(v1.Best, "V"), show(v2.Best, "V"))
	case v2.Hi >= v1.Lo:
		return Range{}, impossible("the two voltages differ by less than their doubt: take a heavier load or a finer meter")
	}
	return Over(func(x []float64) float64 { return 1000 * (x[0] - x[1]) / (x[3] - x[2]) }, v1, v2, i1, i2), nil
}

var resistanceFunctions = []*Function{
	{
		Name: "internal_resistance", Title: "Internal resistance of a battery", Topic: topicResistance,
		Doc: "From two loads, or from rest and one load, on the posts themselves. Read within seconds of each other: the longer a load lasts, the higher it comes out.",
		Params: []Param{
			number("first_voltage", postsVoltage, "at the posts, lighter load or none"),
			number("second_voltage", postsVoltage, "at the posts, heavier load"),
			assuming(number("first_current", starterCurrent, "lighter load; 0 at rest"), Exactly(0)),
			number("second_current", starterCurrent, "heavier load"),
		},
		Formula: "resistance = (first_voltage - second_voltage) / (second_current - first_current)",
		Source:  circuitLaw, Figures: []Figure{currentsApart},
		work: func(a Args) (Result, error) {
			r, err := InternalResistance(a.num("first_voltage"), a.num("second_voltage"), a.num("first_current"), a.num("second_current"))
			return one(Value{"resistance", "internal resistance", "mΩ", r, 1}, err)
		},
	},
	ratingResistanceFunction,
	starterVoltageFunction,
}
