package leadacid

import "slices"

// freezingTables give the temperature at which acid of a specific gravity (at
// 80 °F) begins to freeze. The second is where another table differs.
var freezingTables = []*Table{
	{Name: "freezing point", Over: "1", Unit: "°C", Source: Source{"TM 5-1185, Table III", SeenTwice},
		Rows: [][2]float64{{1.000, 0}, {1.050, -3}, {1.100, -7}, {1.150, -15}, {1.200, -27}, {1.225, -37}, {1.250, -52}, {1.265, -59}, {1.280, -68}}},
	{Name: "freezing point, as another table has it", Over: "1", Unit: "°C", Source: Source{"Army Ordnance lesson OD1002, p. 54, or TM 10-6140-200-14", Seen},
		Rows: [][2]float64{{1.000, 0}, {1.050, -3}, {1.100, -7.8}, {1.150, -15}, {1.200, -27.2}, {1.225, -37}, {1.250, -52}, {1.265, -57.2}, {1.280, -70.6}}},
}

// freezingOf is the freezing point by every table. Acid denser than the tables
// go is given their end: it is then colder than any battery gets.
func freezingOf(at27 Range) Range {
	return freezingTables[0].over(at27).Join(freezingTables[1].over(at27))
}

// freezingOfFlat is what is said of a fully flat battery, whose acid may be thinner
// than the tables of gravity have it; from there in a straight line to what they
// give at a quarter charged.
var freezingOfFlat = &Table{Name: "freezing point of a flat battery", Over: "%", Unit: "°C",
	Source: Source{"TM 5-4210-230-14&P-1 (about 20 °F)", SeenTwice}, Rows: [][2]float64{{0, -7}, {25, -16.2}}}

// freezingAtCharge is the freezing point of a battery of that state of charge,
// whichever gravity it has when full.
func freezingAtCharge(charge Range) Range {
	frost := freezingOf(chargeByGravity[0].over(charge)).Join(freezingOf(chargeByGravity[1].over(charge)))
	if charge.Lo < freezingOfFlat.Rows[1][0] {
		frost = frost.Join(freezingOfFlat.over(charge))
	}
	return frost
}

// checkNotFrozen refuses a battery that must be ice whatever is true of it.
func checkNotFrozen(charge, temp Range) error {
	frost := freezingAtCharge(charge)
	if temp.Hi >= frost.Lo {
		return nil
	}
	return impossible("a battery of %s freezes at %s and it is at %s: look for ice and bulges, let it thaw indoors, then read again",
		showRange(charge, "%"), showRange(frost, "°C"), show(temp.Best, "°C"))
}

// FreezingPoint is the temperature, in °C, at which a battery of the given state
// of charge (%, 0 to 100) begins to freeze. A battery with ice in it, a bulge or
// a crack is never charged, loaded or jumped.
//
// Source: TM 5-1185, Table III and another table; the gravity that goes with a
// charge from TM 5-1185, Table II, and common practice.
func FreezingPoint(charge Range) (Range, error) {
	if err := check(stateOfCharge.is(charge)); err != nil {
		return Range{}, err
	}
	return freezingAtCharge(charge), nil
}

var freezingFunction = &Function{
	Name: "freezing_point", Title: "Temperature at which a battery freezes", Topic: topicCharge,
	Doc: "A flat battery freezes in an ordinary frost. Never charge, load or jump one with ice, a bulge or a crack. The middle of a battery lags the air by a day.",
	Params: []Param{
		number("state_of_charge", stateOfCharge, "how full it is"),
	},
	Formula: "freezing_point = table at the gravity that belongs to state_of_charge",
	Source:  derived, Tables: slices.Concat(freezingTables, []*Table{freezingOfFlat}, chargeByGravity),
	work: func(a Args) (Result, error) {
		t, err := FreezingPoint(a.num("state_of_charge"))
		return one(Value{"freezing_point", "begins to freeze at", "°C", t, 0}, err)
	},
}
