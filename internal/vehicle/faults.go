package vehicle

import (
	"math"
	"slices"
)

// Fault is one thing that is wrong, by its id, and how far: Severity runs from 0,
// where it can hardly be measured, to 1. Some faults take another form above a
// certain severity: a burnt contact that passes no current at all.
type Fault struct {
	ID       string
	Severity float64
}

// Kind is a fault that a vehicle can have.
type Kind struct {
	ID     string
	Family string // the group that reports use
	Part   string // what has to be renewed, cleaned or charged: see repairs
	// Weight is its share among vehicles that do not start or whose battery goes
	// flat. Source: guess, all of them; a breakdown service's figures (batteries
	// first by far, then alternator, electrics, starter) are the only anchor.
	Weight float64

	apply func(p *Params, s float64)
}

// Grades are the words for how far a fault goes, each for a third of the severities.
var Grades = [...]string{"hardly", "moderate", "plain"}

// grade gives the word for a fault: one that has no degrees is plain.
func (f Fault) grade() string {
	if whole[f.ID] {
		return Grades[len(Grades)-1]
	}
	return Grades[min(int(f.Severity*float64(len(Grades))), len(Grades)-1)]
}

// whole are the faults that are there or not: their severity only says in which form.
var whole = func() map[string]bool {
	m := map[string]bool{}
	for _, id := range []string{
		"battery_frozen", "battery_damaged", "battery_reversed", "battery_wrong", "engine_strap_open", "hold_winding_open", "pull_winding_open",
		"starter_armature_open", "starter_drive_slips", "start_relay_stuck_on", "solenoid_contact_welded", "start_fuse_blown",
		"start_relay_coil_earth_open", "ignition_switch_open", "start_wire_open", "gear_or_clutch_switch_open", "immobiliser_lock", "engine_seized",
		"engine_no_compression", "engine_timing_out", "engine_does_not_fire", "alternator_no_field", "smart_charging", "operator",
	} {
		m[id] = true
	}
	return m
}()

// makes says how a vehicle must be made to have a fault at all. It stays so when the
// fault is mended.
var makes = map[string]func(p *Params){
	"second_battery_shorted_cell":         (*Params).withSecond,
	"positive_feed_joint_high_resistance": (*Params).rear,
	"engine_strap_high_resistance":        (*Params).onTheBody,
	"engine_strap_open":                   (*Params).onTheBody,
	"start_relay_stuck_on":                (*Params).withRelay,
	"start_relay_contact_bad":             (*Params).withRelay,
	"start_relay_coil_earth_open":         (*Params).withRelay,
}

// Kinds gives all faults, in a fixed order.
func Kinds() []Kind { return slices.Clone(kindList) }

var kinds = func() map[string]Kind {
	m := map[string]Kind{}
	for _, k := range kindList {
		m[k.ID] = k
	}
	return m
}()

// lerp and logLerp go from a to b with the severity, by sums and by factors.
func lerp(a, b, s float64) float64    { return a + s*(b-a) }
func logLerp(a, b, s float64) float64 { return a * math.Pow(b/a, s) }

// emptier lowers the charge that the vehicle comes in with.
func (p *Params) emptier(level float64) { p.Charge.Level = min(p.Charge.Level, level) }

// immobilise makes the immobiliser keep the start circuit open, or only the fuel off.
func (p *Params) immobilise(cranks bool) {
	p.Seen.Immobilised = true
	switch {
	case cranks:
	case p.RelayFitted:
		p.Ohm[bCoilEarth] = open
	default:
		p.Ohm[bStartWire] = open
	}
}

// opens breaks a branch right through.
func opens(b branch) func(*Params, float64) {
	return func(p *Params, _ float64) { p.Ohm[b] = open }
}

// grows adds to a branch a resistance that grows with the severity, Ω.
func grows(b branch, from, to float64) func(*Params, float64) {
	return func(p *Params, s float64) { p.Ohm[b] += logLerp(from, to, s) }
}

// breaks is grows up to a severity, and opens above it.
func breaks(b branch, upTo, from, to float64) func(*Params, float64) {
	return func(p *Params, s float64) {
		p.Ohm[b] = open
		if s < upTo {
			p.Ohm[b] = logLerp(from, to, s/upTo)
		}
	}
}

