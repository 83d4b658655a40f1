package vehicle

import (
	"math"
	"slices"
)

// Params is a vehicle: every number that its behaviour rests on.
type Params struct {
	Class   string  // the engine's class, as trees name it
	Celsius float64 // of air, wiring, engine and, at first, the battery
	Day     float64 // K by which the air is warmer than it was in the night

	Battery Battery
	Charge  Charge
	Second  Second

	Ohm         Wiring
	PosFilm     float64 // Ω of a layer on the positive joint that more volts break through, 0 none
	NegFilm     float64
	Loose       float64 // Ω of a positive joint that makes and breaks while it is broken, 0 none
	LooseShare  float64 // of the time that it is broken
	RelayFitted bool    // else the key switch feeds the trigger itself
	Rear        bool    // battery in the boot or under a seat, jump post under the bonnet

	Starter  Starter
	Engine   Engine
	Solenoid Solenoid
	Relay    Relay

	Consumers  Consumers
	Alternator Alternator
	Charger    Charger
	Booster    Booster

	Seen Seen // what only the eye, the ear or the customer can tell
}

// Second is a second 12 V battery, joined to the first.
type Second struct {
	Fitted bool
	EMF    float64 // V
	Ohm    float64
}

// Booster is a donor vehicle or a booster pack with its leads.
type Booster struct {
	EMF   float64 // V
	Ohm   float64 // of the donor
	Leads float64 // Ω of leads and clips
}

// Relay is the start relay. PullIn and DropOut are V over its coil.
type Relay struct {
	PullIn, DropOut float64
	Stuck           bool // its contact does not open any more
}

// Wiring holds the resistance of each branch at 20 °C with its switch closed, Ω.
// Infinite: open, or not fitted.
type Wiring [branches]float64

// copper marks the branches that are mostly copper and so change with temperature.
var copper = [branches]bool{
	bFeed: true, bPosCable: true, bEarth: true, bStrap: true, bDirect: true,
	bAltCable: true, bTriggerWire: true, bStartWire: true, bPull: true, bHold: true,
}

// open is the resistance of nothing.
var open = math.Inf(1)

// usualWiring is that of the usual vehicle.
func usualWiring() (w Wiring) {
	for b := range w {
		w[b] = wiring[b].ohm
	}
	return w
}

// engineSet is an engine with the starter and the battery that go with it.
type engineSet struct {
	class    string
	starter  Starter
	engine   Engine
	rated    float64 // A, EN
	capacity float64 // Ah
}

// engineSets are the vehicles to draw from. Source: K, resistance and drag current
// are fitted so that published bench tests of starters (no load, loaded and
// locked) are met: common practice, no source; torques are from memory and
// modelling choice; start speeds from memory, inside the ranges of SAE J2438.
// Inductance, inertia and gas torque are modelling choices (10 to 30 µH, 0.3 to
// 1.0 kg m² from memory) that give the dip and the ripple of the transient.
var engineSets = []engineSet{
	{"small petrol", Starter{K: 0.036, Ohm: 8.0e-3, NoLoad: 50, Ratio: 12.5}, Engine{Drag: 20, Viscous: 0.6, Breakaway: 55, Gas: 33, Cylinders: 4, StartSpeed: rpm(60)}, 480, 50},
	{"medium petrol", Starter{K: 0.042, Ohm: 6.0e-3, NoLoad: 55, Ratio: 13}, Engine{Drag: 30, Viscous: 0.9, Breakaway: 75, Gas: 45, Cylinders: 4, StartSpeed: rpm(60)}, 640, 70},
	{"large petrol", Starter{K: 0.045, Ohm: 5.0e-3, NoLoad: 65, Ratio: 13}, Engine{Drag: 55, Viscous: 1.6, Breakaway: 110, Gas: 60, Cylinders: 6, StartSpeed: rpm(60)}, 800, 90},
	{"small diesel", Starter{K: 0.052, Ohm: 4.0e-3, NoLoad: 80, Ratio: 13.5}, Engine{Drag: 70, Viscous: 2.0, Breakaway: 150, Gas: 95, Cylinders: 4, StartSpeed: rpm(90)}, 760, 80},
	{"large diesel", Starter{K: 0.058, Ohm: 3.3e-3, NoLoad: 95, Ratio: 14}, Engine{Drag: 100, Viscous: 3.0, Breakaway: 190, Gas: 115, Cylinders: 6, StartSpeed: rpm(90)}, 850, 95},
}

