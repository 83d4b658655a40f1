package leadacid

// Four ways to a cranking current without a clamp meter, the best first.

// matchedWithin is how near the carbon pile has to bring the voltage.
var matchedWithin = Figure{"how near the two voltages must be", Exactly(0.3), "V", ownChoice}

// CurrentByMatching is the cranking current, in A, from a carbon pile set so that
// the posts show the same voltage as while cranking. What is left between the two
// voltages (V, 0 to 18) is corrected in a straight line from the rest voltage;
// pile is the pile's own ammeter (A, 0 to 3000).
//
// Voltages more than 0.3 V apart, or not below that at rest, are Impossible.
//
// Source: Ohm's law; the 0.3 V is this program's own choice.
func CurrentByMatching(rest, crank, pileVoltage, pile Range) (Range, error) {
	if err := check(starterCurrent.is(pile)); err != nil {
		return Range{}, err
	}
	if err := checkUnderLoad(rest, crank); err != nil {
		return Range{}, err
	}
	if err := checkUnderLoad(rest, pileVoltage); err != nil {
		return Range{}, err
	}
	if apart := crank.Best - pileVoltage.Best; max(apart, -apart) > matchedWithin.Range.Best+1e-9 {
		return Range{}, impossible("the pile brings the posts to %s and the crank to %s: set the pile nearer", show(pileVoltage.Best, "V"), show(crank.Best, "V"))
	}
	if pileVoltage.Hi >= rest.Lo {
		return Range{}, impossible("the voltage under the pile differs from that at rest by less than their doubt")
	}
	return Over(func(x []float64) float64 {
		return x[3] * (x[0] - x[1]) / (x[0] - x[2])
	}, rest, crank, pileVoltage, pile).held(0, starterCurrent.hi), nil
}

var (
	leadDrop  = quantity{title: "drop of the earth lead", unit: "mV", lo: 0, hi: 18000, under: "the probes are the wrong way round"}
	knownDrop = quantity{title: "drop under the known load", unit: "mV", lo: 0.01, hi: 18000, under: "it can be zero within its doubt, so take a heavier load or a finer meter"}
	someCable = quantity{title: "cable length", unit: "m", lo: 0.01, hi: 100, under: "a cable of no length has no drop of its own"}
)

// CurrentByShunt is the cranking current, in A, with the vehicle's own earth lead
// as a shunt: its drop while cranking (mV) against its drop under a known current
// (mV from 0.01, A), both between the same two points.
//
// Source: Ohm's law.
func CurrentByShunt(crankDrop, shuntDrop, known Range) (Range, error) {
	if err := check(leadDrop.is(crankDrop), knownDrop.is(shuntDrop), starterCurrent.is(known)); err != nil {
		return Range{}, err
	}
	return Over(func(x []float64) float64 { return x[2] * x[0] / x[1] }, crankDrop, shuntDrop, known), nil
}

// CurrentByCable is the most current, in A, that can have caused a drop (V, 0 to
// 18) over a cable of that size (mm2, a row of IEC 60228), length (m, 0.01 to
// 100) and temperature (°C, -50 to 200). Joints within the drop only make the
// true current smaller, so the range begins at 0; Best goes by the table.
//
// Source: Ohm's law; [CableResistance].
func CurrentByCable(drop Range, size float64, length, temp Range) (Range, error) {
	r, err := CableResistance(size, length, temp)
	if err == nil {
		err = check(dropVoltage.is(drop), someCable.is(length))
	}
	if err != nil {
		return Range{}, err
	}
	most := Over(func(x []float64) float64 { return 1000 * x[0] / x[1] }, drop, r)
	return Range{0, most.Best, most.Hi}, nil
}

// engineBands is the current that an engine of each class takes while it turns,
// from warm to cold; the best value is the usual one at 20 °C.
var engineBands = map[string]Figure{
	"small_petrol":  {"petrol up to 1.4 l", Range{100, 180, 300}, "A", practiced(SeenTwice)},
	"medium_petrol": {"petrol over 1.4 to 2.5 l", Range{120, 200, 350}, "A", practiced(SeenTwice)},
	"large_petrol":  {"petrol over 2.5 l", Range{160, 280, 450}, "A", practiced(SeenTwice)},
	"small_diesel":  {"diesel up to 2.5 l", Range{180, 300, 550}, "A", fromMemory},
	"large_diesel":  {"diesel over 2.5 l", Range{250, 400, 900}, "A", fromMemory},
}

var engineNames = []string{"small_petrol", "medium_petrol", "large_petrol", "small_diesel", "large_diesel"}

// provesCurrent is the fall at the posts that shows that a current flowed.
var provesCurrent = Figure{"fall at the posts that proves a current", Exactly(0.5), "V", practiced(Practice)}

