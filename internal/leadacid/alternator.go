package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

var regulatorTemp = &calc.Quantity{Title: "temperature of the regulator", Unit: "°C", Lo: -40, Hi: 120}

// The window of a conventional alternator at 20 °C and its slope.
var (
	windowLow     = figure("lowest regulated voltage at 20 °C", unit.Exactly(13.8), "V", practiced(practice))
	windowHigh    = figure("highest regulated voltage at 20 °C", unit.Exactly(14.8), "V", practiced(practice))
	underCharge   = figure("below this at 20 °C it does not charge enough", unit.Exactly(13.2), "V", practiced(practice))
	overCharge    = figure("above this at 20 °C it overcharges", unit.Exactly(15.2), "V", practiced(practice))
	windowSlope   = figure("regulated voltage over temperature", span(-10.5, -10, -10), "mV/K", practiced(seenTwice))
	windowTemp    = figure("temperature of the window", unit.Exactly(20), "°C", practiced(seenTwice))
	smartWindow   = figure("what a smart alternator may command", span(12.2, 14.4, 15.5), "V", fromMemory)
	enoughRise    = figure("least rise over rest with loads on", unit.Exactly(0.5), "V", practiced(seen))
	mostRise      = figure("most rise over rest with loads off, conventional", unit.Exactly(2.5), "V", practiced(seen))
	windowFigures = []calc.Figure{windowLow, windowHigh, underCharge, overCharge, windowSlope, windowTemp, smartWindow, enoughRise, mostRise}
)

// windowTables are two published windows over the regulator's temperature, and an
// army manual's, which gives no temperature: lowest and highest in turn.
var windowTables = []*calc.Table{
	table("lowest, one published window", "°C", "V", practiced(seen), rows{{-20, 14.0}, {20, 13.7}, {60, 13.2}, {80, 12.9}}),
	table("highest, one published window", "°C", "V", practiced(seen), rows{{-20, 15.1}, {20, 14.6}, {60, 14.3}, {80, 14.1}}),
	table("lowest, another published window", "°C", "V", practiced(seen), rows{{-20, 14.2}, {20, 14.0}, {60, 13.7}, {80, 13.5}}),
	table("highest, another published window", "°C", "V", practiced(seen), rows{{-20, 15.4}, {20, 15.0}, {60, 14.9}, {80, 14.7}}),
	table("lowest, an army regulator", "°C", "V", source("TM 9-2330-356-14", seen), rows{{20, 13.6}}),
	table("highest, an army regulator", "°C", "V", source("TM 9-2330-356-14", seen), rows{{20, 14.2}}),
}

// window is what a conventional alternator may regulate to, in V at the posts.
type window struct {
	lowest, highest agreed
	under, over     unit.Range // outside these it is at fault
}

func windowAt(temp unit.Range) window {
	at := func(f calc.Figure) unit.Range {
		return unit.Over(func(x []float64) float64 {
			return f.Range.Best + x[0]/1000*(x[1]-windowTemp.Range.Best)
		}, windowSlope.Range, temp)
	}
	low := []calc.Opinion{opinion("13.8 V at 20 °C, falling by 10 mV/K", at(windowLow), windowLow.Source)}
	high := []calc.Opinion{opinion("14.8 V at 20 °C, falling by 10 mV/K", at(windowHigh), windowHigh.Source)}
	for i, t := range windowTables {
		o := opinion(t.Name, t.Over(temp), t.Source)
		if i%2 == 0 {
			low = append(low, o)
		} else {
			high = append(high, o)
		}
	}
	return window{agree(low...), agree(high...), at(underCharge), at(overCharge)}
}

