package leadacid

// chargingDrops is what the leads of an alternator may lose, the one to go by
// first.
var chargingDrops = map[string][]Figure{
	"positive": {
		{"alternator output to positive post, at 30 A", Exactly(0.3), "V", practiced(Seen)},
		{"alternator output to positive post, at a low load", Exactly(0.2), "V", practiced(Seen)},
		{"alternator output to positive post, older", Exactly(0.5), "V", practiced(Practice)},
	},
	"earth": {{"alternator case to negative post", Exactly(0.2), "V", practiced(Seen)}},
}

// ChargingDrop is the drop, in V, that the "positive" or the "earth" lead of an
// alternator may show at about 2000 rpm with loads on. Another path is Impossible.
//
// Source: common practice, no source.
func ChargingDrop(path string) (Agreed, error) {
	limits, ok := chargingDrops[path]
	if !ok {
		return Agreed{}, impossible("the path %q is unknown: expected positive or earth", path)
	}
	var all []Opinion
	for _, f := range limits {
		all = append(all, Opinion{f.Name, f.Range, f.Source})
	}
	return agree(all...), nil
}

var chargingDropFunction = &Function{
	Name: "charging_drop", Title: "Drop that an alternator's lead may show", Topic: topicAlternator,
	Doc: "At about 2000 rpm with loads on, so that current flows. Clear of belts and fan.",
	Params: []Param{
		choice("path", "alternator output to positive post, or its case to negative post", "positive", "earth"),
		optional(number("drop", dropVoltage, "what was measured, to have it judged")),
	},
	Formula: "limit = 0.3 V positive, 0.2 V earth",
	Source:  practiced(Seen), Figures: append(append([]Figure{}, chargingDrops["positive"]...), chargingDrops["earth"]...),
	work: func(a Args) (Result, error) {
		limit, err := ChargingDrop(a.word("path"))
		if err == nil && a.has("drop") {
			err = check(dropVoltage.is(a.num("drop")))
		}
		r, err := told("limit", "drop at most", "V", 2, limit, err)
		if err == nil && a.has("drop") {
			r.Says = []string{dropSays(a.num("drop"), limit.Range)}
		}
		return r, err
	},
}
