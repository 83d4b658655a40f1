package leadacid

// The figures of a load test.
var (
	loadShare    = Figure{"share of the cold-crank rating", Exactly(0.5), "1", Source{"TM 5-4210-230-14&P-1", SeenTwice}}
	loadPerAh    = Figure{"amperes for each Ah of 20-hour capacity, where no rating is known", Exactly(3), "1", Source{"TM 5-3805-263-14&P-2, p. 85", SeenTwice}}
	loadMost     = Figure{"most current of a load test", Exactly(500), "A", Source{"TM 5-3805-263-14&P-2, p. 85", Seen}}
	loadDuration = Figure{"time under load", Exactly(15), "s", loadTable}
)

// LoadCurrentFromRating is the current, in A, for a load test of a battery with
// that cold-crank rating (A, 20 to 2500) in that standard: half of it, once it is
// converted to SAE. An EN rating is halved as it stands, and the range reaches up
// to half of what it is in SAE. Never more than 500 A. A JIS rating cannot be
// converted and is Impossible: use the capacity.
//
// Source: TM 5-4210-230-14&P-1; the cap from TM 5-3805-263-14&P-2, p. 85.
func LoadCurrentFromRating(rating Range, standard Standard) (Range, error) {
	sae, err := ConvertRating(rating, standard, SAE)
	if err != nil {
		return Range{}, err
	}
	if standard == EN {
		sae = rating.Join(sae)
	}
	return halved(sae), nil
}

func halved(sae Range) Range {
	half := loadShare.Range.Best
	return Range{sae.Lo * half, sae.Best * half, sae.Hi * half}.held(0, loadMost.Range.Best)
}

// LoadCurrentFromCapacity is the current, in A, for a load test of a battery of
// which only the 20-hour capacity (Ah, 1 to 300) is known: three times that, and
// never more than 500 A.
//
// Source: TM 5-3805-263-14&P-2, p. 85.
func LoadCurrentFromCapacity(ah Range) (Range, error) {
	if err := check(capacity.is(ah)); err != nil {
		return Range{}, err
	}
	three := loadPerAh.Range.Best
	return Range{ah.Lo * three, ah.Best * three, ah.Hi * three}.held(0, loadMost.Range.Best), nil
}

var loadCurrentFunction = &Function{
	Name: "load_current", Title: "Current to set for a load test", Topic: topicLoad,
	Doc: "From the cold-crank rating and its standard or, where none is known, from the 20-hour capacity. Halving a DIN rating as if it were SAE lets a bad battery pass.",
	Params: []Param{
		optional(number("rating", ratingAmps, "cold-crank rating on the label")),
		optional(choice("standard", "standard of that rating", standardNames...)),
		optional(number("capacity", capacity, "20-hour capacity on the label")),
	},
	Formula: "load_current = 0.5 * rating in SAE (or EN), else 3 * capacity; at most 500 A, for 15 s",
	Source:  Source{"TM 5-4210-230-14&P-1", SeenTwice},
	Figures: append([]Figure{loadShare, loadPerAh, loadMost, loadDuration}, conversionFigures()...),
	work: func(a Args) (Result, error) {
		var amps Range
		var err error
		switch {
		case a.has("rating") && a.has("standard"):
			amps, err = LoadCurrentFromRating(a.num("rating"), Standard(a.word("standard")))
		case a.has("rating"):
			err = impossible("a rating without its standard cannot be halved: a DIN number means far more than the same number in SAE; give standard, or capacity instead")
		case a.has("standard"):
			err = impossible("there is a standard but no rating: give rating, or capacity instead")
		case a.has("capacity"):
			amps, err = LoadCurrentFromCapacity(a.num("capacity"))
		default:
			err = impossible("there is nothing to go by: give rating and standard, or capacity")
		}
		return one(Value{"load_current", "current for the load test", "A", amps, 0}, err)
	},
}
