package drill

import (
	"math/rand/v2"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/trial"
	"deadflat/internal/vehicle"
)

// trap is a vehicle on which a reading invites a wrong conclusion.
type trap struct {
	name string
	why  string // what the reading invites to, and what sees through it
	// through are words of lines of which one must have been typed by whoever saw
	// through it; nil where many ways do.
	through []string
	faults  []string
	diesel  bool
	cold    bool // well below freezing
	wants   func(*bay) bool
}

// traps are those of level 5. Which faults and circumstances make each is a
// modelling choice.
var traps = []trap{
	{
		name:    "no current",
		why:     "While nothing turns, no cranking current flows, and a drop of nothing clears no cable. Follow the volts along the control circuit, or send a lamp's current through the path.",
		through: []string{"trigger_terminal", "start_fuse", "relay", "starter_motor_stud"},
		faults:  []string{"solenoid_contact_burnt", "trigger_wire_bad", "start_fuse_blown", "start_feed_open"},
		wants:   func(b *bay) bool { return amps(b) < littleAmps },
	},
	{
		name:    "peak hold",
		why:     "A lowest hold keeps the first jolt, which goes far below the plateau on a good battery too. Judge the plateau: crank 3 s and leave out the first second.",
		through: []string{"plateau"},
		faults:  []string{"engine_does_not_fire", "starter_brushes_worn", "solenoid_contact_burnt"},
		wants:   func(b *bay) bool { return posts(b, "cranking") > 10 && amps(b) > littleAmps },
	},
	{
		name:    "surface charge",
		why:     "Just driven or charged, a flat battery reads like a full one. Take the surface charge off with the lamps, let it rest, and read again; a load shows it at once.",
		through: []string{"lamps", "load"},
		faults:  []string{"surface_charge"},
		wants:   func(b *bay) bool { return posts(b) > 12.4 },
	},
	{
		name:   "glow plugs",
		why:    "With the key on, the glow plugs of a diesel pull a good battery down as far as a worn one. The small-load sign holds only after they have gone off.",
		faults: []string{"start_relay_contact_bad", "start_fuse_blown", "ignition_switch_open", "solenoid_contact_burnt", "starter_brushes_worn"},
		diesel: true, cold: true,
		wants: func(b *bay) bool { return posts(b) > 12.3 },
	},
	{
		name:   "jump post",
		why:    "The battery is not where the post under the bonnet is. What is lost in the long lead shows at the jump post and not at the battery's own posts.",
		faults: []string{"positive_feed_joint_high_resistance", "starter_brushes_worn", "engine_strap_high_resistance"},
		wants:  func(b *bay) bool { return b.v.Params().Rear && posts(b) > 12.3 },
	},
	{
		name:    "locked engine",
		why:     "An engine that cannot turn pulls a good battery far down and drives a huge current through good cables, so that everything reads bad. Both paths high by the same share: the current is high. Turn the engine by hand.",
		through: []string{"crankshaft_bolt"},
		faults:  []string{"engine_seized"},
	},
	{
		name:    "cold floor",
		why:     "In the cold a good battery cranks at less than it does in a warm workshop. The floor goes with the temperature of the battery.",
		through: []string{"clamp", "starter_case", "starter_feed_stud", "starter_motor_stud", "crankshaft_bolt"},
		faults:  []string{"engine_stiff", "engine_strap_high_resistance", "negative_joint_high_resistance", "starter_brushes_worn"},
		cold:    true,
		wants:   func(b *bay) bool { x := posts(b, "cranking"); return x > 8.7 && x < 9.9 },
	},
	{
		name:    "AGM",
		why:     "What is charged enough for a flooded battery is not for an AGM: read the label before you judge the rest voltage.",
		through: []string{"battery_label"},
		faults:  []string{"short_trips", "battery_sulphated", "charge_path_high_resistance", "alternator_diode_open", "belt_slips"},
		wants: func(b *bay) bool {
			x := posts(b)
			return b.v.Params().Battery.Chemistry == vehicle.AGM && x > 12.3 && x < 12.6
		},
	},
}

// sawThrough reports whether something was done that sees through the trap.
func (d *Drill) sawThrough() bool {
	return slices.ContainsFunc(d.Acts, func(a Act) bool {
		line := d.canonical(a.line)
		return slices.ContainsFunc(d.trap.through, func(w string) bool { return strings.Contains(line, w) })
	})
}

// pickTrap picks one by the seed, nil when the family has none.
func (o *Options) pickTrap() *trap {
	var may []*trap
	for i := range traps {
		if len(o.population(traps[i].faults...).Weights) > 0 {
			may = append(may, &traps[i])
		}
	}
	if len(may) == 0 {
		return nil
	}
	return may[rand.New(rand.NewPCG(o.Seed, 5)).IntN(len(may))]
}

// set makes the circumstances of the trap.
func (t *trap) set(pop *vehicle.Population) {
	if t.diesel {
		pop.Classes = map[string]float64{"small diesel": 1, "large diesel": 1}
	}
	if t.cold {
		pop.Seasons = []vehicle.Season{{Weight: 1, Mean: -9, Spread: 3}}
	}
}

// draws is how many vehicles are drawn at most to find one that a trap, or a
// question, can be made of.
const draws = 400

// seed finds the seed of a vehicle on which the trap works. Should there be none
// among those drawn, the last will have to do.
func (t *trap) seed(seed uint64, pop vehicle.Population) uint64 {
	if t.wants == nil {
		return seed
	}
	meter := engine.FindMeter("calibrated")
	for i := range uint64(draws) {
		v, rng := trial.Draw(seed+i<<32, pop)
		if v.Unsafe() == "" && t.wants(newBay(v, meter, rng)) {
			return seed + i<<32
		}
	}
	return seed
}

// posts is the voltage at the battery's posts in a state.
func posts(b *bay, states ...string) float64 {
	r, _ := reading(states) // words of ours are known
	r.Red, r.Black = positivePost, negativePost
	return read(r, "V")(b).number
}

// littleAmps is less than any starter takes that turns an engine, A. Modelling
// choice.
const littleAmps = 60

// amps is what the clamp shows while cranking.
func amps(b *bay) float64 {
	r, _ := reading([]string{"cranking"})
	r.Clamp, r.Meter = "battery_negative_lead", "amps_clamp"
	return read(r, "A")(b).number
}
