package leadacid

var regulatorTemp = quantity{title: "temperature of the regulator", unit: "°C", lo: -40, hi: 120}

// The window of a conventional alternator at 20 °C and its slope.
var (
	windowLow   = Figure{"lowest regulated voltage at 20 °C", Exactly(13.8), "V", practiced(Practice)}
	windowHigh  = Figure{"highest regulated voltage at 20 °C", Exactly(14.8), "V", practiced(Practice)}
	underCharge = Figure{"below this at 20 °C it does not charge enough", Exactly(13.2), "V", practiced(Practice)}
	overCharge  = Figure{"above this at 20 °C it overcharges", Exactly(15.2), "V", practiced(Practice)}
	windowSlope = Figure{"regulated voltage over temperature", Range{-10.5, -10, -10}, "mV/K", practiced(SeenTwice)}
	windowTemp  = Figure{"temperature of the window", Exactly(20), "°C", practiced(SeenTwice)}
	smartWindow = Figure{"what a smart alternator may command", Range{12.2, 14.4, 15.5}, "V", fromMemory}
	enoughRise  = Figure{"least rise over rest with loads on", Exactly(0.5), "V", practiced(Seen)}
	mostRise    = Figure{"most rise over rest with loads off, conventional", Exactly(2.5), "V", practiced(Seen)}
)

// regulatorTables are two published windows over the regulator's temperature, and
// an army manual's, which gives no temperature.
var regulatorTables = []struct{ low, high *Table }{
	{
		&Table{Name: "lowest, one published window", Over: "°C", Unit: "V", Source: practiced(Seen), Rows: [][2]float64{{-20, 14.0}, {20, 13.7}, {60, 13.2}, {80, 12.9}}},
		&Table{Name: "highest, one published window", Over: "°C", Unit: "V", Source: practiced(Seen), Rows: [][2]float64{{-20, 15.1}, {20, 14.6}, {60, 14.3}, {80, 14.1}}},
	},
	{
		&Table{Name: "lowest, another published window", Over: "°C", Unit: "V", Source: practiced(Seen), Rows: [][2]float64{{-20, 14.2}, {20, 14.0}, {60, 13.7}, {80, 13.5}}},
		&Table{Name: "highest, another published window", Over: "°C", Unit: "V", Source: practiced(Seen), Rows: [][2]float64{{-20, 15.4}, {20, 15.0}, {60, 14.9}, {80, 14.7}}},
	},
	{
		&Table{Name: "lowest, an army regulator", Over: "°C", Unit: "V", Source: Source{"TM 9-2330-356-14", Seen}, Rows: [][2]float64{{20, 13.6}}},
		&Table{Name: "highest, an army regulator", Over: "°C", Unit: "V", Source: Source{"TM 9-2330-356-14", Seen}, Rows: [][2]float64{{20, 14.2}}},
	},
}

// Window is what a conventional alternator may regulate to, in V at the posts.
type Window struct {
	Lowest, Highest Agreed
	Under, Over     Range // outside these it is at fault
}

// AlternatorWindow is the regulated voltage of a conventional alternator at the
// regulator temperature temp (°C, -40 to 120). A smart one may leave it; see
// [RegulatedVoltage]. The vehicle's own figure wins.
//
// Source: common practice, no source; TM 9-2330-356-14 among the opinions.
func AlternatorWindow(temp Range) (Window, error) {
	if err := check(regulatorTemp.is(temp)); err != nil {
		return Window{}, err
	}
	at := func(f Figure) Range {
		return Over(func(x []float64) float64 {
			return f.Range.Best + x[0]/1000*(x[1]-windowTemp.Range.Best)
		}, windowSlope.Range, temp)
	}
	low := []Opinion{{"13.8 V at 20 °C, falling by 10 mV/K", at(windowLow), windowLow.Source}}
	high := []Opinion{{"14.8 V at 20 °C, falling by 10 mV/K", at(windowHigh), windowHigh.Source}}
	for _, t := range regulatorTables {
		low = append(low, Opinion{t.low.Name, t.low.over(temp), t.low.Source})
		high = append(high, Opinion{t.high.Name, t.high.over(temp), t.high.Source})
	}
	return Window{agree(low...), agree(high...), at(underCharge), at(overCharge)}, nil
}

// Charging is what was read of a charging system, engine at 1500 to 2500 rpm.
type Charging struct {
	Rest      Range // V at the posts, rested after the battery was charged
	Running   Range // V at the posts
	LoadsOn   bool  // lamps, blower and heated screen
	Smart     bool  // the vehicle commands the voltage
	Regulator Range // °C, temperature of the regulator
}