// onTheBody makes the battery's earth lead land on the body, so that the strap
// carries all of the cranking current.
func (p *Params) onTheBody() {
	if math.IsInf(p.Ohm[bEarth], 1) {
		p.Ohm[bEarth] = p.Ohm[bDirect]
	}
	p.Ohm[bDirect] = open
}

// withRelay gives a vehicle without a start relay one.
func (p *Params) withRelay() {
	if p.RelayFitted {
		return
	}
	u := usualWiring()
	for _, b := range []branch{bSwitchFeed, bSwitch, bStartWire, bGearSwitch, bCoil, bStartFeed, bFuseToSwitch, bRelay, bSwitchToWire, bTriggerWire} {
		p.Ohm[b] = u[b]
	}
	p.RelayFitted = true
}

// kindList holds every fault. What it does to the parameters is a modelling choice
// unless something else is said. The ranges begin where a fault can hardly be measured
// and run to plain, evenly in the trade's own measure: by factors in volts lost for each
// 100 A and in amperes of draw, by sums in the share of the rating that is left and in
// the volts of a cell. No limit of a tree comes into them.
var kindList = []Kind{
	// The battery.
	{"battery_discharged", "battery", "charge", 8, func(p *Params, s float64) { p.emptier(lerp(0.5, 0.02, s)) }},
	{"battery_worn_out", "battery", "battery", 18, func(p *Params, s float64) {
		// A model battery of health 0.57 stands at the 9.6 V of TM 5-4210-230-14&P-1,
		// Table 5, with half its rating: worn out begins there.
		p.Battery.Health = lerp(0.56, 0.25, s)
		p.Battery.CapacityLeft = lerp(0.8, 0.4, s)
		p.emptier(lerp(0.92, 0.7, s))
	}},
	{"battery_sulphated", "battery", "battery", 6, func(p *Params, s float64) {
		p.Battery.Health = lerp(0.56, 0.3, s)
		p.Battery.Acceptance = logLerp(0.5, 0.05, s)
		p.Battery.Offset -= lerp(0.05, 0.2, s)
		p.emptier(lerp(0.55, 0.2, s))
	}},
	{"battery_shorted_cell", "battery", "battery", 3, func(p *Params, s float64) {
		p.Battery.CellLoss = lerp(0.5, 2.1, s)
		p.Battery.SelfLoss += lerp(0.05, 0.5, s)
	}},
	{"battery_broken_link", "battery", "battery", 1.5, func(p *Params, s float64) {
		switch {
		case s < 1./3:
			p.Battery.Link = logLerp(0.005, 0.03, 3*s) // half a volt and more for each 100 A
			return
		case s < 0.75:
			// It grows with the heat of the current: about 12.2 V on courtesy lamps, 11.3 V
			// with the ignition on, next to nothing while cranking.
			p.Battery.Link = lerp(0.045, 0.065, s/0.75)
			p.Battery.LinkLimit = lerp(32, 24, s/0.75)
			p.Battery.LinkOpen = logLerp(30, 150, s/0.75)
			return
		}
		p.Battery.Link = logLerp(0.03, 0.3, (s-0.75)/0.25)
	}},
	{"battery_failing", "battery", "battery", 1.5, func(p *Params, s float64) {
		p.Battery.Link = lerp(0.020, 0.045, s)
		p.Battery.LinkLimit = lerp(30, 20, s)
		p.Battery.LinkOpen = logLerp(30, 150, s)
		p.Battery.WeakCell = lerp(0.6, 1.9, s)
		p.emptier(lerp(0.9, 0.75, s))
	}},
	{"battery_frozen", "battery", "thaw", 0.5, func(p *Params, s float64) {
		p.emptier(lerp(0.2, 0.02, s))
		p.Celsius = min(p.Celsius, lerp(-18, -25, s)+p.Day) // the night's frost, and today's air
		p.Charge.Celsius = min(p.Charge.Celsius, lerp(-16, -22, s))
		if s > 0.8 {
			p.Seen.Case = "bulged"
		}
	}},
	{"battery_damaged", "battery", "battery", 0.5, func(p *Params, s float64) {
		switch {
		case s < 0.4:
			p.Seen.Leaks = "wet"
		case s < 0.7:
			p.Seen.Case = "bulged"
		case s < 0.9:
			p.Seen.Case = "cracked"
		default:
			p.Seen.Leaks = "smells"
		}
	}},
	{"battery_reversed", "battery", "battery", 0.2, func(p *Params, s float64) {
		p.Battery.Reversed = true
		p.emptier(lerp(0.5, 0.1, s))
		p.Alternator.FuseOpen = true // its diodes conduct straight through, and its link blows
		p.Ohm[bAltLeak] = open
	}},
	{"battery_wrong", "battery", "battery", 1, func(p *Params, s float64) {
		if s > 0.75 {
			// The right one, but the vehicle goes on charging it as it did the old one.
			p.Seen.Fitted = "not made known"
			p.emptier(0.5)
			return
		}
		p.Seen.Fitted = "smaller or lesser"
		share := lerp(0.75, 0.45, s)
		p.Battery.Rated *= share
		p.Battery.Capacity *= share
	}},
	{"second_battery_shorted_cell", "battery", "second battery", 0.3, func(p *Params, s float64) {
		p.Second.EMF = lerp(10.8, 10.4, s)
		p.emptier(lerp(0.4, 0.1, s))
	}},
	{"surface_charge", "battery", "charge", 2, func(p *Params, s float64) {
		p.emptier(lerp(0.4, 0.25, s))
		p.Charge.Surface = [2]float64{lerp(0.2, 0.35, s), lerp(0.15, 0.25, s)}
		p.Seen.JustCharged = true
	}},

	// Joints and cables that carry the cranking current.
	{"positive_joint_high_resistance", "cables", "positive joint", 5, func(p *Params, s float64) {
		p.Ohm[bPosJoint] = logLerp(filmBegins, 60e-3, s)
		p.PosFilm = 5 * p.Ohm[bPosJoint]
		p.Seen.Positive = jointLooks(s)
	}},
	{"negative_joint_high_resistance", "cables", "negative joint", 4, func(p *Params, s float64) {
		p.Ohm[bNegJoint] = logLerp(filmBegins, 60e-3, s)
		p.NegFilm = 5 * p.Ohm[bNegJoint]
		p.Seen.Negative = jointLooks(s)
	}},
	{"post_joint_intermittent", "cables", "positive joint", 2, func(p *Params, s float64) {
		p.Loose, p.LooseShare = logLerp(0.01, 5, s), 0.25
		if s > 0.4 {
			p.Seen.Positive = "loose"
		}
	}},
	{"positive_cable_high_resistance", "cables", "positive cable", 1.5, grows(bPosCable, cableBegins, 40e-3)},
	{"positive_feed_joint_high_resistance", "cables", "positive feed", 0.5, func(p *Params, s float64) {
		p.Ohm[bFeed] += logLerp(cableBegins, 40e-3, s)
	}},
	{"battery_earth_cable_high_resistance", "cables", "earth cable", 2, func(p *Params, s float64) {
		for _, b := range []branch{bEarth, bDirect} {
			if !math.IsInf(p.Ohm[b], 1) {
				p.Ohm[b] += logLerp(cableBegins, 40e-3, s)
			}
		}
	}},
	{"engine_strap_high_resistance", "cables", "engine strap", 3, grows(bStrap, cableBegins, 80e-3)},
	{"engine_strap_open", "cables", "engine strap", 0.7, func(p *Params, s float64) {
		p.Ohm[bStrap] = open
		p.Ohm[bStrays] = logLerp(0.05, 0.5, s)
	}},
	{"main_fuse_link_open", "cables", "main fuse", 0.7, breaks(bMainFuse, 2./3, 0.02, 2)},
	{"jump_leads_bad", "cables", "jump leads", 0, func(p *Params, s float64) { p.Booster.Leads = logLerp(20e-3, 50e-3, s) }},

	// The starter and its solenoid.
	{"solenoid_contact_burnt", "starter", "starter", 3, breaks(bContact, 0.75, 2e-3, 40e-3)},
	{"hold_winding_open", "starter", "starter", 0.7, opens(bHold)},
	{"pull_winding_open", "starter", "starter", 0.5, opens(bPull)},
	{"starter_brushes_worn", "starter", "starter", 3, func(p *Params, s float64) {
		p.Starter.Ohm *= lerp(1.3, 4, s)
		p.Starter.Brush = lerp(0.6, 2, s)
	}},
	{"starter_armature_open", "starter", "starter", 2.5, func(p *Params, _ float64) { p.Starter.Ohm = 1e6 }},
	{"starter_armature_shorted", "starter", "starter", 2, func(p *Params, s float64) {
		// Shorted turns brake like a drag; the rest of the winding has less resistance.
		p.Starter.Ohm *= 0.85
		p.Starter.NoLoad *= lerp(1.4, 4.5, s)
	}},
	{"starter_drive_slips", "starter", "starter", 1, func(p *Params, s float64) {
		p.Starter.Slips = true
		p.Starter.Grinds = s > 0.6
	}},
	{"start_relay_stuck_on", "starter", "start relay", 0.2, func(p *Params, _ float64) {
		p.Relay.Stuck = true
	}},
	{"solenoid_contact_welded", "starter", "starter", 0.2, func(p *Params, _ float64) { p.Solenoid.Welded = true }},

	// The control circuit.
	{"start_fuse_blown", "control", "start fuse", 0.8, opens(bStartFuse)},
	{"start_feed_open", "control", "start feed", 0.6, func(p *Params, s float64) {
		switch {
		case s < 1./3:
			p.Ohm[bStartFeed] = logLerp(8e-3, 1, 3*s)
		case s < 2./3:
			p.Ohm[bStartFeed] = open
		case p.RelayFitted: // between the fuses and the switch
			p.Ohm[bSwitchFeed] = open
		default:
			p.Ohm[bFuseToSwitch] = open
		}
	}},
	{"start_relay_contact_bad", "control", "start relay", 1.5, breaks(bRelay, 2./3, 8e-3, 1)},
	{"start_relay_coil_earth_open", "control", "coil earth", 0.7, opens(bCoilEarth)},
	{"ignition_switch_open", "control", "ignition switch", 1.2, opens(bSwitch)},
	{"start_wire_open", "control", "start wire", 0.7, opens(bStartWire)},
	{"trigger_wire_bad", "control", "trigger wire", 1, breaks(bTriggerWire, 2./3, 8e-3, 1)},
	{"gear_or_clutch_switch_open", "control", "gear switch", 1, func(p *Params, s float64) {
		p.Ohm[bGearSwitch] = open
		p.Seen.OtherGear = s < 0.5
	}},
	{"immobiliser_lock", "control", "immobiliser", 1, func(p *Params, s float64) {
		p.immobilise(s > 0.8) // some let it crank
		p.Seen.NoTelltale = s < 0.3
	}},

	// The engine.
	{"engine_stiff", "engine", "engine", 1, func(p *Params, s float64) {
		p.Engine.Drag *= lerp(1.2, 4, s)
		p.Engine.Viscous *= lerp(1.1, 2.5, s)
		p.Engine.Breakaway *= lerp(1.05, 1.5, s)
	}},
	{"engine_seized", "engine", "engine", 0.3, func(p *Params, _ float64) { p.Engine.Breakaway = 1e5 }},
	{"engine_no_compression", "engine", "engine", 0.3, func(p *Params, _ float64) {
		p.Engine.Drag *= 0.7
		p.Engine.Breakaway *= 0.3
		p.Engine.Gas = 0
		p.Seen.Engine = "no compression"
	}},
	{"engine_timing_out", "engine", "engine", 0.2, func(p *Params, _ float64) { p.Seen.Engine = "kicks back" }},
	{"engine_does_not_fire", "engine", "fuel and ignition", 5, func(p *Params, _ float64) { p.Seen.Engine = "does not fire" }},

	// What draws current with the key off.
	{"key_off_draw", "draw", "drawing circuit", 8, func(p *Params, s float64) {
		p.Consumers.Draw = logLerp(0.08, 5, s)
		switch f := form(s); {
		case f < 0.35:
			p.Seen.Drawing = "a lamp"
		case f < 0.6:
			p.Seen.Drawing = "something retrofitted"
		default:
			p.Seen.Drawing = "a unit or relay"
		}
		p.Seen.WhenFlat = "overnight"
		p.emptier(lerp(0.7, 0.05, s))
	}},
	{"alternator_diode_leaks", "draw", "alternator", 1, func(p *Params, s float64) {
		p.Ohm[bAltLeak] = 12.6 / logLerp(0.08, 2, s)
		p.Alternator.Ripple = logLerp(0.4, 2, s) // 0.5 to 2 V where it is shorted, from memory
		p.Seen.WhenFlat = "overnight"
		p.emptier(lerp(0.7, 0.05, s))
	}},

	// The charging system.
	{"alternator_diode_open", "charging", "alternator", 1, func(p *Params, s float64) {
		p.Alternator.Share = lerp(0.8, 0.65, s)
		p.Seen.ChargeSign, p.Seen.WhenFlat = "lamps follow the revs", "on the road"
		// 0.3 to 0.8 V by the current and the machine, from memory.
		p.Alternator.Ripple = lerp(0.6, 0.8, s)
		p.emptier(lerp(0.8, 0.4, s))
	}},
	{"alternator_no_field", "charging", "alternator", 3.5, func(p *Params, s float64) {
		p.Alternator.NoField, p.Alternator.ExciterOpen = true, s > 0.7
		p.Seen.WhenFlat = "on the road"
		p.Seen.ChargeSign = word(p.Alternator.ExciterOpen, "none", "charge lamp")
		p.emptier(lerp(0.4, 0.05, s))
	}},
	{"belt_slips", "charging", "belt", 2, func(p *Params, s float64) {
		p.Alternator.Slip = lerp(0.45, 0.85, s)
		p.Seen.ChargeSign, p.Seen.WhenFlat = "lamps follow the revs", "on the road"
		if s > 0.9 {
			p.Alternator.Slip = 1 // broken, or off its pulleys
			p.Seen.ChargeSign = "charge lamp"
		}
		p.emptier(lerp(0.6, 0.2, s))
	}},
	{"charging_too_high", "charging", "alternator", 0.7, func(p *Params, s float64) {
		p.Alternator.Set = lerp(15.2, 17, s)
		p.Alternator.Smart = false
		p.Seen.ChargeSign = "boils or smells"
		p.Charge.Level = max(p.Charge.Level, 0.95)
	}},
	{"charge_path_high_resistance", "charging", "charge cable", 1.5, func(p *Params, s float64) {
		if form(s) < 0.5 {
			p.Ohm[bAltCable] += logLerp(5e-3, 60e-3, s) // 0.2 V at 40 A and more
		} else {
			p.Ohm[bAltCase] += logLerp(5e-3, 40e-3, s)
		}
		p.Seen.WhenFlat = "on the road"
		p.emptier(lerp(0.8, 0.3, s))
	}},

	// Use, and no fault in the hardware.
	{"short_trips", "use", "charge", 5, func(p *Params, s float64) {
		p.Battery.Health = min(p.Battery.Health, lerp(0.85, 0.7, s))
		p.Battery.Acceptance = min(p.Battery.Acceptance, lerp(0.8, 0.5, s))
		p.Seen.WhenFlat = "after short trips"
		p.emptier(lerp(0.7, 0.4, s))
	}},
	{"user_left_on", "use", "charge", 9, func(p *Params, s float64) {
		p.Seen.LeftOn = word(s < 0.4, "found switched on", word(s < 0.85, "owned up to", "nothing known"))
		p.emptier(lerp(0.4, 0.02, s))
	}},
	{"smart_charging", "use", "nothing", 2, func(p *Params, _ float64) { p.Alternator.Smart = true }},
	{"operator", "use", "nothing", 5, func(p *Params, s float64) {
		switch {
		case s < 0.3: // the tank is empty
			p.Seen.Engine = "does not fire"
		case s < 0.6: // the lever is not in park
			p.Ohm[bGearSwitch] = open
			p.Seen.OtherGear = true
		case s < 0.8: // the key's battery
			p.immobilise(false)
		}
	}},
}

// Where bad joints and cables begin, Ω beside what a sound one has: about 0.2 V for each
// 100 A. What a film lets through is about three times its metal. Modelling choice.
const (
	cableBegins = 1.5e-3
	filmBegins  = 0.7e-3
)

// form spreads the forms of a fault over its severities, from 0 to 1.
func form(s float64) float64 { return math.Mod(s*7.3, 1) }

// jointLooks is how a bad joint looks: some sit tight on a film that carries
// nothing. The shares are a guess.
func jointLooks(s float64) string {
	switch f := form(s); {
	case f < 0.2:
		return "clean and tight"
	case f < 0.75:
		return "corroded"
	}
	return "loose"
}
