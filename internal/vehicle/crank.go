package vehicle

import "math"

// Outcome is what a turn of the key does.
type Outcome uint8

// The outcomes.
const (
	Silent     Outcome = iota // nothing reaches the solenoid
	NoPull                    // the solenoid is fed and does not move its plunger
	Rattles                   // it pulls in, lets go, and again
	Clunks                    // it pulls in and stays, and the motor gets nothing
	Stalls                    // the motor is fed and does not turn the engine
	Turns                     // the engine turns
	SpinsAlone                // the motor turns without the engine
)

// String names it.
func (o Outcome) String() string {
	return [...]string{"silent", "no pull-in", "rattles", "clunks", "stalls", "turns", "spins alone"}[o]
}

// crank is a turn of the key to start, held.
type crank struct {
	outcome Outcome
	speed   float64  // rad/s of the engine
	first   solution // both windings in, the contact still open
	inrush  solution // contact closed, nothing moving yet; only if it pulled in
	steady  solution // what stays while the key is held
	opened  bool     // the battery's broken link let go
}

// crank works out a turn of the key from the present state, step by step as it
// happens: the relay, the plunger, the jolt of the standing motor, the turning
// engine. It changes nothing.
func (v *Vehicle) crank() crank {
	c := v.circuit()
	k := v.turnKey(&c)
	k.opened = c.opened
	return k
}

// turnKey does it with a circuit, which it leaves as the last step had it.
func (v *Vehicle) turnKey(c *circuit) crank {
	var k crank
	k.first.volts, k.first.battery = v.now.volts, v.now.battery
	relay := v.relay(c, &k.first)
	if relay == dropsOut {
		k.outcome, k.steady = Rattles, k.first
		return k
	}
	if k.first.between(trigger, starterCase) < 1 && !v.welded() {
		k.outcome, k.steady = Silent, k.first
		return k
	}
	if !v.par.Solenoid.pulls(k.first.windings()) && !v.welded() {
		k.outcome, k.steady = NoPull, k.first
		return k
	}
	v.close(c)
	c.motor.turning = locked
	if c.siemens[bContact] == 0 {
		c.battery = v.source(settled)
		k.steady.volts, k.steady.battery = k.first.volts, k.first.battery
		v.run(c, &k.steady)
		k.outcome = Clunks
		return k
	}
	c.battery = v.source(jolt)
	k.inrush.volts, k.inrush.battery = k.first.volts, 500
	v.run(c, &k.inrush)
	if !v.welded() && !v.par.Solenoid.holds(k.inrush.windings()) {
		k.outcome = Rattles
		k.steady = v.chatter(&k.first, &k.inrush)
		return k
	}
	return v.turn(c, k)
}

// turn goes on with the contact closed: the stalled motor first, since only one
// that gets over the first compression turns.
func (v *Vehicle) turn(c *circuit, k crank) crank {
	k.steady.volts, k.steady.battery = k.first.volts, 200
	c.battery = v.source(settled)
	if !c.motor.Slips {
		// Whether it gets over the first compression is decided in the first tenth
		// of a second, by the current of the jolt.
		if c.motor.torque(k.inrush.devices[dMotor]) <= c.motor.Breakaway {
			v.run(c, &k.steady)
			k.outcome = Stalls
			return k
		}
	}
	c.motor.turning = spins
	v.run(c, &k.steady)
	k.outcome = Turns
	k.speed = c.motor.speed(k.steady.devices[dMotor])
	switch {
	case c.motor.Slips:
		k.outcome, k.speed = SpinsAlone, 0
	case k.speed <= 0:
		c.motor.turning = locked
		v.run(c, &k.steady)
		k.outcome, k.speed = Stalls, 0
		return k
	}
	if !v.welded() && !v.par.Solenoid.holds(k.steady.windings()) {
		k.outcome, k.speed = Rattles, 0
		k.steady = v.chatter(&k.first, &k.inrush)
	}
	return k
}

// refresh brings a turning engine up to date after the battery has moved a little,
// and reports whether it still turns and the solenoid still holds.
func (v *Vehicle) refresh(k *crank) bool {
	c := v.circuit()
	v.close(&c)
	c.motor.turning = spins
	v.run(&c, &k.steady)
	k.speed = c.motor.speed(k.steady.devices[dMotor])
	return k.speed > 0 && (v.welded() || v.par.Solenoid.holds(k.steady.windings()))
}

// relayState is what the start relay does with the key held.
type relayState uint8

const (
	staysOpen relayState = iota
	staysClosed
	dropsOut // it pulls in, the load takes its voltage away, and again
)

