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

	now      solution // of the present state, when solved
	turned   crank    // the present turn of the key, when cranking
	solved   bool
	drift    float64 // V by which the battery has moved since
	clock    float64 // s since the vehicle was met
	keyed    float64 // clock at which the key last went off
	loose    bool    // a joint that makes and breaks is broken now
	usual    float64 // healthy cranking speed, rad/s, once worked out
	history  history
	mistakes float64 // share of probings that go wrong
	rng      *rand.Rand
	watch    func(circuit, solution) // sees every network that is solved; nil outside Netlists
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
	charges  int
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

// Params gives the parameters with the faults in them.
func (v *Vehicle) Params() Params { return v.par }

// Clock is how much time has passed, in seconds, since the vehicle was met.
func (v *Vehicle) Clock() float64 { return v.clock }

// rebuild works the parameters out anew from the healthy ones and the faults.
func (v *Vehicle) rebuild() {
	v.par = v.base
	for _, f := range v.faults {
		kinds[f.ID].apply(&v.par, f.Severity)
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

// Set puts the vehicle into a state. The values of the map are words such as
// "key_on"; what it does not name stays as it is, except that an engine stops
// when the key goes off. An unknown word, or a running engine when it does not
// start, is an error and changes nothing.
func (v *Vehicle) Set(words map[string]string) error {
	next := v.state
	next.engine = still
	for _, word := range words {
		set, known := states[word]
		if !known {
			return fmt.Errorf("there is no vehicle state %q; it wants a word such as \"key_on\" or \"small_loads\"", word)
		}
		set(&next)
	}
	switch {
	case next.engine == cranking:
		next.key = keyStart
	case next.engine >= idling:
		if next.key == keyStart || words["key"] == "" {
			next.key = keyOn
		}
		if v.state.engine < idling && !v.starts() {
			return ErrNoStart
		}
	}
	v.enter(next)
	return nil
}

// ErrNoStart is what Set gives when a running engine is asked for and the engine
// does not start.
var ErrNoStart = fmt.Errorf("the engine does not start")

// enter changes the state and notes what that ends.
func (v *Vehicle) enter(next state) {
	was := v.state
	if next == was {
		return
	}
	if was.key != keyOff && next.key == keyOff {
		v.keyed = v.clock
	}
	if was.engine >= idling && next.engine < idling || was.charger && !next.charger {
		v.history.charged = v.clock
	}
	if next.engine >= idling && was.engine < idling {
		v.attached.booster = false // it has started: the leads come off
	}
	if next.key != was.key || next.engine != was.engine {
		v.attached.tester, v.attached.lamp = 0, 0
	}
	v.state = next
	v.shake()
	v.solved = false
}

// shake lets a joint that makes and breaks find a new place.
func (v *Vehicle) shake() {
	if v.par.Loose > 0 {
		v.loose = v.rng.Float64() < v.par.LooseShare
		v.solved = false
	}
}

// starts tries to start the engine from the present state.
func (v *Vehicle) starts() bool {
	was := v.state
	v.state.key, v.state.engine, v.state.charger = keyStart, cranking, false
	k := v.crank()
	v.state = was
	v.solved = false
	v.spend(&k, startSeconds)
	return v.fires(&k)
}

// startSeconds is how long a start takes. Source: common practice, no source.
const startSeconds = 1.5

// isCranking reports whether the starter is fed in this state.
func (v *Vehicle) isCranking() bool { return v.state.key == keyStart || v.stuckOn() || v.welded() }

func (v *Vehicle) stuckOn() bool { return v.par.Relay.Stuck && v.par.RelayFitted }
func (v *Vehicle) welded() bool  { return v.par.Solenoid.Welded }

// source reduces the battery at a moment.
func (v *Vehicle) source(m moment) source { return v.par.Battery.source(&v.charge, m) }

// close closes the solenoid's contact.
func (v *Vehicle) close(c *circuit) { c.siemens[bContact] = v.siemens[bContact] }

// circuit builds the network of the present state, with the start relay closed if
// the key asks for it and the solenoid's contact open.
func (v *Vehicle) circuit() circuit {
	p := &v.par
	c := circuit{siemens: v.siemens, battery: v.source(settled)}
	if v.state.key != keyStart {
		c.siemens[bSwitch] = 0
	}
	if !p.RelayFitted || v.state.key != keyStart && !p.Relay.Stuck {
		c.siemens[bRelay] = 0
	}
	c.siemens[bContact] = 0
	c.siemens[bTestLamp], c.siemens[bBypass] = 0, 0
	if v.attached.lamp > 0 {
		c.siemens[bTestLamp] = v.attached.lamp / (12 * 12)
	}
	if v.attached.bypass {
		c.siemens[bBypass] = v.siemens[bBypass]
	}
	v.joints(&c)
	v.consume(&c)

	c.on[dMotor] = true
	c.motor = motor{Starter: p.Starter.at(p.Celsius), Engine: p.Engine.at(p.Celsius), amps: 400}
	if c.motor.Slips {
		c.motor.Engine = Engine{Viscous: ownDrag}
	}
	if p.Second.Fitted && !v.attached.parted {
		c.on[dSecond] = true
		c.second = accumulator{p.Second.EMF, p.Second.Ohm}
	} else {
		c.siemens[bSecondLink] = 0
	}
	if v.state.charger {
		c.on[dCharger] = true
		c.charger = supply{volts: p.Battery.Chemistry.ChargeVolts(), ohm: p.Charger.Leads, most: p.Charger.Amps}
	}
	if v.attached.booster {
		c.on[dBooster] = true
		c.booster = accumulator{p.Booster.EMF, p.Booster.Ohm + p.Booster.Leads}
	}
	if v.attached.tester > 0 {
		c.on[dTester] = true
		c.tester = v.attached.tester
	}
	if v.state.engine >= idling {
		speed := idleSpeed
		if v.state.engine == revving {
			speed = fastSpeed
		}
		c.on[dAlternator] = true
		c.alternator = p.Alternator.at(speed, p.Celsius, v.charge.Level)
	}
	return c
}

// ownDrag is what slows a starter that runs without the engine, Nm·s/rad at the
// crankshaft. Modelling choice: some ten amperes over its no-load current.
const ownDrag = 0.25

// joints puts in the joints of the battery's posts.
func (v *Vehicle) joints(c *circuit) {
	p := &v.par
	if p.PosFilm > 0 {
		c.on[dPosFilm], c.siemens[bPosJoint] = true, 0
		c.posFilm = film{p.Ohm[bPosJoint], p.PosFilm}
	}
	if p.NegFilm > 0 {
		c.on[dNegFilm], c.siemens[bNegJoint] = true, 0
		c.negFilm = film{p.Ohm[bNegJoint], p.NegFilm}
	}
	if v.loose {
		c.on[dPosFilm], c.siemens[bPosJoint] = false, 1/p.Loose
	}
	switch {
	case v.attached.leadOff:
		c.on[dNegFilm], c.siemens[bNegJoint] = false, 0
	case v.attached.series:
		c.on[dNegFilm], c.siemens[bNegJoint] = false, 1/(p.Ohm[bNegJoint]+burden)
	}
	if v.attached.alternatorOff {
		c.siemens[bAltCable] = 0
	}
}

// consume switches on what the state asks for.
func (v *Vehicle) consume(c *circuit) {
	q := &v.par.Consumers
	var l Load
	if v.state.door {
		l = l.plus(q.Courtesy)
	}
	if v.state.key != keyOff {
		l = l.plus(q.Ignition)
	}
	switch {
	case v.state.loads == loadsHeavy:
		l = l.plus(q.Heavy)
	case v.state.loads == loadsSmall && v.state.key == keyOff:
		l = l.plus(q.Parking)
	case v.state.loads == loadsSmall:
		l = l.plus(q.Dipped)
	}
	c.on[dConsumers], c.consumers = l != Load{}, l
	if v.state.key == keyOff {
		c.draw = q.keyOff(v.clock - v.keyed)
	} else {
		c.draw = Load{Electronics: q.Draw}
	}
	c.on[dDraw] = c.draw != Load{}
}

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
		if !v.solved || v.turned.outcome != Turns || !v.refresh(&v.turned) {
			v.turned = v.crank()
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

// pass lets time go by in the present state.
func (v *Vehicle) pass(seconds float64) {
	for seconds > 0 {
		s := v.solve()
		step := min(seconds, v.stride(s.battery, seconds))
		before := v.charge
		v.par.Battery.carry(&v.charge, s.battery, step)
		v.clock += step
		seconds -= step
		v.drift += math.Abs(v.moved(&before)) + v.wakes(step)
	}
	if v.state.loads == loadsHeavy || v.state.door || v.state.key != keyOff || v.attached.tester > 0 {
		v.history.loaded = v.clock
	}
}

// stride is the longest step that keeps the charge from moving far.
func (v *Vehicle) stride(amps, seconds float64) float64 {
	full := 3600 * v.par.Battery.Capacity * v.par.Battery.CapacityLeft
	step := 0.01 * full / max(math.Abs(amps), 1e-3)
	if v.state.key == keyOff {
		if t := v.clock - v.keyed; t < v.par.Consumers.Sleep {
			step = min(step, 60)
		}
	}
	return max(step, 1)
}

// moved is how far the battery's voltage has moved since, V.
func (v *Vehicle) moved(before *Charge) float64 {
	b := &v.par.Battery
	_, rise := b.Chemistry.restLine()
	c := &v.charge
	move := rise*math.Abs(c.Level-before.Level) + math.Abs(c.Slow-before.Slow) + math.Abs(c.Sag-before.Sag) +
		math.Abs(c.Surface[0]-before.Surface[0]) + math.Abs(c.Surface[1]-before.Surface[1])
	if c.LinkGone != before.LinkGone {
		move++
	}
	return move
}

// wakes counts as movement when the modules have just gone a step nearer to sleep.
func (v *Vehicle) wakes(step float64) float64 {
	if v.state.key != keyOff {
		return 0
	}
	q := &v.par.Consumers
	if q.keyOff(v.clock-v.keyed) != q.keyOff(v.clock-step-v.keyed) {
		return 1
	}
	return 0
}

// spend takes the charge and the heat of a crank.
func (v *Vehicle) spend(k *crank, seconds float64) {
	before := v.charge
	v.par.Battery.carry(&v.charge, k.steady.battery, seconds)
	if k.opened {
		v.exhaust()
	}
	v.drift += v.moved(&before)
	v.clock += seconds
	v.history.cranks++
	v.history.cranking += seconds
	v.history.loaded = v.clock
}
