package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// Rest voltage and state of charge lie on one curve for each type of battery. No
// two published curves are the same, and the way from the temperature of the
// battery to that of the tables is disputed as well. All curves and all ways are
// gone, and the answer covers them.

var tableTemp = figure("temperature of the tables", unit.Exactly(26.7), "°C", source("TM 5-4210-230-14&P-1 (80 °F)", seenTwice))

// curve is a table of rest voltage over state of charge.
func curve(name string, s calc.Source, empty, quarter, half, threeQuarters, full float64) *calc.Table {
	return table(name, "%", "V", s, rows{{0, empty}, {25, quarter}, {50, half}, {75, threeQuarters}, {100, full}})
}

// curves holds the tables of each type, the one to go by first.
var curves = map[string][]*calc.Table{
	flooded: {
		curve("flooded, two decimals", practiced(seenTwice), 11.89, 12.06, 12.24, 12.45, 12.65),
		curve("flooded, one decimal", source("TM 5-3805-262-20, p. 5-142", seen), 11.7, 12.0, 12.2, 12.4, 12.6),
		// Printed at 100 and 75 % only; below that as far above the first table as at 75 %.
		curve("flooded, the highest printed", practiced(seen), 11.98, 12.15, 12.33, 12.54, 12.72),
	},
	efb: {
		curve("EFB, middle of the band", fromMemory, 11.80, 12.025, 12.275, 12.50, 12.75),
		curve("EFB, lower edge", fromMemory, 11.80, 12.00, 12.25, 12.45, 12.70),
		curve("EFB, upper edge", fromMemory, 11.80, 12.05, 12.30, 12.55, 12.80),
	},
	agm: {
		curve("AGM, full from 12.8 V", source("TM 9-6115-730-24 WP 0050 for 12.8 V; the rest is common practice, no source", seenTwice), 11.80, 12.0, 12.3, 12.6, 12.8),
		curve("AGM, full from 13.0 V", source("TM 9-6115-730-24 WP 0050 for 13.0 V; the rest is common practice, no source", seenTwice), 11.80, 12.0, 12.3, 12.6, 13.0),
	},
	gel: {curve("gel", practiced(seen), 11.80, 12.00, 12.40, 12.60, 12.80)},
}

// curvesOf gives the tables of a type, or of all that it may be.
func curvesOf(chemistry string) []*calc.Table {
	var all []*calc.Table
	for _, k := range kinds(chemistry) {
		all = append(all, curves[k]...)
	}
	return all
}

// restOffset is how far a rest voltage stands above (+) or below (-) that of the
// tables, over the battery's temperature. Two straight laws are in use beside it.
var (
	restOffset = table("rest voltage against that at 26.7 °C", "°C", "mV", practiced(seen),
		rows{{-17.8, -134}, {-12.2, -108}, {-1.1, -62}, {4.4, -44}, {15.6, -16}, {26.7, 0}, {37.8, 8}})
	restSlopeLow  = figure("rest voltage over temperature, the low law", unit.Exactly(1.3), "mV/K", source("from memory", memoryChecked))
	restSlopeHigh = figure("rest voltage over temperature, the high law (six times that of gravity)", unit.Exactly(4.3), "mV/K", practiced(seen))
)

// offsetAt is the offset in V at a temperature: the table's, and in its range
// those of both laws.
func offsetAt(temp unit.Range) unit.Range {
	offset := restOffset.Over(temp)
	for _, slope := range []calc.Figure{restSlopeLow, restSlopeHigh} {
		offset = offset.Hull(temp.Map(func(t float64) float64 { return slope.Range.Best * (t - tableTemp.Range.Best) }))
	}
	return span(offset.Lo/1000, offset.Best/1000, offset.Hi/1000)
}

func chargeFromVoltage(rest unit.Range, chemistry string, temp unit.Range) (agreed, error) {
	atTable := rest.Minus(offsetAt(temp))
	var opinions []calc.Opinion
	for _, t := range curvesOf(chemistry) {
		opinions = append(opinions, opinion("table "+t.Name, t.Inverse().Over(atTable), t.Source))
	}
	charge := agree(opinions...)
	return charge, checkNotFrozen(charge.Range, temp)
}

