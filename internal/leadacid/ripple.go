package leadacid

// rippleLimits are the published limits of ripple, true rms, by where it is
// read, the one to go by first.
var rippleLimits = map[string][]Figure{
	"posts": {
		{"ripple at the posts", Exactly(100), "mV", practiced(SeenTwice)},
		{"ripple at the posts, strictest", Exactly(50), "mV", practiced(SeenTwice)},
		{"ripple at the posts, older", Exactly(500), "mV", fromMemory},
	},
	"alternator": {
		{"ripple at the alternator's output", Exactly(300), "mV", practiced(Seen)},
		{"ripple at the alternator's output, strictest", Exactly(250), "mV", practiced(Seen)},
	},
}

// RippleLimit is the ripple, in mV by a true-rms meter on alternating volts, that
// a charging system may show at the "posts" of the battery or at the "alternator",
// with loads on at 1500 to 2500 rpm and a charged battery. Another place is
// Impossible. More means an open or shorted diode, or a stator phase.
//
// Source: common practice, no source.
func RippleLimit(where string) (Agreed, error) {
	limits, ok := rippleLimits[where]
	if !ok {
		return Agreed{}, impossible("ripple at %q is unknown: expected posts or alternator", where)
	}
	var all []Opinion
	for _, f := range limits {
		all = append(all, Opinion{f.Name, f.Range, f.Source})
	}
	return agree(all...), nil
}

var rippleReading = quantity{title: "ripple", unit: "mV", lo: 0, hi: 5000}

var rippleFunction = &Function{
	Name: "ripple", Title: "Ripple of an alternator", Topic: topicAlternator,
	Doc: "True-rms meter on alternating volts, loads on, 1500 to 2500 rpm, on a charged battery. A shorted diode also draws current with the key off.",
	Params: []Param{
		assumingWord(choice("where", "where it is read", "posts", "alternator"), "posts"),
		optional(number("ripple", rippleReading, "what was read, to have it judged")),
	},
	Formula: "limit = 100 mV at the posts, 300 mV at the alternator",
	Source:  practiced(SeenTwice), Figures: append(append([]Figure{}, rippleLimits["posts"]...), rippleLimits["alternator"]...),
	work: func(a Args) (Result, error) {
		limit, err := RippleLimit(a.word("where"))
		if err == nil && a.has("ripple") {
			err = check(rippleReading.is(a.num("ripple")))
		}
		r, err := told("limit", "ripple at most", "mV", 0, limit, err)
		if err == nil && a.has("ripple") {
			r.Says = []string{rippleSays(a.num("ripple"), limit)}
		}
		return r, err
	},
}

// rippleSays goes by the first limit: the older ones are far apart.
func rippleSays(ripple Range, limit Agreed) string {
	switch by := limit.Opinions[0].Range; by.Below(ripple) {
	case Yes:
		return "Over the usual limit: an open or shorted diode, or a phase. Repeat on a charged battery with the loads on."
	case No:
		return "Within the usual limit."
	}
	return "Too close to call within the doubt of the reading."
}
