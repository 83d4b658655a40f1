package leadacid

// chargeVolts is the voltage at the posts while charging, at 25 °C, for each
// type, the one to go by first; floatVolts that for keeping a full battery full.
var chargeVolts = map[Chemistry][]Figure{
	Flooded: {
		{"flooded, conventional plates", Range{14.2, 14.4, 14.6}, "V", practiced(Seen)},
		{"flooded, calcium plates (maintenance-free)", Range{14.4, 14.7, 14.8}, "V", practiced(Seen)},
	},
	EFB: {{"EFB", Range{14.4, 14.6, 14.8}, "V", fromMemory}},
	AGM: {
		{"AGM", Range{14.3, 14.5, 14.6}, "V", practiced(Seen)},
		{"AGM, as their makers say", Range{14.4, 14.6, 14.8}, "V", fromMemory},
	},
	Gel: {
		{"gel", Range{13.7, 13.9, 14.0}, "V", practiced(Seen)},
		{"gel, at most", Exactly(14.1), "V", practiced(SeenTwice)},
	},
}

var floatVolts = map[Chemistry]Figure{
	Flooded: {"float, flooded", Range{13.2, 13.5, 13.8}, "V", practiced(Seen)},
	EFB:     {"float, EFB", Range{13.5, 13.6, 13.8}, "V", fromMemory},
	AGM:     {"float, AGM", Range{13.4, 13.5, 13.7}, "V", practiced(Seen)},
	Gel:     {"float, gel", Range{13.4, 13.5, 13.7}, "V", practiced(Seen)},
}

var (
	chargeSlope  = Figure{"charging voltage over temperature, from 25 °C", Range{-30, -24, -16.7}, "mV/K", practiced(SeenTwice)}
	chargeAtTemp = Figure{"temperature of the charging voltages", Exactly(25), "°C", practiced(SeenTwice)}
	inVehicle    = Figure{"most with the vehicle's electronics connected", Exactly(14.8), "V", practiced(Practice)}
	chargeStop   = Figure{"battery temperature at which charging stops", Exactly(50), "°C", ownChoice}
	chargeCold   = Figure{"below this a battery takes hardly any current for hours", Exactly(15), "°C", practiced(SeenTwice)}
	gassingAt25  = Figure{"gassing begins, at 25 °C (2.35 to 2.40 V a cell)", Range{14.1, 14.25, 14.4}, "V", practiced(Seen)}
)

// ChargeVolts is the voltage to charge a battery with, and to keep it full with.
type ChargeVolts struct {
	Charge    Agreed
	Float     Range // V
	InVehicle Range // V, the charging voltage as far as a connected vehicle bears it
}

// ChargingVoltage is the voltage at the posts, in V, to charge a battery of that
// type with at the battery temperature temp (°C, -40 to 50). Of a type that is
// not known it is that of gel, which bears the least. Over 50 °C charging stops,
// so that is Impossible. The label's own figure wins.
//
// Source: common practice, no source, and from memory.
func ChargingVoltage(c Chemistry, temp Range) (ChargeVolts, error) {
	if err := checkChargeable(c, temp); err != nil {
		return ChargeVolts{}, err
	}
	if c == Unsure {
		c = Gel
	}
	var all []Opinion
	for _, f := range chargeVolts[c] {
		all = append(all, Opinion{f.Name, atChargeTemp(f.Range, temp), f.Source})
	}
	charge := agree(all...)
	return ChargeVolts{charge, atChargeTemp(floatVolts[c].Range, temp), charge.Range.held(0, inVehicle.Range.Best)}, nil
}

func checkChargeable(c Chemistry, temp Range) error {
	if _, err := c.kinds(); err != nil {
		return err
	}
	if err := check(batteryTemp.is(temp)); err != nil {
		return err
	}
	if stop := chargeStop.Range.Best; temp.Hi > stop {
		return impossible("at %s a battery is not charged: at %s charging stops until it has cooled", show(temp.Hi, "°C"), show(stop, "°C"))
	}
	return nil
}

func atChargeTemp(v25, temp Range) Range {
	return Over(func(x []float64) float64 {
		return x[0] + x[1]/1000*(x[2]-chargeAtTemp.Range.Best)
	}, v25, chargeSlope.Range, temp)
}

