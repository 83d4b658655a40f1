package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// chargeVolts is the voltage at the posts while charging, at 25 °C, for each
// type, the one to go by first; floatVolts that for keeping a full battery full.
var chargeVolts = map[string][]calc.Figure{
	flooded: {
		figure("flooded, conventional plates", span(14.2, 14.4, 14.6), "V", practiced(seen)),
		figure("flooded, calcium plates (maintenance-free)", span(14.4, 14.7, 14.8), "V", practiced(seen)),
	},
	efb: {figure("EFB", span(14.4, 14.6, 14.8), "V", fromMemory)},
	agm: {
		figure("AGM", span(14.3, 14.5, 14.6), "V", practiced(seen)),
		figure("AGM, as their makers say", span(14.4, 14.6, 14.8), "V", fromMemory),
	},
	gel: {
		figure("gel", span(13.7, 13.9, 14.0), "V", practiced(seen)),
		figure("gel, at most", unit.Exactly(14.1), "V", practiced(seenTwice)),
	},
}

var floatVolts = map[string]calc.Figure{
	flooded: figure("float, flooded", span(13.2, 13.5, 13.8), "V", practiced(seen)),
	efb:     figure("float, EFB", span(13.5, 13.6, 13.8), "V", fromMemory),
	agm:     figure("float, AGM", span(13.4, 13.5, 13.7), "V", practiced(seen)),
	gel:     figure("float, gel", span(13.4, 13.5, 13.7), "V", practiced(seen)),
}

var (
	chargeSlope  = figure("charging voltage over temperature, from 25 °C", span(-30, -24, -16.7), "mV/K", practiced(seenTwice))
	chargeAtTemp = figure("temperature of the charging voltages", unit.Exactly(25), "°C", practiced(seenTwice))
	inVehicle    = figure("most with the vehicle's electronics connected", unit.Exactly(14.8), "V", practiced(practice))
	chargeStop   = figure("battery temperature at which charging stops", unit.Exactly(50), "°C", ownChoice)
	chargeCold   = figure("below this a battery takes hardly any current for hours", unit.Exactly(15), "°C", practiced(seenTwice))
	gassingAt25  = figure("gassing begins, at 25 °C (2.35 to 2.40 V a cell)", span(14.1, 14.25, 14.4), "V", practiced(seen))
)

func atChargeTemp(v25, temp unit.Range) unit.Range {
	return unit.Over(func(x []float64) float64 {
		return x[0] + x[1]/1000*(x[2]-chargeAtTemp.Range.Best)
	}, v25, chargeSlope.Range, temp)
}

var chargingVoltageFunction = &calc.Function{
	Name: "charging_voltage", Title: "Voltage to charge with", Topic: topicCharging, Unit: unit.Must("V"),
	Doc:     "By type and temperature. The label's own figure wins; of an unknown type take no more than a gel battery bears.",
	Params:  []calc.Param{chemistryParam, tempParam},
	Formula: "voltage = voltage of the type at 25 °C - 24 mV/K * (battery_temp - 25 °C)",
	Source:  practiced(seenTwice), Figures: chargeFigures(),
	Work: func(a calc.Args) (calc.Result, error) {
		chemistry, temp := a.Word("chemistry"), a.Num("battery_temp")
		if stop := chargeStop.Range.Best; temp.Hi > stop {
			return calc.Result{}, calc.Impossiblef("at %s a battery is not charged: at %s charging stops until it has cooled", calc.Show(temp.Hi, "°C"), calc.Show(stop, "°C"))
		}
		if chemistry == unsure {
			chemistry = gel
		}
		var all []calc.Opinion
		for _, f := range chargeVolts[chemistry] {
			all = append(all, opinion(f.Name, atChargeTemp(f.Range, temp), f.Source))
		}
		charge := agree(all...)
		r := calc.Result{
			Values: []calc.Value{
				value("charge", "to charge with", "V", charge.Range, 1),
				value("in_vehicle", "with the vehicle connected", "V", charge.Clamp(0, inVehicle.Range.Best), 1),
				value("float", "to keep it full with", "V", atChargeTemp(floatVolts[chemistry].Range, temp), 1),
			},
			Opinions: opinionsOn("charge", charge),
		}
		if temp.Lo < chargeCold.Range.Best {
			r.Says = []string{"Under " + calc.Show(chargeCold.Range.Best, "°C") + " it takes hardly any current for hours: warm it up first. A flat one may be frozen."}
		}
		return r, nil
	},
}

func chargeFigures() []calc.Figure {
	all := []calc.Figure{chargeSlope, inVehicle, chargeStop, chargeCold}
	for _, c := range kinds(unsure) {
		all = append(append(all, chargeVolts[c]...), floatVolts[c])
	}
	return all
}

var gassingVoltageFunction = &calc.Function{
	Name: "gassing_voltage", Title: "Voltage at which a battery begins to gas", Topic: topicCharging, Unit: unit.Must("V"),
	Doc:     "Above it hydrogen comes off: air the room, no flame, no spark.",
	Params:  []calc.Param{tempParam},
	Formula: "gassing = 14.1 to 14.4 V at 25 °C - 24 mV/K * (battery_temp - 25 °C)",
	Source:  practiced(seen), Figures: []calc.Figure{gassingAt25, chargeSlope},
	Work: func(a calc.Args) (calc.Result, error) {
		return single("gassing_voltage", "gassing begins at", "V", atChargeTemp(gassingAt25.Range, a.Num("battery_temp")), 1), nil
	},
}

var chargerVoltage = &calc.Quantity{Title: "charging voltage", Unit: "V", Lo: 10, Hi: 18}

var gassingTempFunction = &calc.Function{
	Name: "gassing_temperature", Title: "Temperature above which a charging voltage makes a battery gas", Topic: topicCharging, Unit: unit.Must("°C"),
	Doc:     "The same curve the other way round: a fixed voltage that is right in winter gasses in summer.",
	Params:  []calc.Param{number("charging_voltage", chargerVoltage, "at the posts, on charge")},
	Formula: "temperature = 25 °C + (14.1 to 14.4 V - charging_voltage) / 24 mV/K",
	Source:  practiced(seen), Figures: []calc.Figure{gassingAt25, chargeSlope},
	Work: func(a calc.Args) (calc.Result, error) {
		t := unit.Over(func(x []float64) float64 {
			return chargeAtTemp.Range.Best + 1000*(x[0]-x[1])/x[2]
		}, a.Num("charging_voltage"), gassingAt25.Range, chargeSlope.Range)
		return single("gassing_temperature", "gasses above", "°C", t, 0), nil
	},
}
