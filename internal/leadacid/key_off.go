package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

var (
	drawUsual  = figure("usual limit of a modern vehicle", unit.Exactly(50), "mA", practiced(seenTwice))
	drawSimple = figure("limit of an old or simple vehicle", unit.Exactly(30), "mA", practiced(seen))
	drawFault  = figure("draw that is a fault in any vehicle without data of its own", unit.Exactly(80), "mA", practiced(practice))
	drawSpread = figure("limits that are published for one vehicle or another", span(25, 50, 85), "mA", practiced(seenTwice))
	drawByRC   = figure("draw for each minute of reserve capacity", unit.Exactly(0.25), "mA", practiced(seen))

	settleSimple = figure("time until an old or simple vehicle sleeps", span(0.5, 5, 5), "min", practiced(seen))
	settleModern = figure("time until a modern vehicle sleeps", span(30, 40, 60), "min", practiced(seenTwice))

	draw = &calc.Quantity{Title: "key-off draw", Unit: "mA", Lo: 0, Hi: 20000, Under: "the meter is the wrong way round"}
)

var drawFunctions = []*calc.Function{
	{
		Name: "draw_limit", Title: "Key-off draw that is still in order", Topic: topicDraw, Unit: unit.Must("mA"),
		Doc: "Once everything sleeps. Control units may wake for seconds every few minutes: watch for a while. The vehicle's own figure wins.",
		Params: []calc.Param{
			optional(number("reserve", reserve, "reserve capacity on the label")),
			optional(number("draw", draw, "what was measured, to have it judged")),
		},
		Formula: "limit = 50 mA; by size, reserve / 4 (mA, min)",
		Source:  practiced(seenTwice), Figures: []calc.Figure{drawUsual, drawSimple, drawFault, drawSpread, drawByRC},
		Work: func(a calc.Args) (calc.Result, error) {
			all := opinionsOf(drawUsual, drawSpread, drawSimple)
			if a.Has("reserve") {
				all = append(all, opinion("a quarter of the minutes of reserve capacity", a.Num("reserve").Times(drawByRC.Range.Best), drawByRC.Source))
			}
			r := sourced("limit", "draw at most", "mA", agree(all...), 0)
			if a.Has("draw") {
				r.Says = []string{drawSays(a.Num("draw"))}
			}
			return r, nil
		},
	},
	{
		Name: "settling_time", Title: "How long a vehicle takes to fall asleep", Topic: topicDraw,
		Doc: "Doors latched, bonnet switch held, key well away. Do not break the circuit: the wait begins anew.",
		Params: []calc.Param{
			assumingWord(words("vehicle", "simple has few control units", "modern", "simple"), "modern"),
		},
		Formula: "by kind of vehicle", Source: practiced(seenTwice), Figures: []calc.Figure{settleSimple, settleModern},
		Work: func(a calc.Args) (calc.Result, error) {
			wait := settleModern.Range
			if a.Word("vehicle") == "simple" {
				wait = settleSimple.Range
			}
			return single("wait", "wait before the draw is read", "min", wait, 0), nil
		},
	},
	fuseFunction,
	standingFunction,
}

func drawSays(read unit.Range) string {
	switch {
	case read.Below(drawSimple.Range) == unit.Yes:
		return "In order for any vehicle."
	case drawFault.Range.Below(read) == unit.Yes:
		return "A fault, unless the vehicle's data say otherwise or it is still awake: find the circuit by the drop over its fuse."
	case drawUsual.Range.Below(read) == unit.No:
		return "In order for a modern vehicle; much for an old or simple one."
	}
	return "Between the limits, or too close to call: look up the vehicle's own figure, and wait longer."
}
