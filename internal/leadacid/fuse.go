package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// fuseTables give the cold resistance of blade fuses over their rating. Fuses of
// unknown make may be far off them.
var fuseTables = map[string]*calc.Table{
	"standard": table("blade fuse, standard size (ISO 8820-3 type C)", "A", "mΩ", source("10 A agrees with 130 mA for 1 mV in print", memoryChecked),
		rows{{1, 123}, {2, 53.5}, {3, 31.1}, {4, 22.8}, {5, 17.9}, {7.5, 10.9}, {10, 7.7}, {15, 4.8}, {20, 3.4}, {25, 2.5}, {30, 2.0}, {40, 1.4}}),
	"mini": table("blade fuse, mini (ISO 8820-3 type F)", "A", "mΩ", source("15 A agrees with 218 mA for 1 mV in print", memoryChecked),
		rows{{2, 59}, {3, 33}, {4, 23}, {5, 17}, {7.5, 10.5}, {10, 7.4}, {15, 4.6}, {20, 3.2}, {25, 2.4}, {30, 1.9}}),
}

var (
	fuseSpread  = figure("spread of a fuse's resistance round the table", unit.Exactly(0.15), "1", ownChoice)
	fuseRating  = &calc.Quantity{Title: "fuse rating", Unit: "A", Only: fuseTables["standard"].X}
	miniRating  = &calc.Quantity{Title: "fuse rating", Unit: "A", Only: fuseTables["mini"].X}
	fuseVoltage = &calc.Quantity{Title: "voltage across the fuse", Unit: "mV", Lo: 0, Hi: 300, Under: "the probes are the wrong way round", Over: "a whole fuse cannot lose so much: it is blown, or a probe is elsewhere"}
)

var fuseFunction = &calc.Function{
	Name: "fuse_current", Title: "Current from the voltage across a fuse", Topic: topicDraw, Unit: unit.Must("mA"),
	Doc: "A meter that shows 0.1 mV, on the clean test points of a fuse in its seat, when the vehicle sleeps. Do not pull fuses first.",
	Params: []calc.Param{
		number("rating", fuseRating, "number on the fuse"),
		assumingWord(words("size", "size of the blade fuse", "standard", "mini"), "standard"),
		number("voltage", fuseVoltage, "across the two test points"),
	},
	Formula: "current = voltage / cold resistance of the fuse",
	Source:  circuitLaw, Figures: []calc.Figure{fuseSpread}, Tables: []*calc.Table{fuseTables["standard"], fuseTables["mini"]},
	Work: func(a calc.Args) (calc.Result, error) {
		size := a.Word("size")
		if size == "mini" {
			if err := miniRating.Check(a.Num("rating")); err != nil {
				return calc.Result{}, err
			}
		}
		ohms, by := fuseTables[size].At(a.Num("rating").Best), fuseSpread.Range.Best
		i := unit.Over(func(x []float64) float64 { return 1000 * x[0] / x[1] }, a.Num("voltage"), span(ohms*(1-by), ohms, ohms*(1+by)))
		return single("current", "current through it", "mA", i, 0), nil
	},
}
