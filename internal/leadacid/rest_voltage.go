package leadacid

import "math"

// Rest voltage and state of charge lie on one curve for each type of battery. No
// two published curves are the same, and the way from the temperature of the
// battery to that of the tables is disputed as well. All curves and all ways are
// gone, and the answer covers them.

// tableTemp is the temperature of the tables: 80 °F.
var tableTemp = Figure{"temperature of the tables", Exactly(26.7), "°C", Source{"TM 5-4210-230-14&P-1 (80 °F)", SeenTwice}}

// curve is a table of rest voltage over state of charge (%).
func curve(name string, source Source, empty, quarter, half, threeQuarters, full float64) *Table {
	return &Table{Name: name, Over: "%", Unit: "V", Source: source, Rows: [][2]float64{
		{0, empty}, {25, quarter}, {50, half}, {75, threeQuarters}, {100, full}}}
}

// curves holds the tables of each type, the one to go by first.
var curves = map[Chemistry][]*Table{
	Flooded: {
		curve("flooded, two decimals", practiced(SeenTwice), 11.89, 12.06, 12.24, 12.45, 12.65),
		curve("flooded, one decimal", Source{"TM 5-3805-262-20, p. 5-142", Seen}, 11.7, 12.0, 12.2, 12.4, 12.6),
		// Printed at 100 and 75 % only; below that as far above the first table as at 75 %.
		curve("flooded, the highest printed", practiced(Seen), 11.98, 12.15, 12.33, 12.54, 12.72),
	},
	EFB: {
		curve("EFB, middle of the band", fromMemory, 11.80, 12.025, 12.275, 12.50, 12.75),
		curve("EFB, lower edge", fromMemory, 11.80, 12.00, 12.25, 12.45, 12.70),
		curve("EFB, upper edge", fromMemory, 11.80, 12.05, 12.30, 12.55, 12.80),
	},
	AGM: {
		curve("AGM, full from 12.8 V", Source{"TM 9-6115-730-24 WP 0050 for 12.8 V; the rest is common practice, no source", SeenTwice}, 11.80, 12.0, 12.3, 12.6, 12.8),
		curve("AGM, full from 13.0 V", Source{"TM 9-6115-730-24 WP 0050 for 13.0 V; the rest is common practice, no source", SeenTwice}, 11.80, 12.0, 12.3, 12.6, 13.0),
	},
	Gel: {curve("gel", practiced(Seen), 11.80, 12.00, 12.40, 12.60, 12.80)},
}

// restOffset is how far a rest voltage stands above (+) or below (-) that of the
// tables, in mV, over the battery's temperature.
var restOffset = &Table{
	Name: "rest voltage against that at 26.7 °C", Over: "°C", Unit: "mV", Source: practiced(Seen),
	Rows: [][2]float64{{-17.8, -134}, {-12.2, -108}, {-1.1, -62}, {4.4, -44}, {15.6, -16}, {26.7, 0}, {37.8, 8}},
}

// The two straight laws in use beside that table, in mV for each kelvin.
var (
	restSlopeLow  = Figure{"rest voltage over temperature, the low law", Exactly(1.3), "mV/K", Source{"from memory", MemoryChecked}}
	restSlopeHigh = Figure{"rest voltage over temperature, the high law (six times that of gravity)", Exactly(4.3), "mV/K", practiced(Seen)}
)

// offsetAt is the offset in V at a temperature: the table's, and in its range
// those of both laws.
func offsetAt(temp Range) Range {
	offset := restOffset.over(temp)
	for _, slope := range []Figure{restSlopeLow, restSlopeHigh} {
		offset = offset.Join(Over(func(x []float64) float64 { return slope.Range.Best * (x[0] - tableTemp.Range.Best) }, temp))
	}
	return Range{offset.Lo / 1000, offset.Best / 1000, offset.Hi / 1000}
}

// curvesOf gives the tables of a type, or of all that it may be.
func curvesOf(c Chemistry) ([]*Table, error) {
	kinds, err := c.kinds()
	if err != nil {
		return nil, err
	}
	var all []*Table
	for _, k := range kinds {
		all = append(all, curves[k]...)
	}
	return all, nil
}

// ChargeFromVoltage is the state of charge, in % (0 to 100), of a battery whose
// rest voltage is rest (V, 0 to 18) at the temperature temp (°C, -40 to 60). The
// battery must be rested: an hour after a load, four after a charge, or after the
// lamps have taken off the surface charge.
//
// It is Impossible that a battery which the answer says is so flat is not frozen
// at that temperature.
//
// Source: the tables named in the opinions; a single reading is good to 10 to
// 15 % at best (common practice, no source).
func ChargeFromVoltage(rest Range, chemistry Chemistry, temp Range) (Agreed, error) {
	tables, err := curvesOf(chemistry)
	if err == nil {
		err = check(restVoltage.is(rest), batteryTemp.is(temp))
	}
	if err != nil {
		return Agreed{}, err
	}
	offset := offsetAt(temp)
	atTable := Range{rest.Lo - offset.Hi, rest.Best - offset.Best, rest.Hi - offset.Lo}
	var opinions []Opinion
	for _, t := range tables {
		opinions = append(opinions, Opinion{"table " + t.Name, t.turned().over(atTable), t.Source})
	}
	charge := agree(opinions...)
	return charge, checkNotFrozen(charge.Range, temp)
}

