package leadacid

import (
	"slices"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// rippleLimits are true rms, by where it is read, the one to go by first. More
// means an open or shorted diode, or a stator phase.
var rippleLimits = map[string][]calc.Figure{
	"posts": {
		figure("ripple at the posts", unit.Exactly(100), "mV", practiced(seenTwice)),
		figure("ripple at the posts, strictest", unit.Exactly(50), "mV", practiced(seenTwice)),
		figure("ripple at the posts, older", unit.Exactly(500), "mV", fromMemory),
	},
	"alternator": {
		figure("ripple at the alternator's output", unit.Exactly(300), "mV", practiced(seen)),
		figure("ripple at the alternator's output, strictest", unit.Exactly(250), "mV", practiced(seen)),
	},
}

var rippleReading = &calc.Quantity{Title: "ripple", Unit: "mV", Lo: 0, Hi: 5000}

var rippleFunction = &calc.Function{
	Name: "ripple", Title: "Ripple of an alternator", Topic: topicAlternator,
	Doc: "True-rms meter on alternating volts, loads on, 1500 to 2500 rpm, on a charged battery. A shorted diode also draws current with the key off.",
	Params: []calc.Param{
		assumingWord(words("where", "where it is read", "posts", "alternator"), "posts"),
		optional(number("ripple", rippleReading, "what was read, to have it judged")),
	},
	Formula: "limit = 100 mV at the posts, 300 mV at the alternator",
	Source:  practiced(seenTwice), Figures: slices.Concat(rippleLimits["posts"], rippleLimits["alternator"]),
	Work: func(a calc.Args) (calc.Result, error) {
		limits := rippleLimits[a.Word("where")]
		r := sourced("limit", "ripple at most", "mV", agree(opinionsOf(limits...)...), 0)
		if a.Has("ripple") {
			// By the first limit: the older ones are far apart.
			r.Says = []string{map[unit.Verdict]string{
				unit.Yes:  "Over the usual limit: an open or shorted diode, or a phase. Repeat on a charged battery with the loads on.",
				unit.No:   "Within the usual limit.",
				unit.Open: "Too close to call within the doubt of the reading.",
			}[limits[0].Range.Below(a.Num("ripple"))]}
		}
		return r, nil
	},
}
