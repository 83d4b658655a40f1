package leadacid

// fuseTables give the cold resistance of blade fuses, in mΩ, over their rating in
// A: of the standard size and of the mini.
var fuseTables = map[string]*Table{
	"standard": {Name: "blade fuse, standard size (ISO 8820-3 type C)", Over: "A", Unit: "mΩ", Source: Source{"10 A agrees with 130 mA for 1 mV in print", MemoryChecked},
		Rows: [][2]float64{{1, 123}, {2, 53.5}, {3, 31.1}, {4, 22.8}, {5, 17.9}, {7.5, 10.9}, {10, 7.7}, {15, 4.8}, {20, 3.4}, {25, 2.5}, {30, 2.0}, {40, 1.4}}},
	"mini": {Name: "blade fuse, mini (ISO 8820-3 type F)", Over: "A", Unit: "mΩ", Source: Source{"15 A agrees with 218 mA for 1 mV in print", MemoryChecked},
		Rows: [][2]float64{{2, 59}, {3, 33}, {4, 23}, {5, 17}, {7.5, 10.5}, {10, 7.4}, {15, 4.6}, {20, 3.2}, {25, 2.4}, {30, 1.9}}},
}

var (
	fuseSpread  = Figure{"spread of a fuse's resistance round the table", Exactly(0.15), "1", ownChoice}
	fuseRating  = quantity{title: "fuse rating", unit: "A", only: []float64{1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 40}}
	fuseVoltage = quantity{title: "voltage across the fuse", unit: "mV", lo: 0, hi: 300, under: "the probes are the wrong way round", over: "a whole fuse cannot lose so much: it is blown, or a probe is elsewhere"}
)

// FuseCurrent is the current, in mA, through a blade fuse of that rating (A, a row
// of the table) and size ("standard" or "mini") from the voltage across its two
// test points (mV, 0 to 300). Do not pull fuses: that wakes or silences what they
// feed. Fuses of unknown make may be far off the table.
//
// A rating that is not made in that size is Impossible.
//
// Source: Ohm's law; resistances from memory, two of them cross-checked.
func FuseCurrent(size string, rating float64, across Range) (Range, error) {
	t, ok := fuseTables[size]
	if !ok {
		return Range{}, impossible("the fuse size %q is unknown: expected standard or mini", size)
	}
	made := fuseRating
	made.only = nil
	for _, row := range t.Rows {
		made.only = append(made.only, row[0])
	}
	if err := check(made.is(Exactly(rating)), fuseVoltage.is(across)); err != nil {
		return Range{}, err
	}
	ohms := t.at(rating)
	by := fuseSpread.Range.Best
	return Over(func(x []float64) float64 { return 1000 * x[0] / x[1] }, across, Range{ohms * (1 - by), ohms, ohms * (1 + by)}), nil
}

var fuseFunction = &Function{
	Name: "fuse_current", Title: "Current from the voltage across a fuse", Topic: topicDraw,
	Doc: "A meter that shows 0.1 mV, on the clean test points of a fuse in its seat, when the vehicle sleeps. Do not pull fuses first.",
	Params: []Param{
		number("rating", fuseRating, "number on the fuse"),
		assumingWord(choice("size", "size of the blade fuse", "standard", "mini"), "standard"),
		number("voltage", fuseVoltage, "across the two test points"),
	},
	Formula: "current = voltage / cold resistance of the fuse",
	Source:  circuitLaw, Figures: []Figure{fuseSpread}, Tables: []*Table{fuseTables["standard"], fuseTables["mini"]},
	work: func(a Args) (Result, error) {
		i, err := FuseCurrent(a.word("size"), a.num("rating").Best, a.num("voltage"))
		return one(Value{"current", "current through it", "mA", i, 0}, err)
	},
}
