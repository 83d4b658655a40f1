package leadacid

import (
	"slices"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// The pieces of the starting circuit that carry the cranking current from end to
// end. Measure from the post, not from the clamp.
const (
	positivePath = "positive_path" // positive post to the starter's feed stud
	earthPath    = "earth_path"    // starter case to negative post
)

var perAmp = figure("allowed on any starter path for each 100 A", unit.Exactly(0.2), "V", dropRule)

// fixedDrops is what is published as a plain number of volts for each piece, the
// one to go by first. A joint is a post and its own clamp, or one lug; the solenoid
// reaches from feed stud to motor stud, contact closed. The control circuit runs
// from the positive post to the trigger terminal: both windings draw in the first
// moment, the hold winding alone while the engine turns.
var fixedDrops = []struct {
	path   string
	limits []calc.Figure
}{
	{positivePath, []calc.Figure{
		figure("positive path, most texts", span(0.3, 0.4, 0.5), "V", practiced(seenTwice)),
		figure("positive path", unit.Exactly(0.2), "V", source("TM 9-2320-211-20", seen)),
	}},
	{earthPath, []calc.Figure{
		figure("earth path, most texts", span(0.2, 0.2, 0.5), "V", practiced(seenTwice)),
		figure("earth path, the strictest", unit.Exactly(0.1), "V", practiced(seen)),
	}},
	{"joint", []calc.Figure{
		figure("one joint in order", unit.Exactly(0.1), "V", practiced(practice)),
		figure("one joint at fault", unit.Exactly(0.2), "V", practiced(practice)),
	}},
	{"solenoid", []calc.Figure{
		figure("solenoid contact", unit.Exactly(0.2), "V", source("TM 9-2320-211-20", seen)),
		figure("solenoid contact, the widest", unit.Exactly(0.3), "V", practiced(practice)),
	}},
	{"control_both_windings", []calc.Figure{figure("control circuit at 20 °C, both windings in", unit.Exactly(1.0), "V", source("TM 5-2420-230-24-2, p. 13-33", seen))}},
	{"control_hold_winding", []calc.Figure{figure("control circuit, hold winding alone", span(0.2, 0.25, 0.3), "V", practiced(practice))}},
}

// allowedDrop is the drop that a path may show. Up to the low end of the range
// every source calls it sound, over the high end every source calls it bad. On a
// whole path the cranking current decides first; without it only the fixed numbers
// are left.
func allowedDrop(path string, a calc.Args) agreed {
	var all []calc.Opinion
	if a.Has("current") && (path == positivePath || path == earthPath) {
		r := a.Num("current").Map(func(amps float64) float64 { return amps * perAmp.Range.Best / 100 })
		all = append(all, opinion("0.2 V for each 100 A", r, dropRule))
	}
	for _, fixed := range fixedDrops {
		if fixed.path == path {
			all = append(all, opinionsOf(fixed.limits...)...)
		}
	}
	return agree(all...)
}

var dropFunctions = []*calc.Function{allowedDropFunction, perHundredFunction, loopFunction, cableDropFunction}

var allowedDropFunction = &calc.Function{
	Name: "allowed_drop", Title: "Drop that a path may show", Topic: topicDrop,
	Doc: "While cranking, from post to stud. No current, no verdict: a low drop clears a path only at a known current; a high one convicts at any.",
	Params: []calc.Param{
		words("path", "what is measured across", pathNames()...),
		optional(number("current", starterCurrent, "cranking current at the time")),
		optional(number("drop", dropVoltage, "what was measured, to have it judged")),
	},
	Formula: "allowed = 0.2 V * current / 100 A on a whole path, and the fixed numbers of each path",
	Source:  dropRule, Figures: dropFigures(),
	Work: func(a calc.Args) (calc.Result, error) {
		allowed := allowedDrop(a.Word("path"), a)
		r := sourced("allowed_drop", "allowed drop", "V", allowed, 2)
		r.Says = dropSays(a, allowed.Range)
		return r, nil
	},
}

func pathNames() []string {
	var all []string
	for _, fixed := range fixedDrops {
		all = append(all, fixed.path)
	}
	return all
}

func dropFigures() []calc.Figure {
	all := []calc.Figure{perAmp}
	for _, fixed := range fixedDrops {
		all = slices.Concat(all, fixed.limits)
	}
	return all
}

// dropSays judges the drop that was measured, if one was.
func dropSays(a calc.Args, allowed unit.Range) []string {
	drop := a.Num("drop")
	switch {
	case !a.Has("drop"):
		return nil
	case drop.Lo > allowed.Hi:
		return []string{"Over every published limit: this path is at fault. Split it and measure the parts."}
	case drop.Hi <= allowed.Lo:
		return []string{"Within every published limit."}
	}
	return []string{"Between the published limits, or too close to call: clean the joints and measure again."}
}

// flowing is a current that can be divided by.
var flowing = &calc.Quantity{Title: "current", Unit: "A", Lo: 0.1, Hi: 3000, Under: "a drop without a current says nothing of the path"}

var perHundredFunction = &calc.Function{
	Name: "drop_per_100_amps", Title: "Drop for each 100 A", Topic: topicDrop,
	Doc: "For showing and comparing. Both paths high by the same factor means that the current is high, not that the cables are bad.",
	Params: []calc.Param{
		number("drop", dropVoltage, "drop of the path"), number("current", flowing, "current at the time"),
	},
	Formula: "100 A * drop / current", Source: circuitLaw, Figures: []calc.Figure{perAmp},
	Work: func(a calc.Args) (calc.Result, error) {
		v := unit.Over(func(x []float64) float64 { return 100 * x[0] / x[1] }, a.Num("drop"), a.Num("current"))
		return single("per_100_amps", "for each 100 A", "V", v, 3), nil
	},
}

// separateCranks is allowed on top when each part was read at another crank.
var separateCranks = figure("how far readings from separate cranks may miss the sum", unit.Exactly(0.3), "V", practiced(practice))

var loopFunction = &calc.Function{
	Name: "loop_sum", Title: "Whether the drops of the cranking loop add up", Topic: topicDrop,
	Doc: "Before any branch is taken on single drops: if the parts do not make the whole, a probe was misplaced.",
	Params: []calc.Param{
		number("posts", postsVoltage, "at the posts while cranking"),
		number("positive_drop", dropVoltage, "positive post to feed stud"),
		number("solenoid_drop", dropVoltage, "feed stud to motor stud"),
		number("motor_voltage", dropVoltage, "motor stud to starter case"),
		number("earth_drop", dropVoltage, "starter case to negative post"),
		assumingWord(words("cranks", "one crank with several meters, or a crank for each reading", "one", "separate"), "separate"),
	},
	Formula: "left = posts - (positive_drop + solenoid_drop + motor_voltage + earth_drop)",
	Source:  source("Kirchhoff's voltage law", definition), Figures: []calc.Figure{separateCranks},
	Work: func(a calc.Args) (calc.Result, error) {
		posts := a.Num("posts")
		parts := a.Num("positive_drop").Plus(a.Num("solenoid_drop")).Plus(a.Num("motor_voltage")).Plus(a.Num("earth_drop"))
		left := posts.Minus(parts)
		allowed := 1e-9 // so that 11.3 - 11.0 is 0.3
		if a.Word("cranks") == "separate" {
			allowed += separateCranks.Range.Best
		}
		if left.Lo > allowed || left.Hi < -allowed {
			return calc.Result{}, calc.Impossiblef("the parts of the loop come to %s and the posts to %s: they do not add up, so a probe was on the wrong point", calc.Show(parts.Best, "V"), calc.Show(posts.Best, "V"))
		}
		r := single("left", "left over", "V", left, 2)
		r.Says = []string{"The parts add up within their doubt."}
		return r, nil
	},
}