// relay solves the moment when both windings are in, or the state of rest if the
// relay does not close.
func (v *Vehicle) relay(c *circuit, s *solution) relayState {
	c.battery = v.source(begun)
	if !v.par.RelayFitted || v.stuckOn() {
		v.run(c, s)
		return staysClosed
	}
	closed := c.siemens[bRelay]
	coil := func() float64 { return s.between(coilSupply, coilEarth) }
	v.run(c, s)
	if coil() >= v.par.Relay.PullIn {
		return staysClosed // it holds more than enough for pulling in: no need to look closer
	}
	c.siemens[bRelay] = 0
	v.run(c, s)
	if coil() < v.par.Relay.PullIn {
		return staysOpen
	}
	c.siemens[bRelay] = closed
	v.run(c, s)
	if coil() < v.par.Relay.DropOut {
		return dropsOut
	}
	return staysClosed
}

// run solves the circuit. If a broken link in the battery gets too hot, it lets
// go, and the circuit is solved again without it.
func (v *Vehicle) run(c *circuit, s *solution) {
	c.solve(s)
	if c.battery.link > 0 && s.battery > linkGoes*c.battery.link {
		hot := v.charge
		hot.LinkGone = true
		m := c.battery
		c.opened = true
		c.battery = v.par.Battery.source(&hot, settled)
		c.battery.limit = m.limit
		c.solve(s)
	}
	if v.watch != nil {
		v.watch(*c, *s)
	}
}

// linkGoes is the share of the limit at which a heating link lets go. Modelling
// choice.
const linkGoes = 0.9

// joltShare is the share of a cycle of chatter with the contact closed. Source:
// travel 15 to 30 ms, release 3 to 5 ms; modelling choice.
const joltShare = 0.15

// chatter is the mean of a rattling solenoid, as a display shows it.
func (v *Vehicle) chatter(open, shut *solution) solution {
	s := *open
	mix := func(a *float64, b float64) { *a += joltShare * (b - *a) }
	for k := range s.volts {
		mix(&s.volts[k], shut.volts[k])
	}
	mix(&s.battery, shut.battery)
	for b := range s.current {
		mix(&s.current[b], shut.current[b])
	}
	for d := range s.devices {
		mix(&s.devices[d], shut.devices[d])
	}
	return s
}

// expected is the speed at which the same vehicle would turn at the same
// temperature if it had no fault.
func (v *Vehicle) expected() float64 {
	if v.usual == 0 {
		v.usual = v.soundSpeed(v.base.Celsius)
	}
	return v.usual
}

// soundSpeed is the speed at which the same vehicle would turn at a temperature if it
// had no fault.
func (v *Vehicle) soundSpeed(celsius float64) float64 {
	healthy := Vehicle{par: v.base, charge: v.base.Charge, rebuilt: 1}
	healthy.par.Celsius = celsius
	healthy.charge.Level = max(healthy.charge.Level, 0.9)
	healthy.warm()
	healthy.state = state{key: keyStart, engine: cranking}
	c := healthy.circuit()
	healthy.close(&c)
	c.motor.turning = spins
	var s solution
	healthy.run(&c, &s)
	return max(c.motor.speed(s.devices[dMotor]), 1)
}

// Ear is how somebody judges the speed at which an engine turns. The nought of it hears
// truly.
type Ear struct {
	Dull float64 // what is usual sounds slower by this share, or faster
	Warm float64 // how far the usual is that of a warm engine, 0 to 1, not that of this cold
}

// Listen has somebody with such an ear at the vehicle.
func (v *Vehicle) Listen(e Ear) { v.ear = e }

// warmCelsius is the temperature of an engine as most people know its sound, °C.
// Modelling choice.
const warmCelsius = 20

// soundsSlow reports whether people say of a speed that the engine turns slowly.
func (v *Vehicle) soundsSlow(speed float64) bool {
	usual := v.expected()
	if v.ear.Warm > 0 && v.base.Celsius < warmCelsius {
		usual *= math.Pow(v.soundSpeed(warmCelsius)/usual, v.ear.Warm)
	}
	return speed < slow*usual*(1-v.ear.Dull)
}

// slow is the share of the usual speed under which people say that it turns
// slowly. Source: guess.
const slow = 0.88

// coldStart is the share of its usual speed at which an engine still starts in the
// weather that it is met in, where its own start speed is higher: glow plugs and more
// fuel see to that. A vehicle without a fault starts. Modelling choice.
const coldStart = 0.8

// fires reports whether the engine would start at this crank.
func (v *Vehicle) fires(k *crank) bool {
	if k.outcome != Turns || v.par.Seen.Engine != "sound" || v.par.Seen.Immobilised {
		return false
	}
	return k.speed >= v.par.Engine.StartSpeed || k.speed >= coldStart*v.expected()
}
