package leadacid

import (
	"slices"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// freezingTables give the temperature at which acid of a specific gravity (at
// 80 °F) begins to freeze. The second is where another table differs.
var freezingTables = []*calc.Table{
	table("freezing point", "1", "°C", source("TM 5-1185, Table III", seenTwice),
		rows{{1.000, 0}, {1.050, -3}, {1.100, -7}, {1.150, -15}, {1.200, -27}, {1.225, -37}, {1.250, -52}, {1.265, -59}, {1.280, -68}}),
	table("freezing point, as another table has it", "1", "°C", source("Army Ordnance lesson OD1002, p. 54, or TM 10-6140-200-14", seen),
		rows{{1.000, 0}, {1.050, -3}, {1.100, -7.8}, {1.150, -15}, {1.200, -27.2}, {1.225, -37}, {1.250, -52}, {1.265, -57.2}, {1.280, -70.6}}),
}

// freezingOf is the freezing point by every table. Acid denser than the tables
// go is given their end: it is then colder than any battery gets.
func freezingOf(at27 unit.Range) unit.Range {
	return freezingTables[0].Over(at27).Hull(freezingTables[1].Over(at27))
}

// freezingOfFlat is what is said of a fully flat battery, whose acid may be thinner
// than the tables of gravity have it; from there in a straight line to what they
// give at a quarter charged.
var freezingOfFlat = table("freezing point of a flat battery", "%", "°C",
	source("TM 5-4210-230-14&P-1 (about 20 °F)", seenTwice), rows{{0, -7}, {25, -16.2}})

// freezingAtCharge is the freezing point of a battery of that state of charge,
// whichever gravity it has when full.
func freezingAtCharge(charge unit.Range) unit.Range {
	frost := freezingOf(chargeByGravity[0].Over(charge)).Hull(freezingOf(chargeByGravity[1].Over(charge)))
	if charge.Lo < freezingOfFlat.X[1] {
		frost = frost.Hull(freezingOfFlat.Over(charge))
	}
	return frost
}

// checkNotFrozen refuses a battery that must be ice whatever is true of it.
func checkNotFrozen(charge, temp unit.Range) error {
	frost := freezingAtCharge(charge)
	if temp.Hi >= frost.Lo {
		return nil
	}
	return calc.Impossiblef("a battery of %s freezes at %s and it is at %s: look for ice and bulges, let it thaw indoors, then read again",
		calc.ShowRange(charge, "%"), calc.ShowRange(frost, "°C"), calc.Show(temp.Best, "°C"))
}

var freezingFunction = &calc.Function{
	Name: "freezing_point", Title: "Temperature at which a battery freezes", Topic: topicCharge, Unit: unit.Must("°C"),
	Doc:     "A flat battery freezes in an ordinary frost. Never charge, load or jump one with ice, a bulge or a crack. The middle of a battery lags the air by a day.",
	Params:  []calc.Param{number("state_of_charge", stateOfCharge, "how full it is")},
	Formula: "freezing_point = table at the gravity that belongs to state_of_charge",
	Source:  derived, Tables: slices.Concat(freezingTables, []*calc.Table{freezingOfFlat}, chargeByGravity),
	Work: func(a calc.Args) (calc.Result, error) {
		return single("freezing_point", "begins to freeze at", "°C", freezingAtCharge(a.Num("state_of_charge")), 0), nil
	},
}
