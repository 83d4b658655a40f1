package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// Four ways to a cranking current without a clamp meter, the best first.

var matchedWithin = figure("how near the two voltages must be", unit.Exactly(0.3), "V", ownChoice)

// currentByMatching corrects what is left between the two voltages in a straight
// line from the rest voltage.
func currentByMatching(rest, crank, pileVoltage, pile unit.Range) (unit.Range, error) {
	for _, load := range []unit.Range{crank, pileVoltage} {
		if err := checkUnderLoad(rest, load); err != nil {
			return unit.Range{}, err
		}
	}
	if apart := crank.Best - pileVoltage.Best; max(apart, -apart) > matchedWithin.Range.Best+1e-9 {
		return unit.Range{}, calc.Impossiblef("the pile brings the posts to %s and the crank to %s: set the pile nearer", calc.Show(pileVoltage.Best, "V"), calc.Show(crank.Best, "V"))
	}
	if pileVoltage.Hi >= rest.Lo {
		return unit.Range{}, calc.Impossiblef("the voltage under the pile differs from that at rest by less than their doubt")
	}
	return unit.Over(func(x []float64) float64 {
		return x[3] * (x[0] - x[1]) / (x[0] - x[2])
	}, rest, crank, pileVoltage, pile).Clamp(0, starterCurrent.Hi), nil
}

var (
	leadDrop  = &calc.Quantity{Title: "drop of the earth lead", Unit: "mV", Lo: 0, Hi: 18000, Under: "the probes are the wrong way round"}
	knownDrop = &calc.Quantity{Title: "drop under the known load", Unit: "mV", Lo: 0.01, Hi: 18000, Under: "it can be zero within its doubt, so take a heavier load or a finer meter"}
	someCable = &calc.Quantity{Title: "cable length", Unit: "m", Lo: 0.01, Hi: 100, Under: "a cable of no length has no drop of its own"}
)

// engineBands is the current that an engine of each class takes while it turns,
// from warm to cold; the best value is the usual one at 20 °C.
var engineBands = map[string]calc.Figure{
	"small_petrol":  figure("petrol up to 1.4 l", span(100, 180, 300), "A", practiced(seenTwice)),
	"medium_petrol": figure("petrol over 1.4 to 2.5 l", span(120, 200, 350), "A", practiced(seenTwice)),
	"large_petrol":  figure("petrol over 2.5 l", span(160, 280, 450), "A", practiced(seenTwice)),
	"small_diesel":  figure("diesel up to 2.5 l", span(180, 300, 550), "A", fromMemory),
	"large_diesel":  figure("diesel over 2.5 l", span(250, 400, 900), "A", fromMemory),
}

var engineNames = []string{"small_petrol", "medium_petrol", "large_petrol", "small_diesel", "large_diesel"}

var provesCurrent = figure("fall at the posts that proves a current", unit.Exactly(0.5), "V", practiced(practice))

var crankCurrentFunctions = []*calc.Function{
	{
		Name: "current_by_matching", Title: "Cranking current by matching it with a carbon pile", Topic: topicCrankCurrent,
		Doc: "The best way without a clamp. Note the plateau while cranking, then set the pile until the posts show the same, for a few seconds.",
		Params: []calc.Param{
			number("rest_voltage", restVoltage, "at the posts, at rest"),
			number("crank_voltage", loadVoltage, "at the posts while cranking, plateau"),
			number("pile_voltage", loadVoltage, "at the posts under the pile"),
			number("pile_current", starterCurrent, "the pile's ammeter"),
		},
		Formula: "current = pile_current * (rest_voltage - crank_voltage) / (rest_voltage - pile_voltage)",
		Source:  circuitLaw, Figures: []calc.Figure{matchedWithin},
		Work: func(a calc.Args) (calc.Result, error) {
			i, err := currentByMatching(a.Num("rest_voltage"), a.Num("crank_voltage"), a.Num("pile_voltage"), a.Num("pile_current"))
			return single("current", "cranking current", "A", i, 0), err
		},
	},
	{
		Name: "current_by_shunt", Title: "Cranking current with the earth lead as a shunt", Topic: topicCrankCurrent, Unit: unit.Must("A"),
		Doc: "Meter in millivolts between two fixed points on one lead, first under a known load, then while cranking.",
		Params: []calc.Param{
			number("crank_drop", leadDrop, "drop of the lead while cranking"),
			number("known_drop", knownDrop, "drop of the lead under the known load"),
			number("known_current", starterCurrent, "the known load, by an ammeter"),
		},
		Formula: "current = known_current * crank_drop / known_drop",
		Source:  circuitLaw,
		Work: func(a calc.Args) (calc.Result, error) {
			i := unit.Over(func(x []float64) float64 { return x[2] * x[0] / x[1] }, a.Num("crank_drop"), a.Num("known_drop"), a.Num("known_current"))
			return single("current", "cranking current", "A", i, 0), nil
		},
	},
	{
		Name: "current_by_cable", Title: "Most current that a cable's drop allows", Topic: topicCrankCurrent, Unit: unit.Must("A"),
		Doc:     "An upper bound only: joints within the drop make the true current smaller.",
		Params:  []calc.Param{number("drop", dropVoltage, "drop over the cable while cranking"), cableSizeParam, cableLengthParam(someCable), cableTempParam},
		Formula: "current <= drop / resistance of the cable",
		Source:  circuitLaw, Figures: copperFigures, Tables: []*calc.Table{cableTable},
		Work: func(a calc.Args) (calc.Result, error) {
			most := unit.Over(func(x []float64) float64 { return 1000 * x[0] / x[1] }, a.Num("drop"), cableResistance(a))
			most.Lo = 0
			return single("current", "cranking current, no more than", "A", most, 0), nil
		},
	},
	{
		Name: "current_by_engine", Title: "Cranking current that the engine's class leads one to expect", Topic: topicCrankCurrent,
		Doc: "An assumption, the last resort. It stands only where the engine turned and the posts fell.",
		Params: []calc.Param{
			words("engine", "class of the engine", engineNames...),
			words("turned", "whether the engine turned", "yes", "no"),
			number("fell", dropVoltage, "fall at the posts from rest to cranking"),
		},
		Formula: "current = band of the class", Source: practiced(practice), Figures: engineFigures(),
		Work: func(a calc.Args) (calc.Result, error) {
			fell := a.Num("fell")
			if a.Word("turned") == "no" {
				return calc.Result{}, calc.Impossiblef("on a stall or a click the engine's class says nothing of the current")
			}
			if fell.Lo < provesCurrent.Range.Best {
				return calc.Result{}, calc.Impossiblef("the posts fell by %s only: under %s no current is proved", calc.Show(fell.Best, "V"), calc.Show(provesCurrent.Range.Best, "V"))
			}
			return single("current", "cranking current, assumed", "A", engineBands[a.Word("engine")].Range, 0), nil
		},
	},
}

func engineFigures() []calc.Figure {
	all := []calc.Figure{provesCurrent}
	for _, name := range engineNames {
		all = append(all, engineBands[name])
	}
	return all
}
