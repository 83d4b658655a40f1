package vehicle

// What is told or tried by hand in the trees for faults that come and go, for two
// batteries, for a battery in the boot and for starting with help.

// same are the answers that are the same on every vehicle. A new battery is the right
// one, and fitted right.
var same = map[string]string{
	"recent_work": "none known", "meter_check": "reads right", "collapse_read_at": "on the posts",
	"new_case": "sound", "box_look": "as the old one", "posts_look": "as the old one", "rating_terms": "the same",
	"held_down": "stands fast", "vents": "open and led away", "sleeve": "refitted", "tightened": "yes", "made_known": "told",
	"helping_battery": "booster",       // what the workshop has: see Booster
	"arrangement":     "side by side",  // as bSecondLink joins them
	"second_case":     "sound and dry", // no fault of the model shows on it
	"second_now":      "joined",
}

// lockWorks is the voltage that an electric lock wants. Modelling choice.
const lockWorks = 8.0

// bootOpens tells whether a boot that holds the battery opens by its switch.
func (v *Vehicle) bootOpens() string {
	if !v.par.Rear {
		return "yes"
	}
	w := *v
	w.state = state{door: true}
	w.solved = false
	return word(w.solve().between(lampFeed, body) >= lockWorks, "yes", "locked without current")
}

// ventPipe is the pipe of a battery that stands inside: it is off where one smells
// gas.
func (v *Vehicle) ventPipe() string {
	switch {
	case !v.par.Rear:
		return "none to be seen"
	case v.par.Seen.Leaks == "smells":
		return "off or blocked"
	}
	return "led outside"
}

// failsWhen is what the customer tells of the last three times.
func (v *Vehicle) failsWhen() string {
	switch {
	case v.par.Loose > 0:
		return "shaken"
	case v.par.Seen.Complaint == "hot or damp only":
		return "hot"
	case v.par.Seen.Complaint == "after standing":
		return "cold or after standing"
	}
	return "no pattern"
}

// wiggle is the joint that makes the lamps flicker when it is moved.
func (v *Vehicle) wiggle() string {
	switch link := 1 / v.siemens[bMainFuse]; {
	case v.par.Loose > 0, v.par.Seen.Positive == "loose":
		return "positive joint"
	case v.par.Seen.Negative == "loose":
		return "negative joint"
	case link > flickers && link < open:
		return "main feed"
	}
	return "nothing"
}

// flickers is the resistance of a link in the main feed that has come loose, Ω.
// Modelling choice.
const flickers = 0.1

// collapsedBefore tells whether a battery that read well went dark at a crank.
func (v *Vehicle) collapsedBefore() string {
	b := &v.par.Battery
	switch {
	case v.charge.LinkGone, b.LinkLimit > 0, b.Link > 0:
		return "yes"
	case v.history.cranks > 0:
		return "no"
	}
	return "not known"
}

// jumpTurned is what the engine does with the booster connected.
func (v *Vehicle) jumpTurned() string {
	k := v.suppose(func(w *Vehicle) { w.attached.booster = true })
	switch {
	case v.state.engine >= idling || v.fires(&k):
		return "starts"
	case k.outcome == Turns && !v.soundsSlow(k.speed):
		return "turns well no fire"
	case k.outcome == Turns:
		return "slowly"
	}
	return "clunk or nothing"
}
