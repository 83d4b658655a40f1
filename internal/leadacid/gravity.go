package leadacid

// Specific gravity of the acid, for batteries whose plugs open. It is counted
// against water (1.265, not 1265).

var (
	gravity       = quantity{title: "specific gravity", unit: "1", lo: 1.0, hi: 1.35, over: "it is typed against water: 1.265, not 1265"}
	acidTemp      = quantity{title: "temperature of the acid", unit: "°C", lo: -40, hi: 60}
	acidTempParam = number("acid_temp", acidTemp, "temperature of the acid in the hydrometer")
)

// A hydrometer is made to read right at one temperature. Its name here is that
// temperature; the correction is in gravity for each kelvin.
type hydrometer struct {
	temp, perKelvin Figure
}

var hydrometers = map[string]hydrometer{
	"27c": {
		Figure{"temperature at which the hydrometer reads right (80 °F)", Exactly(80.0/1.8 - 32/1.8), "°C", Source{"TM 5-4210-230-14&P-1, hydrometer correction", SeenTwice}},
		Figure{"correction for each kelvin (0.004 for each 10 °F)", Exactly(0.004 * 1.8 / 10), "1", Source{"TM 5-4210-230-14&P-1, hydrometer correction", SeenTwice}},
	},
	"20c": {
		Figure{"temperature at which the hydrometer reads right", Exactly(20), "°C", practiced(Seen)},
		Figure{"correction for each kelvin", Exactly(0.0007), "1", practiced(Seen)},
	},
}

var hydrometerParam = assumingWord(choice("hydrometer", "temperature at which it reads right: 27c (80 °F, the usual one) or 20c", "27c", "20c"), "27c")

func hydrometerNamed(name string) (hydrometer, error) {
	h, ok := hydrometers[name]
	if !ok {
		return h, impossible("the hydrometer %q is unknown: expected 27c or 20c", name)
	}
	return h, nil
}

// CorrectedGravity is the specific gravity (1.000 to 1.350) that a hydrometer
// would have shown at the temperature it is made for, when it read in acid of
// temperature temp (°C, -40 to 60). The hydrometer is "27c" or "20c".
//
// Source: TM 5-4210-230-14&P-1 for 27c; common practice, no source, for 20c.
func CorrectedGravity(read, temp Range, instrument string) (Range, error) {
	h, err := hydrometerNamed(instrument)
	if err == nil {
		err = check(gravity.is(read), acidTemp.is(temp))
	}
	if err != nil {
		return Range{}, err
	}
	return Over(func(x []float64) float64 {
		return x[0] + h.perKelvin.Range.Best*(x[1]-h.temp.Range.Best)
	}, read, temp), nil
}

// chargeByGravity are tables of specific gravity at 26.7 °C over state of charge
// for the gravity that the battery has when full, the commonest first.
var chargeByGravity = []*Table{
	{Name: "for a battery of 1.265 when full", Over: "%", Unit: "1", Source: practiced(SeenTwice),
		Rows: [][2]float64{{0, 1.120}, {25, 1.155}, {50, 1.190}, {75, 1.225}, {100, 1.265}}},
	{Name: "for a battery of 1.280 when full", Over: "%", Unit: "1", Source: Source{"TM 5-1185, Table II", SeenTwice},
		Rows: [][2]float64{{0, 1.130}, {25, 1.190}, {50, 1.220}, {75, 1.250}, {100, 1.280}}},
}

// gravityTables gives the table for "1.265" or "1.280", or both for "unsure".
func gravityTables(full string) ([]*Table, error) {
	switch full {
	case "1.265":
		return chargeByGravity[:1], nil
	case "1.280":
		return chargeByGravity[1:], nil
	case "unsure":
		return chargeByGravity, nil
	}
	return nil, impossible("the full gravity %q is unknown: expected 1.265, 1.280 or unsure", full)
}

var fullParam = assumingWord(choice("full_gravity", "gravity of this battery when full", "1.265", "1.280", "unsure"), "unsure")

// ChargeFromGravity is the state of charge, in % (0 to 100), from a hydrometer
// reading (1.000 to 1.350) in acid of temperature temp (°C, -40 to 60); the
// hydrometer is "27c" or "20c", and full is the gravity of the charged battery:
// "1.265", "1.280" or "unsure".
//
// It is Impossible that acid so thin is not frozen at that temperature.
//
// Source: TM 5-1185, Table II, and common practice, no source.
func ChargeFromGravity(read, temp Range, instrument, full string) (Agreed, error) {
	tables, err := gravityTables(full)
	if err != nil {
		return Agreed{}, err
	}
	at27, err := gravityAt27(read, temp, instrument)
	if err != nil {
		return Agreed{}, err
	}
	if frost := freezingOf(at27); temp.Hi < frost.Lo {
		return Agreed{}, impossible("acid of %s freezes at %s: at %s it was ice, so one of the two readings is wrong", show(at27.Best, ""), showRange(frost, "°C"), show(temp.Best, "°C"))
	}
	var opinions []Opinion
	for _, t := range tables {
		opinions = append(opinions, Opinion{"table " + t.Name, t.turned().over(at27), t.Source})
	}
	return agree(opinions...), nil
}

