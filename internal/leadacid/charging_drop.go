package leadacid

import (
	"slices"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// chargingDrops is what the leads of an alternator may lose, the one to go by
// first.
var chargingDrops = map[string][]calc.Figure{
	"positive": {
		figure("alternator output to positive post, at 30 A", unit.Exactly(0.3), "V", practiced(seen)),
		figure("alternator output to positive post, at a low load", unit.Exactly(0.2), "V", practiced(seen)),
		figure("alternator output to positive post, older", unit.Exactly(0.5), "V", practiced(practice)),
	},
	"earth": {figure("alternator case to negative post", unit.Exactly(0.2), "V", practiced(seen))},
}

var chargingDropFunction = &calc.Function{
	Name: "charging_drop", Title: "Drop that an alternator's lead may show", Topic: topicAlternator,
	Doc: "At about 2000 rpm with loads on, so that current flows. Clear of belts and fan.",
	Params: []calc.Param{
		words("path", "alternator output to positive post, or its case to negative post", "positive", "earth"),
		optional(number("drop", dropVoltage, "what was measured, to have it judged")),
	},
	Formula: "limit = 0.3 V positive, 0.2 V earth",
	Source:  practiced(seen), Figures: slices.Concat(chargingDrops["positive"], chargingDrops["earth"]),
	Work: func(a calc.Args) (calc.Result, error) {
		limit := agree(opinionsOf(chargingDrops[a.Word("path")]...)...)
		r := sourced("limit", "drop at most", "V", limit, 2)
		r.Says = dropSays(a, limit.Range)
		return r, nil
	},
}
