package drill

import (
	"slices"

	"deadflat/internal/text"
)

// checks are what must be looked at before something dangerous.
var checks = map[string]string{
	"battery_case":   "nobody had looked at the battery's case",
	"battery_inside": "nobody had looked for ice in the battery",
	"vehicle":        "nobody had looked whether it was in gear and people were clear",
}

// tooEasily is what a customer says of an engine that must not be cranked.
const tooEasily = "spins too easily"

// mayCrank holds a crank against what is dangerous; it gives what is said when it
// is stopped.
func (d *Drill) mayCrank(act string) string {
	d.left("vehicle", act)
	if d.start.said == tooEasily {
		d.omit("it was cranked, and the customer says that it spins too easily: a belt or chain may have gone, and every crank can bend valves")
	}
	if d.bay.v.Moves() {
		return d.danger(act + ": it is in gear, and the vehicle would have moved. Neutral or park, brake on and wheels chocked first")
	}
	return d.mayLoad(act)
}

// mayLoad does the same for a charge or a load.
func (d *Drill) mayLoad(act string) string {
	d.left("battery_case", act)
	d.left("battery_inside", act)
	if why := d.bay.v.Unsafe(); why != "" {
		return d.danger(act + ": " + why)
	}
	return ""
}

// left notes a check that was left out.
func (d *Drill) left(thing, act string) {
	if !d.checked[thing] {
		d.omit(checks[thing] + " before the first " + act)
		d.checked[thing] = true // said once
	}
}

func (d *Drill) omit(what string) {
	if !slices.Contains(d.Omitted, what) {
		d.Omitted = append(d.Omitted, what)
	}
}

// danger notes what was stopped and gives the words for it.
func (d *Drill) danger(what string) string {
	d.Dangers = append(d.Dangers, what)
	return "Stopped. " + text.Capital(what) + "."
}