// gravityAt27 is the corrected gravity at 80 °F, whichever the hydrometer.
func gravityAt27(read, temp Range, instrument string) (Range, error) {
	at, err := CorrectedGravity(read, temp, instrument)
	if err != nil {
		return at, err
	}
	h := hydrometers[instrument]
	down := h.perKelvin.Range.Best * (h.temp.Range.Best - hydrometers["27c"].temp.Range.Best)
	return Range{at.Lo + down, at.Best + down, at.Hi + down}, nil
}

// VoltageFromGravity is the rest voltage, in V, that belongs to a specific
// gravity (1.000 to 1.350, corrected to 80 °F): a cross-check of the two, no
// more. The rule of thumb is 0.02 V low for a full battery and 0.13 V low for an
// empty one.
//
// Source: from memory for the rule; common practice, no source, for the table.
func VoltageFromGravity(at27 Range) (Agreed, error) {
	if err := check(gravity.is(at27)); err != nil {
		return Agreed{}, err
	}
	rule := func(says string, add float64) Opinion {
		return Opinion{says, Over(func(x []float64) float64 { return 6 * (x[0] + add) }, at27), fromMemory}
	}
	charge := chargeByGravity[0].turned().over(at27)
	return agree(
		Opinion{"tables of both over state of charge", curves[Flooded][0].over(charge), practiced(Seen)},
		rule("six cells of gravity + 0.84", 0.84), rule("six cells of gravity + 0.845", 0.845),
	), nil
}

var gravityFigures = []Figure{hydrometers["27c"].temp, hydrometers["27c"].perKelvin, hydrometers["20c"].temp, hydrometers["20c"].perKelvin}

var correctedGravityFunction = &Function{
	Name: "corrected_gravity", Title: "Hydrometer reading, corrected for temperature", Topic: topicCharge,
	Doc: "Cold acid is denser: a hydrometer in cold acid reads too high.",
	Params: []Param{
		number("gravity", gravity, "what the hydrometer shows"), acidTempParam, hydrometerParam,
	},
	Formula: "corrected = gravity + correction * (acid_temp - the hydrometer's temperature)",
	Source:  Source{"TM 5-4210-230-14&P-1, hydrometer correction", SeenTwice}, Figures: gravityFigures,
	work: func(a Args) (Result, error) {
		g, err := CorrectedGravity(a.num("gravity"), a.num("acid_temp"), a.word("hydrometer"))
		return one(Value{"corrected_gravity", "corrected gravity", "1", g, 3}, err)
	},
}

var chargeFromGravityFunction = &Function{
	Name: "charge_from_gravity", Title: "State of charge from specific gravity", Topic: topicCharge,
	Doc: "For batteries whose plugs open. Not within hours of adding water. A cell far below the others is the finding, whatever the mean.",
	Params: []Param{
		number("gravity", gravity, "what the hydrometer shows"), acidTempParam, hydrometerParam, fullParam,
	},
	Formula: "charge = table for the full gravity, read at the corrected gravity",
	Source:  derived, Figures: gravityFigures, Tables: chargeByGravity,
	work: func(a Args) (Result, error) {
		charge, err := ChargeFromGravity(a.num("gravity"), a.num("acid_temp"), a.word("hydrometer"), a.word("full_gravity"))
		return told("state_of_charge", "state of charge", "%", 0, charge, err)
	},
}

var voltageFromGravityFunction = &Function{
	Name: "voltage_from_gravity", Title: "Rest voltage that belongs to a specific gravity", Topic: topicCharge,
	Doc:     "A cross-check of a meter against a hydrometer on one rested battery with liquid acid.",
	Params:  []Param{number("gravity", gravity, "corrected to 80 °F")},
	Formula: "rest_voltage = 6 * (gravity + 0.84), or by way of the two tables over state of charge",
	Source:  fromMemory, Tables: []*Table{chargeByGravity[0], curves[Flooded][0]},
	work: func(a Args) (Result, error) {
		v, err := VoltageFromGravity(a.num("gravity"))
		return told("rest_voltage", "rest voltage", "V", 2, v, err)
	},
}