// Classes lists the engine classes that vehicles are drawn from.
func Classes() []string {
	var out []string
	for _, s := range engineSets {
		out = append(out, s.class)
	}
	return out
}

// setFor gives the set of an engine class, "medium petrol" for one it does not know.
func setFor(class string) engineSet {
	if i := slices.Index(Classes(), class); i >= 0 {
		return engineSets[i]
	}
	return engineSets[1]
}

// rpm turns a speed in revolutions a minute into rad/s.
func rpm(n float64) float64 { return n * math.Pi / 30 }

// Standard gives the healthy standard vehicle of an engine class at 20 °C, or of
// "medium petrol" for a class it does not know.
func Standard(class string) Params {
	set := setFor(class)
	p := Params{
		Class:   set.class,
		Celsius: 20,
		Battery: Battery{
			Chemistry: Flooded, Rated: set.rated, Standard: EN, Capacity: set.capacity,
			Health: 1, CapacityLeft: 1, Acceptance: 1,
		},
		Charge:      Charge{Level: 0.95, Celsius: 20},
		Ohm:         usualWiring(),
		RelayFitted: true,
		Starter:     set.starter,
		Engine:      set.engine,
		Solenoid:    usualSolenoid(),
		Relay:       Relay{PullIn: 7, DropOut: 4}, // 6 to 8 V and 3 to 5 V, from memory
		Consumers:   usualConsumers(),
		Alternator:  usualAlternator(set.capacity),
		Charger:     usualCharger(set.capacity),
		Seen:        usualSeen(),
		Booster:     Booster{EMF: 12.9, Ohm: 6e-3, Leads: 3e-3}, // modelling choice
	}
	p.Starter.Efficiency = 0.9 // fitted, with the engine's torque, to the same tests
	p.Starter.Brush = 0.4      // 0.3 to 0.6 V new, from memory
	p.Starter.Henry = 20e-6
	p.Starter.Inertia = 0.5
	return p
}

// rear puts the battery into the boot: a long feed to the jump post under the
// bonnet, and a short cable from there. Source: 3 m of 50 mm², IEC 60228 class 5,
// and two joints.
func (p *Params) rear() {
	if p.Rear {
		return
	}
	p.Rear = true
	p.Ohm[bFeed], p.Ohm[bPosCable] = 1.2e-3, 0.45e-3
}

// withSecond fits a second battery, as well charged as the first. Modelling choice.
func (p *Params) withSecond() {
	if p.Second.Fitted {
		return
	}
	p.Second = Second{Fitted: true, EMF: p.Battery.RestVoltage(p.Charge.Level, p.Charge.Celsius), Ohm: 8e-3}
	p.Ohm[bSecondLink] = 4e-3
}

// withoutRelay turns the wiring into that of a vehicle whose key switch feeds the
// trigger terminal itself.
func (p *Params) withoutRelay() {
	p.RelayFitted = false
	p.Ohm[bSwitchFeed], p.Ohm[bRelay], p.Ohm[bCoil] = open, open, open
	p.Ohm[bFuseToSwitch], p.Ohm[bSwitchToWire] = 0.2e-3, 0.2e-3
	p.Ohm[bSwitch], p.Ohm[bStartWire], p.Ohm[bGearSwitch] = 1e-3, 0.7e-3, 0.7e-3
	p.Ohm[bTriggerWire] = 2.6e-3
}
