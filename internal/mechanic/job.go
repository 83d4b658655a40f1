package mechanic

import (
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/vehicle"
)

// job is what somebody remembers of the rounds of a job: it is no property of the
// vehicle, so no vehicle can tell it.
type job struct {
	booked bool // a visit with time for a charge has been booked, and this is it
	flat   bool // the battery was found flat, and nobody has looked for the cause
	newer  bool // another battery has been fitted: its first charge says nothing
}

// tells answers what is asked of the job itself. ok is false for everything else.
func (j *job) tells(reading string) (answer string, ok bool) {
	switch {
	case reading == "time_to_spare" && j.booked:
		return "hours", true
	case reading == "may_start" && j.booked:
		return "yes", true // it was booked where the engine may run
	case reading == "found_flat" && j.flat:
		return "yes", true
	case reading == "found_flat":
		return "no", true
	}
	return "", false
}

// does remembers a step that was done: only a flat battery is charged or helped.
func (j *job) does(st *engine.Step) {
	j.flat = j.flat || !j.newer && (st.Kind == engine.Charge || st.Kind == engine.Jump)
}

// ends remembers what a round came to.
func (j *job) ends(f *engine.Finding) {
	if f.Then == nil {
		return
	}
	j.booked = j.booked || f.Then.First == engine.FirstCharge
	j.flat = j.flat && f.Then.First != engine.FirstCause
}

// mends remembers a repair. Why the old battery was flat, a new one does not answer.
func (j *job) mends(f *engine.Finding) {
	if slices.ContainsFunc(f.Faults, func(k string) bool { return vehicle.Mends(k) == "fit_battery" }) {
		j.newer = true
	}
}
