package leadacid

// The limits of a key-off draw.
var (
	drawUsual  = Figure{"usual limit of a modern vehicle", Exactly(50), "mA", practiced(SeenTwice)}
	drawSimple = Figure{"limit of an old or simple vehicle", Exactly(30), "mA", practiced(Seen)}
	drawFault  = Figure{"draw that is a fault in any vehicle without data of its own", Exactly(80), "mA", practiced(Practice)}
	drawSpread = Figure{"limits that are published for one vehicle or another", Range{25, 50, 85}, "mA", practiced(SeenTwice)}
	drawByRC   = Figure{"draw for each minute of reserve capacity", Exactly(0.25), "mA", practiced(Seen)}
)

// DrawLimit is the current, in mA, that a modern vehicle may draw once it sleeps
// and, with a reserve capacity (min, 5 to 700; nil when not known), what its
// battery bears. The vehicle's own figure wins.
//
// Source: common practice, no source.
func DrawLimit(minutes *Range) (Agreed, error) {
	all := []Opinion{
		{drawUsual.Name, drawUsual.Range, drawUsual.Source},
		{drawSpread.Name, drawSpread.Range, drawSpread.Source},
		{drawSimple.Name, drawSimple.Range, drawSimple.Source},
	}
	if minutes != nil {
		if err := check(reserve.is(*minutes)); err != nil {
			return Agreed{}, err
		}
		byRC := Over(func(x []float64) float64 { return x[0] * drawByRC.Range.Best }, *minutes)
		all = append(all, Opinion{"a quarter of the minutes of reserve capacity", byRC, drawByRC.Source})
	}
	return agree(all...), nil
}

// SettlingTime is how long, in min, a vehicle takes to fall asleep after it was
// locked: the doors latched, the bonnet's switch held, the key away. A simple one
// has few control units. A broken circuit begins the wait anew.
//
// Source: common practice, no source.
func SettlingTime(simple bool) Range {
	if simple {
		return settleSimple.Range
	}
	return settleModern.Range
}

var (
	settleSimple = Figure{"time until an old or simple vehicle sleeps", Range{0.5, 5, 5}, "min", practiced(Seen)}
	settleModern = Figure{"time until a modern vehicle sleeps", Range{30, 40, 60}, "min", practiced(SeenTwice)}
)

var draw = quantity{title: "key-off draw", unit: "mA", lo: 0, hi: 20000, under: "the meter is the wrong way round"}

var drawFunctions = []*Function{
	{
		Name: "draw_limit", Title: "Key-off draw that is still in order", Topic: topicDraw,
		Doc: "Once everything sleeps. Control units may wake for seconds every few minutes: watch for a while. The vehicle's own figure wins.",
		Params: []Param{
			optional(number("reserve", reserve, "reserve capacity on the label")),
			optional(number("draw", draw, "what was measured, to have it judged")),
		},
		Formula: "limit = 50 mA; by size, reserve / 4 (mA, min)",
		Source:  practiced(SeenTwice), Figures: []Figure{drawUsual, drawSimple, drawFault, drawSpread, drawByRC},
		work: func(a Args) (Result, error) {
			var minutes *Range
			if a.has("reserve") {
				rc := a.num("reserve")
				minutes = &rc
			}
			limit, err := DrawLimit(minutes)
			if err == nil && a.has("draw") {
				err = check(draw.is(a.num("draw")))
			}
			r, err := told("limit", "draw at most", "mA", 0, limit, err)
			if err == nil && a.has("draw") {
				r.Says = []string{drawSays(a.num("draw"))}
			}
			return r, err
		},
	},
	{
		Name: "settling_time", Title: "How long a vehicle takes to fall asleep", Topic: topicDraw,
		Doc: "Doors latched, bonnet switch held, key well away. Do not break the circuit: the wait begins anew.",
		Params: []Param{
			assumingWord(choice("vehicle", "simple has few control units", "modern", "simple"), "modern"),
		},
		Formula: "by kind of vehicle", Source: practiced(SeenTwice), Figures: []Figure{settleSimple, settleModern},
		work: func(a Args) (Result, error) {
			return one(Value{"wait", "wait before the draw is read", "min", SettlingTime(a.word("vehicle") == "simple"), 0}, nil)
		},
	},
	fuseFunction,
	standingFunction,
}

func drawSays(read Range) string {
	switch {
	case read.Below(drawSimple.Range) == Yes:
		return "In order for any vehicle."
	case drawFault.Range.Below(read) == Yes:
		return "A fault, unless the vehicle's data say otherwise or it is still awake: find the circuit by the drop over its fuse."
	case drawUsual.Range.Below(read) == No:
		return "In order for a modern vehicle; much for an old or simple one."
	}
	return "Between the limits, or too close to call: look up the vehicle's own figure, and wait longer."
}
