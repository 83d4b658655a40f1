package drill

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"deadflat/internal/trial"
	"deadflat/internal/vehicle"
)

// Levels say what each level is, the first at 0. They follow one another by what an
// apprentice must already know.
var Levels = [...]string{
	"one fault that the eye finds, with hints",
	"one fault that one reading shows, with hints",
	"one fault, with hints from the tree",
	"one fault, free",
	"one fault that hides behind a trap, free",
	"two faults, and a clock",
	"two faults, a clock, and probes that slip now and then",
}

// hinted is the last level with hints; clocked the first with a clock.
const (
	hinted  = 3
	clocked = 6
	slipped = 7
)

// clockMinutes is what the clock allows, charges included. Modelling choice: a day.
const clockMinutes = 8 * 60

// seen, single and traps are the faults of the levels that do not take all.
var (
	seen   = []string{"battery_damaged", "battery_frozen", "user_left_on", "start_fuse_blown", "start_relay_stuck_on", "belt_slips"}
	single = []string{"battery_discharged", "positive_joint_high_resistance", "negative_joint_high_resistance", "battery_reversed",
		"positive_cable_high_resistance", "battery_earth_cable_high_resistance", "engine_strap_open", "solenoid_contact_burnt", "trigger_wire_bad"}
	traps = []string{"surface_charge", "battery_failing", "battery_broken_link", "engine_seized", "post_joint_intermittent",
		"main_fuse_link_open", "alternator_diode_leaks", "hold_winding_open", "engine_strap_open", "starter_armature_shorted"}
)

// Families lists the words that --family takes.
func Families() []string {
	var out []string
	for _, k := range vehicle.Kinds() {
		if !slices.Contains(out, k.Family) {
			out = append(out, k.Family)
		}
	}
	return out
}

// draw makes the vehicle of a drill.
func (o *Options) draw() (*vehicle.Vehicle, *rand.Rand, error) {
	pop := vehicle.UsualPopulation()
	pop.Healthy, pop.TwoFaults, pop.Mistakes, pop.Hours = 0, 0, 0, 1
	if o.Level >= clocked {
		pop.TwoFaults = 1
	}
	if o.Level >= slipped {
		pop.Mistakes = 0.1
	}
	pop.Weights = map[string]float64{}
	for _, k := range vehicle.Kinds() {
		if o.Family != "" && k.Family != o.Family || k.Part == "nothing" || !o.allows(k.ID) {
			continue
		}
		pop.Weights[k.ID] = k.Weight
	}
	if len(pop.Weights) == 0 {
		return nil, nil, fmt.Errorf("level %d has no fault of the family %q: take another level", o.Level, o.Family)
	}
	v, rng := trial.Draw(o.Seed, pop)
	v.PutInGear(o.Level > hinted && rng.Float64() < 0.3)
	return v, rng, nil
}

// allows reports whether a level has a fault.
func (o *Options) allows(fault string) bool {
	switch o.Level {
	case 1:
		return slices.Contains(seen, fault)
	case 2:
		return slices.Contains(single, fault)
	case 5:
		return slices.Contains(traps, fault)
	}
	return true
}