func voltageFromCharge(charge unit.Range, chemistry string, temp unit.Range) (agreed, error) {
	offset := offsetAt(temp)
	var opinions []calc.Opinion
	for _, t := range curvesOf(chemistry) {
		opinions = append(opinions, opinion("table "+t.Name, t.Over(charge).Plus(offset), t.Source))
	}
	return agree(opinions...), checkNotFrozen(charge, temp)
}

// surfaceCharge is the rest voltage above which a surface charge stands on the
// plates. Source: common practice, no source.
func surfaceCharge(chemistry string) float64 {
	if chemistry == agm || chemistry == unsure {
		return 13.2
	}
	return 12.9
}

// cellShort is the rest voltage of a charged battery less one cell, 10.5 V, and
// what may be added for a good state of charge.
var cellShort = figure("rest voltage at which a cell may be shorted", unit.Exactly(10.7), "V", practiced(practice))

func restSays(rest unit.Range, chemistry string, charge, temp unit.Range) []string {
	var says []string
	if limit := surfaceCharge(chemistry); rest.Hi > limit {
		says = append(says, "Over "+calc.Show(limit, "V")+" it has hardly rested: take the surface charge off with the lamps and read again. A lithium battery also stands at about 13.3 V.")
	}
	if rest.Lo < cellShort.Range.Best {
		says = append(says, "So low that a cell may be shorted: it is, when it stands there again after a charge.")
	}
	if frost := freezingAtCharge(charge); temp.Lo <= frost.Hi {
		says = append(says, "At "+calc.Show(frost.Hi, "°C")+" a battery this flat may freeze: look for ice and bulges before anything else.")
	}
	if temp.Lo < 0 {
		says = append(says, "Below 0 °C the published temperature laws part widely, so the range is wide.")
	}
	return says
}

var chargeFunctions = []*calc.Function{
	{
		Name: "charge_from_voltage", Title: "State of charge from the rest voltage", Topic: topicCharge, Unit: unit.Must("%"),
		Doc: "For a rested battery. It shows how much charge there is, not whether the battery is good.",
		Params: []calc.Param{
			number("rest_voltage", restVoltage, "voltage at the posts, rested"),
			chemistryParam, tempParam,
		},
		Formula: "charge = table of the type, read at (rest_voltage - offset(battery_temp))",
		Source:  derived, Figures: []calc.Figure{tableTemp, restSlopeLow, restSlopeHigh, cellShort}, Tables: allCurves(),
		Work: func(a calc.Args) (calc.Result, error) {
			rest, chemistry, temp := a.Num("rest_voltage"), a.Word("chemistry"), a.Num("battery_temp")
			charge, err := chargeFromVoltage(rest, chemistry, temp)
			r := sourced("state_of_charge", "state of charge", "%", charge, 0)
			r.Says = restSays(rest, chemistry, charge.Range, temp)
			return r, err
		},
	},
	{
		Name: "voltage_from_charge", Title: "Rest voltage to expect of a state of charge", Topic: topicCharge, Unit: unit.Must("V"),
		Doc: "What a good meter should read on a rested battery of that charge.",
		Params: []calc.Param{
			number("state_of_charge", stateOfCharge, "how full it is"),
			chemistryParam, tempParam,
		},
		Formula: "rest_voltage = table of the type at state_of_charge + offset(battery_temp)",
		Source:  derived, Figures: []calc.Figure{tableTemp, restSlopeLow, restSlopeHigh}, Tables: allCurves(),
		Work: func(a calc.Args) (calc.Result, error) {
			v, err := voltageFromCharge(a.Num("state_of_charge"), a.Word("chemistry"), a.Num("battery_temp"))
			return sourced("rest_voltage", "rest voltage", "V", v, 2), err
		},
	},
	correctedGravityFunction,
	chargeFromGravityFunction,
	voltageFromGravityFunction,
	compareChargeFunction,
	freezingFunction,
}

func allCurves() []*calc.Table { return append(curvesOf(unsure), restOffset) }