// RestVoltage is the rest voltage, in V, of a battery of the given state of
// charge (%, 0 to 100) at the temperature temp (°C, -40 to 60): the reverse of
// [ChargeFromVoltage], from the same tables, and with the same errors.
func RestVoltage(charge Range, chemistry Chemistry, temp Range) (Agreed, error) {
	tables, err := curvesOf(chemistry)
	if err == nil {
		err = check(stateOfCharge.is(charge), batteryTemp.is(temp))
	}
	if err == nil {
		err = checkNotFrozen(charge, temp)
	}
	if err != nil {
		return Agreed{}, err
	}
	offset := offsetAt(temp)
	var opinions []Opinion
	for _, t := range tables {
		v := t.over(charge)
		opinions = append(opinions, Opinion{"table " + t.Name, Range{v.Lo + offset.Lo, v.Best + offset.Best, v.Hi + offset.Hi}, t.Source})
	}
	return agree(opinions...), nil
}

// surfaceCharge is the rest voltage above which a surface charge stands on the
// plates.
func surfaceCharge(c Chemistry) Figure {
	v := 12.9
	if c == AGM || c == Unsure {
		v = 13.2
	}
	return Figure{"rest voltage above which it has a surface charge", Exactly(v), "V", practiced(Practice)}
}

// cellShort is the rest voltage of a charged battery less one cell, 10.5 V, and
// what may be added for a good state of charge.
var cellShort = Figure{"rest voltage at which a cell may be shorted", Exactly(10.7), "V", practiced(Practice)}

func restSays(rest Range, chemistry Chemistry, charge Agreed, temp Range) []string {
	var says []string
	if limit := surfaceCharge(chemistry); rest.Hi > limit.Range.Best {
		says = append(says, "Over "+show(limit.Range.Best, "V")+" it has hardly rested: take the surface charge off with the lamps and read again. A lithium battery also stands at about 13.3 V.")
	}
	if rest.Lo < cellShort.Range.Best {
		says = append(says, "So low that a cell may be shorted: it is, when it stands there again after a charge.")
	}
	if frost := freezingAtCharge(charge.Range); temp.Lo <= frost.Hi {
		says = append(says, "At "+show(frost.Hi, "°C")+" a battery this flat may freeze: look for ice and bulges before anything else.")
	}
	if temp.Lo < 0 {
		says = append(says, "Below 0 °C the published temperature laws part widely, so the range is wide.")
	}
	return says
}

var chargeFunctions = []*Function{
	{
		Name: "charge_from_voltage", Title: "State of charge from the rest voltage", Topic: topicCharge,
		Doc: "For a rested battery. It shows how much charge there is, not whether the battery is good.",
		Params: []Param{
			number("rest_voltage", restVoltage, "voltage at the posts, rested"),
			chemistryParam, tempParam,
		},
		Formula: "charge = table of the type, read at (rest_voltage - offset(battery_temp))",
		Source:  derived, Figures: []Figure{tableTemp, restSlopeLow, restSlopeHigh, cellShort}, Tables: allCurves(),
		work: func(a Args) (Result, error) {
			rest, chemistry, temp := a.num("rest_voltage"), Chemistry(a.word("chemistry")), a.num("battery_temp")
			charge, err := ChargeFromVoltage(rest, chemistry, temp)
			r, err := told("state_of_charge", "state of charge", "%", 0, charge, err)
			if err == nil {
				r.Says = restSays(rest, chemistry, charge, temp)
			}
			return r, err
		},
	},
	{
		Name: "voltage_from_charge", Title: "Rest voltage to expect of a state of charge", Topic: topicCharge,
		Doc: "What a good meter should read on a rested battery of that charge.",
		Params: []Param{
			number("state_of_charge", stateOfCharge, "how full it is"),
			chemistryParam, tempParam,
		},
		Formula: "rest_voltage = table of the type at state_of_charge + offset(battery_temp)",
		Source:  derived, Figures: []Figure{tableTemp, restSlopeLow, restSlopeHigh}, Tables: allCurves(),
		work: func(a Args) (Result, error) {
			v, err := RestVoltage(a.num("state_of_charge"), Chemistry(a.word("chemistry")), a.num("battery_temp"))
			return told("rest_voltage", "rest voltage", "V", 2, v, err)
		},
	},
	correctedGravityFunction,
	chargeFromGravityFunction,
	voltageFromGravityFunction,
	compareChargeFunction,
	freezingFunction,
}

func allCurves() []*Table {
	all, err := curvesOf(Unsure)
	if err != nil {
		panic(err)
	}
	return append(all, restOffset)
}

// gap is how far apart two quantities can be at least: 0 when they overlap.
func gap(a, b Range) float64 { return math.Max(0, math.Max(a.Lo-b.Hi, b.Lo-a.Hi)) }