// RegulatedVoltage judges a charging system in a sentence, with the rise over
// rest in V. It is Impossible to judge one on a flat battery, under 12.4 V at
// rest: charge the battery first.
//
// Source: common practice, no source.
func RegulatedVoltage(c Charging) (rise Range, says string, err error) {
	if err := check(restVoltage.is(c.Rest), postsVoltage.is(c.Running)); err != nil {
		return Range{}, "", err
	}
	window, err := AlternatorWindow(c.Regulator)
	if err != nil {
		return Range{}, "", err
	}
	if enough := chargedEnough[Flooded].Range; c.Rest.Lo < enough.Best {
		return Range{}, "", impossible("the battery rests at %s: a charging system is not judged on a battery under %s, so charge it first", show(c.Rest.Best, "V"), show(enough.Best, "V"))
	}
	rise = Range{c.Running.Lo - c.Rest.Hi, c.Running.Best - c.Rest.Best, c.Running.Hi - c.Rest.Lo}
	if c.Smart && !c.LoadsOn {
		return rise, smartSays(c.Running), nil
	}
	return rise, window.says(c, rise), nil
}

// smartSays judges a smart alternator that no load forces to charge.
func smartSays(running Range) string {
	if running.Hi < smartWindow.Range.Lo || running.Lo > smartWindow.Range.Hi {
		return "Outside of anything a smart alternator commands: read fault codes, then repeat with loads on."
	}
	return "Nothing follows: a smart alternator may command this. Switch on lamps, blower and heated screen, and read again."
}

func (w Window) says(c Charging, rise Range) string {
	v := c.Running
	switch {
	case c.LoadsOn && rise.Below(enoughRise.Range) == Yes:
		return "Less than half a volt over rest with loads on: it does not charge."
	case v.Below(w.Under) == Yes:
		return "It charges too little for this temperature."
	case w.Over.Below(v) == Yes:
		return "It overcharges for this temperature: stop, and look at the regulator and its earth."
	case v.Below(w.Lowest.Range) == No && w.Highest.Range.Below(v) == No && (!c.LoadsOn || rise.Below(enoughRise.Range) == No):
		return "Within every published window for this temperature."
	case !c.LoadsOn && mostRise.Range.Below(rise) == Yes:
		return "More than 2.5 V over rest without loads: it may overcharge."
	}
	return "Between the published limits, or too close to call: compare with the vehicle's data, and look at drops and ripple."
}

var alternatorFunctions = []*Function{
	{
		Name: "alternator_window", Title: "Regulated voltage of a conventional alternator", Topic: topicAlternator,
		Doc: "At the posts, engine at 1500 to 2500 rpm. Hotter means lower. A smart alternator may leave the window without a fault.",
		Params: []Param{
			assuming(number("regulator_temp", regulatorTemp, "temperature of the regulator; under the bonnet, not of the air"), Range{10, 20, 60}),
		},
		Formula: "lowest = 13.8 V, highest = 14.8 V, each - 10 mV/K * (regulator_temp - 20 °C)",
		Source:  practiced(Practice), Figures: windowFigures(), Tables: windowTables(),
		work: func(a Args) (Result, error) {
			w, err := AlternatorWindow(a.num("regulator_temp"))
			if err != nil {
				return Result{}, err
			}
			return Result{
				Values: []Value{
					{"lowest", "lowest", "V", w.Lowest.Range, 1}, {"highest", "highest", "V", w.Highest.Range, 1},
					{"under", "charges too little below", "V", w.Under, 1}, {"over", "overcharges above", "V", w.Over, 1},
				},
				Opinions: append(saidOf("lowest", w.Lowest), saidOf("highest", w.Highest)...),
			}, nil
		},
	},
	{
		Name: "regulated_voltage", Title: "Charging system judged", Topic: topicAlternator,
		Doc: "Never on a flat battery. A smart system is judged with lamps, blower and heated screen on, since it may charge or not charge as it likes without them. Clear of belts and fan.",
		Params: []Param{
			number("rest_voltage", restVoltage, "at the posts, rested after the charge"),
			number("running_voltage", postsVoltage, "at the posts, 1500 to 2500 rpm"),
			choice("loads", "lamps, blower and heated screen", "on", "off"),
			choice("system", "whether the vehicle commands the voltage", "conventional", "smart"),
			assuming(number("regulator_temp", regulatorTemp, "temperature of the regulator"), Range{10, 20, 60}),
		},
		Formula: "rise = running_voltage - rest_voltage; the window of alternator_window",
		Source:  practiced(Practice), Figures: windowFigures(), Tables: windowTables(),
		work: func(a Args) (Result, error) {
			rise, says, err := RegulatedVoltage(Charging{a.num("rest_voltage"), a.num("running_voltage"), a.word("loads") == "on", a.word("system") == "smart", a.num("regulator_temp")})
			r, err := one(Value{"rise", "over rest", "V", rise, 2}, err)
			if err == nil {
				r.Says = []string{says}
			}
			return r, err
		},
	},
	rippleFunction, chargingDropFunction,
}

func windowFigures() []Figure {
	return []Figure{windowLow, windowHigh, underCharge, overCharge, windowSlope, windowTemp, smartWindow, enoughRise, mostRise}
}

func windowTables() []*Table {
	var all []*Table
	for _, t := range regulatorTables {
		all = append(all, t.low, t.high)
	}
	return all
}
