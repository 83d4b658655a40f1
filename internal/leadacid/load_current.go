package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

var (
	loadShare    = figure("share of the cold-crank rating", unit.Exactly(0.5), "1", loadRule)
	loadPerAh    = figure("amperes for each Ah of 20-hour capacity, where no rating is known", unit.Exactly(3), "1", source("TM 5-3805-263-14&P-2, p. 85", seenTwice))
	loadMost     = figure("most current of a load test", unit.Exactly(500), "A", source("TM 5-3805-263-14&P-2, p. 85", seen))
	loadDuration = figure("time under load", unit.Exactly(15), "s", loadTable)
	loadRule     = source("TM 5-4210-230-14&P-1", seenTwice)
)

// loadOfRating is half of the rating once it is converted to SAE. An EN rating is
// halved as it stands, and the range reaches up to half of what it is in SAE.
func loadOfRating(rating unit.Range, standard string) (unit.Range, error) {
	inSAE, err := convertRating(rating, standard, sae)
	if standard == en {
		inSAE = rating.Hull(inSAE)
	}
	return inSAE.Times(loadShare.Range.Best).Clamp(0, loadMost.Range.Best), err
}

var loadCurrentFunction = &calc.Function{
	Name: "load_current", Title: "Current to set for a load test", Topic: topicLoad,
	Doc: "From the cold-crank rating and its standard or, where none is known, from the 20-hour capacity. Halving a DIN rating as if it were SAE lets a bad battery pass.",
	Params: []calc.Param{
		optional(number("rating", ratingAmps, "cold-crank rating on the label")),
		optional(standardParam("standard", "standard of that rating")),
		optional(number("capacity", capacity, "20-hour capacity on the label")),
	},
	Formula: "load_current = 0.5 * rating in SAE (or EN), else 3 * capacity; at most 500 A, for 15 s",
	Source:  loadRule,
	Figures: append([]calc.Figure{loadShare, loadPerAh, loadMost, loadDuration}, conversionFigures()...),
	Work: func(a calc.Args) (calc.Result, error) {
		var amps unit.Range
		var err error
		switch {
		case a.Has("rating") && a.Has("standard"):
			amps, err = loadOfRating(a.Num("rating"), a.Word("standard"))
		case a.Has("rating"):
			err = calc.Impossiblef("a rating without its standard cannot be halved: a DIN number means far more than the same number in SAE; give standard, or capacity instead")
		case a.Has("standard"):
			err = calc.Impossiblef("there is a standard but no rating: give rating, or capacity instead")
		case a.Has("capacity"):
			amps = a.Num("capacity").Times(loadPerAh.Range.Best).Clamp(0, loadMost.Range.Best)
		default:
			err = calc.Impossiblef("there is nothing to go by: give rating and standard, or capacity")
		}
		return single("load_current", "current for the load test", "A", amps, 0), err
	},
}
