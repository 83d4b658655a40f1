package leadacid

// ohmicRange is what a tester that measures with alternating current shows for a
// healthy charged battery: its resistance (in Ω) times its SAE rating (in A).
var ohmicRange = Figure{"resistance by alternating current times the SAE rating, healthy and charged", Between(2.9, 3.1), "V", fromMemory}

// ResistanceOfRating is the resistance, in mΩ, that a battery has at most at the
// end of the test behind its cold-crank rating (A, 20 to 2500): what is left of
// its open-circuit voltage at the test's temperature, over the rated current. A
// JIS rating is Impossible, since its test fixes the current.
//
// Source: worked out from the tests of [RatingTestOf].
func ResistanceOfRating(rating Range, s Standard) (Range, error) {
	test, err := RatingTestOf(s)
	if err == nil {
		err = check(ratingAmps.is(rating))
	}
	if err != nil {
		return Range{}, err
	}
	if test.Volts == 0 {
		return Range{}, impossible("a JIS rating fixes the current and not the voltage: no resistance follows from it")
	}
	open, err := RestVoltage(Exactly(100), Flooded, Exactly(test.Temp))
	if err != nil {
		return Range{}, err
	}
	return Over(func(x []float64) float64 { return 1000 * (x[0] - test.Volts) / x[1] }, open.Range, rating), nil
}

// ResistanceOfLoadTest is the resistance, in mΩ, at which a battery of that
// cold-crank rating (A, 20 to 2500) that rests at rest (V, 0 to 18) just fails
// the load test at the battery temperature temp (°C, -18 to 60).
//
// Source: worked out from TM 5-4210-230-14&P-1, Table 5.
func ResistanceOfLoadTest(rating Range, s Standard, rest, temp Range) (Range, error) {
	load, err := LoadCurrentFromRating(rating, s)
	if err != nil {
		return Range{}, err
	}
	floor, err := LoadFloor(temp)
	if err != nil {
		return Range{}, err
	}
	if err := check(restVoltage.is(rest)); err != nil {
		return Range{}, err
	}
	if rest.Lo <= floor.Hi {
		return Range{}, impossible("a battery that rests at %s cannot hold the floor of %s under load: charge it first", show(rest.Lo, "V"), show(floor.Best, "V"))
	}
	return Over(func(x []float64) float64 { return 1000 * (x[0] - x[1]) / x[2] }, rest, floor, load), nil
}

var ratingResistanceFunction = &Function{
	Name: "rating_resistance", Title: "Resistance that a rating implies", Topic: topicResistance,
	Doc: "What the internal resistance may be at most: in the laboratory's cold test, and in a load test here. A tester that uses alternating current shows about half of the latter.",
	Params: []Param{
		number("rating", ratingAmps, "cold-crank rating on the label"),
		choice("standard", "its standard", standardNames...),
		assuming(number("rest_voltage", restVoltage, "rest voltage before the load test"), Around(12.6, 0.1)),
		tempParam,
	},
	Formula: "cold = (open voltage at the test's temperature - test voltage) / rating; here = (rest_voltage - load_floor(battery_temp)) / load_current",
	Source:  derived, Figures: []Figure{loadShare, loadMost, ohmicRange}, Tables: []*Table{floorTable, restOffset},
	work: func(a Args) (Result, error) {
		rating, s := a.num("rating"), Standard(a.word("standard"))
		cold, err := ResistanceOfRating(rating, s)
		if err != nil {
			return Result{}, err
		}
		here, err := ResistanceOfLoadTest(rating, s, a.num("rest_voltage"), a.num("battery_temp"))
		if err != nil {
			return Result{}, err
		}
		return Result{Values: []Value{
			{"cold", "at most, at the end of the rating's own test", "mΩ", cold, 1},
			{"here", "fails the load test here from", "mΩ", here, 1},
		}}, nil
	},
}