// CurrentByEngine is the band of current, in A, that an engine of the class takes
// while it turns: an assumption and no reading. It stands only where the engine
// turned and the posts fell by 0.5 V or more (fell, V, 0 to 18); anything less
// proves no current and is Impossible.
//
// Source: common practice, no source.
func CurrentByEngine(class string, turned bool, fell Range) (Range, error) {
	band, ok := engineBands[class]
	if !ok {
		return Range{}, impossible("the engine class %q is unknown", class)
	}
	if err := check(dropVoltage.is(fell)); err != nil {
		return Range{}, err
	}
	if !turned {
		return Range{}, impossible("on a stall or a click the engine's class says nothing of the current")
	}
	if fell.Lo < provesCurrent.Range.Best {
		return Range{}, impossible("the posts fell by %s only: under %s no current is proved", show(fell.Best, "V"), show(provesCurrent.Range.Best, "V"))
	}
	return band.Range, nil
}

var crankCurrentFunctions = []*Function{
	{
		Name: "current_by_matching", Title: "Cranking current by matching it with a carbon pile", Topic: topicCrankCurrent,
		Doc: "The best way without a clamp. Note the plateau while cranking, then set the pile until the posts show the same, for a few seconds.",
		Params: []Param{
			number("rest_voltage", restVoltage, "at the posts, at rest"),
			number("crank_voltage", postsVoltage, "at the posts while cranking, plateau"),
			number("pile_voltage", postsVoltage, "at the posts under the pile"),
			number("pile_current", starterCurrent, "the pile's ammeter"),
		},
		Formula: "current = pile_current * (rest_voltage - crank_voltage) / (rest_voltage - pile_voltage)",
		Source:  circuitLaw, Figures: []Figure{matchedWithin},
		work: func(a Args) (Result, error) {
			i, err := CurrentByMatching(a.num("rest_voltage"), a.num("crank_voltage"), a.num("pile_voltage"), a.num("pile_current"))
			return one(Value{"current", "cranking current", "A", i, 0}, err)
		},
	},
	{
		Name: "current_by_shunt", Title: "Cranking current with the earth lead as a shunt", Topic: topicCrankCurrent,
		Doc: "Meter in millivolts between two fixed points on one lead, first under a known load, then while cranking.",
		Params: []Param{
			number("crank_drop", leadDrop, "drop of the lead while cranking"),
			number("known_drop", knownDrop, "drop of the lead under the known load"),
			number("known_current", starterCurrent, "the known load, by an ammeter"),
		},
		Formula: "current = known_current * crank_drop / known_drop",
		Source:  circuitLaw,
		work: func(a Args) (Result, error) {
			i, err := CurrentByShunt(a.num("crank_drop"), a.num("known_drop"), a.num("known_current"))
			return one(Value{"current", "cranking current", "A", i, 0}, err)
		},
	},
	{
		Name: "current_by_cable", Title: "Most current that a cable's drop allows", Topic: topicCrankCurrent,
		Doc:     "An upper bound only: joints within the drop make the true current smaller.",
		Params:  []Param{number("drop", dropVoltage, "drop over the cable while cranking"), cableSizeParam, number("length", someCable, "length that the current runs through, both leads together"), cableTempParam},
		Formula: "current <= drop / resistance of the cable",
		Source:  circuitLaw, Figures: []Figure{copperResistivity, copperSlope, copperTemp, copperZero}, Tables: []*Table{cableTable},
		work: func(a Args) (Result, error) {
			i, err := CurrentByCable(a.num("drop"), a.num("size").Best, a.num("length"), a.num("cable_temp"))
			return one(Value{"current", "cranking current, no more than", "A", i, 0}, err)
		},
	},
	{
		Name: "current_by_engine", Title: "Cranking current that the engine's class leads one to expect", Topic: topicCrankCurrent,
		Doc: "An assumption, the last resort. It stands only where the engine turned and the posts fell.",
		Params: []Param{
			choice("engine", "class of the engine", engineNames...),
			choice("turned", "whether the engine turned", "yes", "no"),
			number("fell", dropVoltage, "fall at the posts from rest to cranking"),
		},
		Formula: "current = band of the class", Source: practiced(Practice), Figures: engineFigures(),
		work: func(a Args) (Result, error) {
			i, err := CurrentByEngine(a.word("engine"), a.word("turned") == "yes", a.num("fell"))
			return one(Value{"current", "cranking current, assumed", "A", i, 0}, err)
		},
	},
}

func engineFigures() []Figure {
	all := []Figure{provesCurrent}
	for _, name := range engineNames {
		all = append(all, engineBands[name])
	}
	return all
}