// GassingVoltage is the voltage at the posts, in V, above which the acid begins
// to gas, at the battery temperature temp (°C, -40 to 60).
//
// Source: common practice, no source.
func GassingVoltage(temp Range) (Range, error) {
	if err := check(batteryTemp.is(temp)); err != nil {
		return Range{}, err
	}
	return atChargeTemp(gassingAt25.Range, temp), nil
}

var chargerVoltage = quantity{title: "charging voltage", unit: "V", lo: 10, hi: 18}

// GassingTemperature is the battery temperature, in °C, above which a charging
// voltage (V, 10 to 18) makes the acid gas: the reverse of [GassingVoltage].
func GassingTemperature(volts Range) (Range, error) {
	if err := check(chargerVoltage.is(volts)); err != nil {
		return Range{}, err
	}
	return Over(func(x []float64) float64 {
		return chargeAtTemp.Range.Best + 1000*(x[0]-x[1])/x[2]
	}, volts, gassingAt25.Range, chargeSlope.Range), nil
}

var chargingVoltageFunction = &Function{
	Name: "charging_voltage", Title: "Voltage to charge with", Topic: topicCharging,
	Doc: "By type and temperature. The label's own figure wins; of an unknown type take no more than a gel battery bears.",
	Params: []Param{
		chemistryParam,
		assuming(number("battery_temp", batteryTemp, "temperature of the battery itself, not of the air"), roomTemp),
	},
	Formula: "voltage = voltage of the type at 25 °C - 24 mV/K * (battery_temp - 25 °C)",
	Source:  practiced(SeenTwice), Figures: chargeFigures(),
	work: func(a Args) (Result, error) {
		temp := a.num("battery_temp")
		v, err := ChargingVoltage(Chemistry(a.word("chemistry")), temp)
		if err != nil {
			return Result{}, err
		}
		r := Result{
			Values: []Value{
				{"charge", "to charge with", "V", v.Charge.Range, 1},
				{"in_vehicle", "with the vehicle connected", "V", v.InVehicle, 1},
				{"float", "to keep it full with", "V", v.Float, 1},
			},
			Opinions: saidOf("charge", v.Charge),
		}
		if temp.Lo < chargeCold.Range.Best {
			r.Says = []string{"Under " + show(chargeCold.Range.Best, "°C") + " it takes hardly any current for hours: warm it up first. A flat one may be frozen."}
		}
		return r, nil
	},
}

func chargeFigures() []Figure {
	all := []Figure{chargeSlope, inVehicle, chargeStop, chargeCold}
	for _, c := range []Chemistry{Flooded, EFB, AGM, Gel} {
		all = append(append(all, chargeVolts[c]...), floatVolts[c])
	}
	return all
}

var gassingVoltageFunction = &Function{
	Name: "gassing_voltage", Title: "Voltage at which a battery begins to gas", Topic: topicCharging,
	Doc: "Above it hydrogen comes off: air the room, no flame, no spark.",
	Params: []Param{
		tempParam,
	},
	Formula: "gassing = 14.1 to 14.4 V at 25 °C - 24 mV/K * (battery_temp - 25 °C)",
	Source:  practiced(Seen), Figures: []Figure{gassingAt25, chargeSlope},
	work: func(a Args) (Result, error) {
		v, err := GassingVoltage(a.num("battery_temp"))
		return one(Value{"gassing_voltage", "gassing begins at", "V", v, 1}, err)
	},
}

var gassingTempFunction = &Function{
	Name: "gassing_temperature", Title: "Temperature above which a charging voltage makes a battery gas", Topic: topicCharging,
	Doc: "The same curve the other way round: a fixed voltage that is right in winter gasses in summer.",
	Params: []Param{
		number("charging_voltage", chargerVoltage, "at the posts, on charge"),
	},
	Formula: "temperature = 25 °C + (14.1 to 14.4 V - charging_voltage) / 24 mV/K",
	Source:  practiced(Seen), Figures: []Figure{gassingAt25, chargeSlope},
	work: func(a Args) (Result, error) {
		t, err := GassingTemperature(a.num("charging_voltage"))
		return one(Value{"gassing_temperature", "gasses above", "°C", t, 0}, err)
	},
}
