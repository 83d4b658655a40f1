package vehicle

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// Vehicle is one vehicle with its hidden faults, in its present state.
//
// It is not safe for use by several goroutines at once.
type Vehicle struct {
	base   Params  // without faults
	faults []Fault // what is wrong with it now
	par    Params  // with them

	state    state
	attached attached
	charge   Charge
	siemens  Wiring // conductance of each closed branch at the vehicle's temperature
	motor    motor  // at that temperature, at rest

	reduced reduced
	now     solution // of the present state, when solved
	turned  crank    // the present turn of the key, or the last one thought of
	thought thought  // what that one was thought of for
	solved  bool
	drift   float64 // V by which the battery has moved since
	clock   float64 // s since the vehicle was met
	keyed   float64 // clock at which the key last went off
	started float64 // clock at which the engine last began to run
	loose   bool    // a joint that makes and breaks is broken now
	rebuilt int     // how often its parameters have been worked out
	usual   float64 // healthy cranking speed, rad/s, once worked out
	history history
	ear     Ear // of whoever is at it
	rng     *rand.Rand
	watch   func(circuit, solution) // sees every network that is solved; nil outside tests
}

// attached is what somebody has connected or taken off.
type attached struct {
	tester        float64 // A
	lamp          float64 // W of a lamp from the positive post to the block
	bypass        bool    // a jump lead from the negative post to the block
	booster       bool
	parted        bool // the second battery is taken off
	safe          bool // kept from starting
	leadOff       bool // the negative lead is off its post
	alternatorOff bool // the alternator's cable is off
	series        bool // an ammeter lies in the negative lead
}

// history is what has been done to the battery and the starter.
type history struct {
	charged  float64 // clock when a charge or a drive last ended
	loaded   float64 // clock when a crank or a load last ended
	last     charged // how the last charge went
	cranks   int
	cranking float64 // s in all
}

// New gives a vehicle with these parameters and faults. A fault that it does not
// know is an error.
func New(p Params, faults ...Fault) (*Vehicle, error) {
	for _, f := range faults {
		if _, known := kinds[f.ID]; !known {
			return nil, fmt.Errorf("there is no fault %q; see vehicle.Kinds for those that there are", f.ID)
		}
	}
	v := &Vehicle{base: p, faults: slices.Clone(faults), rng: rand.New(rand.NewPCG(1, 1))}
	for _, f := range faults {
		if made := makes[f.ID]; made != nil {
			made(&v.base)
		}
	}
	v.keyed = -24 * 3600
	v.history = history{charged: -24 * 3600, loaded: -24 * 3600}
	v.rebuild()
	v.charge = v.par.Charge
	return v, nil
}

// Faults gives the ids of the faults that it has now: the truth.
func (v *Vehicle) Faults() []string {
	ids := make([]string, len(v.faults))
	for i, f := range v.faults {
		ids[i] = f.ID
	}
	return ids
}

// Grade is how far the first of its faults goes, a word of Grades; empty for none.
func (v *Vehicle) Grade() string {
	if len(v.faults) == 0 {
		return ""
	}
	return v.faults[0].grade()
}

// Params gives the parameters with the faults in them.
func (v *Vehicle) Params() Params { return v.par }

// Clock is how much time has passed, in seconds, since the vehicle was met.
func (v *Vehicle) Clock() float64 { return v.clock }

// rebuild works the parameters out anew from the healthy ones and the faults.
func (v *Vehicle) rebuild() {
	v.rebuilt++
	v.par = v.base
	for _, f := range v.faults {
		kinds[f.ID].apply(&v.par, f.Severity)
	}
	v.warm()
}

// warm brings wiring, starter and engine to the vehicle's temperature.
func (v *Vehicle) warm() {
	v.motor = motor{Starter: v.par.Starter.at(v.par.Celsius), Engine: v.par.Engine.at(v.par.Celsius), amps: 400}
	if v.motor.Slips {
		v.motor.Engine = Engine{Viscous: ownDrag}
	}
	warm := 1 + copperRise*(v.par.Celsius-20)
	for b, ohm := range v.par.Ohm {
		if copper[b] {
			ohm *= warm
		}
		v.siemens[b] = 1 / ohm
	}
	v.solved = false
}

// isCranking reports whether the starter is fed in this state.
func (v *Vehicle) isCranking() bool { return v.state.key == keyStart || v.stuckOn() || v.welded() }

func (v *Vehicle) stuckOn() bool { return v.par.Relay.Stuck && v.par.RelayFitted }
func (v *Vehicle) welded() bool  { return v.par.Solenoid.Welded }

// How far the battery may move before the state is solved anew, V. A crank of 3 s
// moves a good battery by 3 mV; 20 mV is less than a workshop meter is out by.
const (
	driftsStill    = 1e-3
	driftsCranking = 20e-3
)

// solve brings the solution up to date.
func (v *Vehicle) solve() *solution {
	if v.solved && (v.drift < driftsStill || v.drift < driftsCranking && v.isCranking()) {
		return &v.now
	}
	if v.isCranking() {
		if !v.solved && v.thought != v.circumstances() || v.turned.outcome != Turns || !v.refresh(&v.turned) {
			v.turned = v.crank()
			v.thought = v.circumstances()
		}
		v.now = v.turned.steady
	} else {
		c := v.circuit()
		v.run(&c, &v.now)
		if c.opened {
			v.charge.LinkGone = true
			v.exhaust()
		}
	}
	v.solved, v.drift = true, 0
	return &v.now
}

// exhaust leaves a failing cell as low as the current at which the link let go has
// brought it.
func (v *Vehicle) exhaust() {
	b := &v.par.Battery
	v.charge.Sag = max(v.charge.Sag, b.WeakCell*math.Tanh(b.LinkLimit/weakCellAmps))
}