func (w window) says(v, rise unit.Range, loadsOn bool) string {
	charges := rise.Below(enoughRise.Range).Not()
	switch {
	case loadsOn && charges == unit.No:
		return "Less than half a volt over rest with loads on: it does not charge."
	case v.Below(w.under) == unit.Yes:
		return "It charges too little for this temperature."
	case w.over.Below(v) == unit.Yes:
		return "It overcharges for this temperature: stop, and look at the regulator and its earth."
	case v.Below(w.lowest.Range) == unit.No && w.highest.Below(v) == unit.No && (!loadsOn || charges == unit.Yes):
		return "Within every published window for this temperature."
	case !loadsOn && mostRise.Range.Below(rise) == unit.Yes:
		return "More than 2.5 V over rest without loads: it may overcharge."
	}
	return "Between the published limits, or too close to call: compare with the vehicle's data, and look at drops and ripple."
}

// smartSays judges a smart alternator that no load forces to charge.
func smartSays(running unit.Range) string {
	if running.Hi < smartWindow.Range.Lo || running.Lo > smartWindow.Range.Hi {
		return "Outside of anything a smart alternator commands: read fault codes, then repeat with loads on."
	}
	return "Nothing follows: a smart alternator may command this. Switch on lamps, blower and heated screen, and read again."
}

var alternatorFunctions = []*calc.Function{
	{
		Name: "alternator_window", Title: "Regulated voltage of a conventional alternator", Topic: topicAlternator,
		Doc: "At the posts, engine at 1500 to 2500 rpm. Hotter means lower. A smart alternator may leave the window without a fault.",
		Params: []calc.Param{
			assuming(number("regulator_temp", regulatorTemp, "temperature of the regulator; under the bonnet, not of the air"), span(10, 20, 60)),
		},
		Formula: "lowest = 13.8 V, highest = 14.8 V, each - 10 mV/K * (regulator_temp - 20 °C)",
		Source:  practiced(practice), Figures: windowFigures, Tables: windowTables,
		Work: func(a calc.Args) (calc.Result, error) {
			w := windowAt(a.Num("regulator_temp"))
			return calc.Result{
				Values: []calc.Value{
					value("lowest", "lowest", "V", w.lowest.Range, 1), value("highest", "highest", "V", w.highest.Range, 1),
					value("under", "charges too little below", "V", w.under, 1), value("over", "overcharges above", "V", w.over, 1),
				},
				Opinions: append(opinionsOn("lowest", w.lowest), opinionsOn("highest", w.highest)...),
			}, nil
		},
	},
	{
		Name: "regulated_voltage", Title: "Charging system judged", Topic: topicAlternator,
		Doc: "Never on a flat battery. A smart system is judged with lamps, blower and heated screen on, since it may charge or not charge as it likes without them. Clear of belts and fan.",
		Params: []calc.Param{
			number("rest_voltage", restVoltage, "at the posts, rested after the charge"),
			number("running_voltage", postsVoltage, "at the posts, 1500 to 2500 rpm"),
			words("loads", "lamps, blower and heated screen", "on", "off"),
			words("system", "whether the vehicle commands the voltage", "conventional", "smart"),
			assuming(number("regulator_temp", regulatorTemp, "temperature of the regulator"), span(10, 20, 60)),
		},
		Formula: "rise = running_voltage - rest_voltage; the window of alternator_window",
		Source:  practiced(practice), Figures: windowFigures, Tables: windowTables,
		Work: func(a calc.Args) (calc.Result, error) {
			rest, running, loadsOn := a.Num("rest_voltage"), a.Num("running_voltage"), a.Word("loads") == "on"
			if enough := chargedEnough[flooded].Range; rest.Lo < enough.Best {
				return calc.Result{}, calc.Impossiblef("the battery rests at %s: a charging system is not judged on a battery under %s, so charge it first", calc.Show(rest.Best, "V"), calc.Show(enough.Best, "V"))
			}
			r := single("rise", "over rest", "V", running.Minus(rest), 2)
			if a.Word("system") == "smart" && !loadsOn {
				r.Says = []string{smartSays(running)}
			} else {
				r.Says = []string{windowAt(a.Num("regulator_temp")).says(running, r.Values[0].Range, loadsOn)}
			}
			return r, nil
		},
	},
	rippleFunction, chargingDropFunction,
}
