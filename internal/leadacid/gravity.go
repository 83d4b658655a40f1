package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// Specific gravity of the acid, for batteries whose plugs open. It is counted
// against water (1.265, not 1265).

var (
	gravity  = &calc.Quantity{Title: "specific gravity", Unit: "1", Lo: 1.0, Hi: 1.35, Over: "it is typed against water: 1.265, not 1265"}
	acidTemp = &calc.Quantity{Title: "temperature of the acid", Unit: "°C", Lo: -40, Hi: 60}

	gravityParam    = number("gravity", gravity, "what the hydrometer shows")
	acidTempParam   = number("acid_temp", acidTemp, "temperature of the acid in the hydrometer")
	hydrometerParam = assumingWord(words("hydrometer", "temperature at which it reads right: 27c (80 °F, the usual one) or 20c", "27c", "20c"), "27c")
	fullParam       = assumingWord(words("full_gravity", "gravity of this battery when full", "1.265", "1.280", unsure), unsure)
)

// A hydrometer reads right at one temperature. The correction is in gravity for
// each kelvin.
type hydrometer struct {
	temp, perKelvin calc.Figure
}

var (
	usualHydrometer = hydrometer{
		figure("temperature at which the hydrometer reads right (80 °F)", unit.Exactly(80.0/1.8-32/1.8), "°C", correctionRule),
		figure("correction for each kelvin (0.004 for each 10 °F)", unit.Exactly(0.004*1.8/10), "1", correctionRule),
	}
	hydrometers = map[string]hydrometer{
		"27c": usualHydrometer,
		"20c": {
			figure("temperature at which the hydrometer reads right", unit.Exactly(20), "°C", practiced(seen)),
			figure("correction for each kelvin", unit.Exactly(0.0007), "1", practiced(seen)),
		},
	}
	correctionRule = source("TM 5-4210-230-14&P-1, hydrometer correction", seenTwice)
	gravityFigures = []calc.Figure{usualHydrometer.temp, usualHydrometer.perKelvin, hydrometers["20c"].temp, hydrometers["20c"].perKelvin}
)

func (h hydrometer) correct(read, temp unit.Range) unit.Range {
	return unit.Over(func(x []float64) float64 {
		return x[0] + h.perKelvin.Range.Best*(x[1]-h.temp.Range.Best)
	}, read, temp)
}

// chargeByGravity are tables of state of charge and specific gravity at 26.7 °C
// for the gravity that the battery has when full, the commonest first.
var chargeByGravity = []*calc.Table{
	table("for a battery of 1.265 when full", "%", "1", practiced(seenTwice),
		rows{{0, 1.120}, {25, 1.155}, {50, 1.190}, {75, 1.225}, {100, 1.265}}),
	table("for a battery of 1.280 when full", "%", "1", source("TM 5-1185, Table II", seenTwice),
		rows{{0, 1.130}, {25, 1.190}, {50, 1.220}, {75, 1.250}, {100, 1.280}}),
}

func chargeFromGravity(read, temp unit.Range, instrument, full string) (agreed, error) {
	// Both tables are read at 80 °F, whichever the hydrometer.
	h := hydrometers[instrument]
	down := h.perKelvin.Range.Best * (h.temp.Range.Best - usualHydrometer.temp.Range.Best)
	at27 := h.correct(read, temp).Plus(unit.Exactly(down))
	if frost := freezingOf(at27); temp.Hi < frost.Lo {
		return agreed{}, calc.Impossiblef("acid of %s freezes at %s: at %s it was ice, so one of the two readings is wrong", calc.Show(at27.Best, "1"), calc.ShowRange(frost, "°C"), calc.Show(temp.Best, "°C"))
	}
	tables := map[string][]*calc.Table{"1.265": chargeByGravity[:1], "1.280": chargeByGravity[1:], unsure: chargeByGravity}[full]
	var opinions []calc.Opinion
	for _, t := range tables {
		opinions = append(opinions, opinion("table "+t.Name, t.Inverse().Over(at27), t.Source))
	}
	return agree(opinions...), nil
}

func voltageFromGravity(at27 unit.Range) agreed {
	rule := func(says string, add float64) calc.Opinion {
		return opinion(says, at27.Map(func(g float64) float64 { return 6 * (g + add) }), fromMemory)
	}
	charge := chargeByGravity[0].Inverse().Over(at27)
	return agree(
		opinion("tables of both over state of charge", curves[flooded][0].Over(charge), practiced(seen)),
		rule("six cells of gravity + 0.84", 0.84), rule("six cells of gravity + 0.845", 0.845),
	)
}

var correctedGravityFunction = &calc.Function{
	Name: "corrected_gravity", Title: "Hydrometer reading, corrected for temperature", Topic: topicCharge, Unit: unit.Must("1"),
	Doc:     "Cold acid is denser: a hydrometer in cold acid reads too high.",
	Params:  []calc.Param{gravityParam, acidTempParam, hydrometerParam},
	Formula: "corrected = gravity + correction * (acid_temp - the hydrometer's temperature)",
	Source:  correctionRule, Figures: gravityFigures,
	Work: func(a calc.Args) (calc.Result, error) {
		g := hydrometers[a.Word("hydrometer")].correct(a.Num("gravity"), a.Num("acid_temp"))
		return single("corrected_gravity", "corrected gravity", "1", g, 3), nil
	},
}

var chargeFromGravityFunction = &calc.Function{
	Name: "charge_from_gravity", Title: "State of charge from specific gravity", Topic: topicCharge, Unit: unit.Must("%"),
	Doc:     "For batteries whose plugs open. Not within hours of adding water. A cell far below the others is the finding, whatever the mean.",
	Params:  []calc.Param{gravityParam, acidTempParam, hydrometerParam, fullParam},
	Formula: "charge = table for the full gravity, read at the corrected gravity",
	Source:  derived, Figures: gravityFigures, Tables: chargeByGravity,
	Work: func(a calc.Args) (calc.Result, error) {
		charge, err := chargeFromGravity(a.Num("gravity"), a.Num("acid_temp"), a.Word("hydrometer"), a.Word("full_gravity"))
		return sourced("state_of_charge", "state of charge", "%", charge, 0), err
	},
}

var voltageFromGravityFunction = &calc.Function{
	Name: "voltage_from_gravity", Title: "Rest voltage that belongs to a specific gravity", Topic: topicCharge, Unit: unit.Must("V"),
	Doc:     "A cross-check of a meter against a hydrometer on one rested battery with liquid acid.",
	Params:  []calc.Param{number("gravity", gravity, "corrected to 80 °F")},
	Formula: "rest_voltage = 6 * (gravity + 0.84), or by way of the two tables over state of charge",
	Source:  fromMemory, Tables: []*calc.Table{chargeByGravity[0], curves[flooded][0]},
	Work: func(a calc.Args) (calc.Result, error) {
		return sourced("rest_voltage", "rest voltage", "V", voltageFromGravity(a.Num("gravity")), 2), nil
	},
}
