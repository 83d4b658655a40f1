package vehicle

import "math"

// Trace is a crank in time, sampled at even steps: what happens too quickly for
// the display.
type Trace struct {
	Step  float64   // s between samples
	Volts []float64 // between the two points asked for
	Amps  []float64 // out of the battery
	Speed []float64 // of the engine, rad/s
	Chops int       // how often the contact opened again
}

// Steps of the integration and of the record, s. The electrical time constant is
// about 2 ms, that of the pull-in winding 0.1 ms.
const (
	tick      = 50e-6
	perSample = 2      // ticks
	coarse    = 250e-6 // for a hold that takes in a hundred times as much
)

// Times of the solenoid and the battery. Source: travel 15 to 30 ms, release 3 to
// 5 ms and 10 to 20 ms back: modelling choices; the battery's quick time constant
// 1 to 5 s, from memory.
const (
	travelTime  = 0.020
	letGoTime   = 0.004
	returnTime  = 0.015
	relayTime   = 0.003
	quickTime   = 3.0
	freshTime   = 0.050 // over which the acid in the plates is used up
	dragSpeed   = 0.3   // rad/s at which drag has its full value
	relinearise = 0.3   // V by which the consumers may move before they are set anew
)

// moving is what changes in a crank.
type moving struct {
	amps  float64 // of the motor
	speed float64 // rad/s, engine
	angle float64
	quick float64 // V of the battery's quick polarisation
}

func (a moving) plus(b moving, t float64) moving {
	return moving{a.amps + t*b.amps, a.speed + t*b.speed, a.angle + t*b.angle, a.quick + t*b.quick}
}

// transient integrates a crank.
//
// The motor's current is a state, since its armature has inductance; all else in
// the wiring follows at once. So the network is solved with the motor as a current
// source: v = v0 + z j + y i, with j the battery's part and i the motor's. The
// three solutions are kept while nothing switches, and each step costs only the
// meeting of the battery's curve.
type transient struct {
	v        *Vehicle
	c        circuit
	motor    motor
	quickOhm float64
	fresh    source
	limit    float64
	extra    float64 // by which the limit is raised at first

	v0, z, y  vector
	norton    float64
	henry     float64 // the armature's, or more where its current dies in less than a tick
	linearAt  float64
	guess     float64
	volts     vector
	battery   float64
	closed    bool // solenoid contact
	relay     bool
	plunger   float64 // s that the plunger has been pulled or has been let go
	returning float64
	drop      float64 // s that the relay has been under its voltage
	time      float64
	tick      float64 // s, of the integration
}

// Crank integrates a turn of the key over a time, from the moment at which the
// windings are fed, and records the voltage between two points. The vehicle is
// left as it was.
func (v *Vehicle) Crank(red, black string, seconds float64) (*Trace, error) {
	r, b, err := v.probes(red, black)
	if err != nil {
		return nil, err
	}
	return v.trace(r, b, seconds, tick), nil
}

// trace integrates.
func (v *Vehicle) trace(red, black Node, seconds, tick float64) *Trace {
	was := v.state
	v.state.key, v.state.engine = keyStart, cranking
	defer func() { v.state = was }()
	return v.begin(false, tick).record(red, black, seconds)
}

func (t *transient) record(red, black Node, seconds float64) *Trace {
	var x moving
	samples := int(math.Round(seconds / (t.tick * perSample)))
	out := &Trace{Step: t.tick * perSample}
	for range samples {
		t.rates(x)
		out.Volts = append(out.Volts, t.volts[red]-t.volts[black])
		out.Amps = append(out.Amps, t.battery)
		out.Speed = append(out.Speed, x.speed)
		for range perSample {
			x = t.step(x)
			if t.switches() {
				out.Chops++
			}
		}
	}
	return out
}

// begin sets up the network at the turn of the key; shut, with the contact already
// closed.
func (v *Vehicle) begin(shut bool, tick float64) *transient {
	t := &transient{v: v, tick: tick, c: v.circuit(), relay: true, closed: shut}
	t.motor = t.c.motor
	t.c.on[dMotor] = false
	t.c.battery = v.source(begun)
	t.fresh = t.c.battery
	t.limit = t.c.battery.limit
	_, t.quickOhm = v.par.Battery.resistance(&v.charge)
	t.linearAt = 12
	t.extra = 1
	if shut {
		v.close(&t.c)
	}
	t.build()
	return t
}

// build factors the network for what is closed now.
func (t *transient) build() {
	c := &t.c
	siemens := c.siemens
	if !t.closed {
		siemens[bContact] = 0
	} else {
		siemens[bContact] = t.v.siemens[bContact]
	}
	if !t.relay {
		siemens[bRelay] = 0
	}
	t.norton = 1 / (t.fresh.ohm + 1e-3)
	m := admittance(&siemens, t.norton)
	t.v0, t.z, t.y = vector{}, vector{}, vector{}
	for d := range devices {
		if c.on[d] {
			at := t.linearAt
			if d == dPosFilm || d == dNegFilm {
				at = t.volts[across[d][0]] - t.volts[across[d][1]]
			}
			g, i := c.companion(d, at)
			m.add(across[d][0], across[d][1], g)
			t.v0.inject(across[d][1], across[d][0], i-g*at)
		}
	}
	t.z[positivePost] = 1
	t.y.inject(starterCase, starterMotor, 1)
	if !m.factor(0, nodes) {
		c.chord = true
		t.build()
		return
	}
	for _, v := range []*vector{&t.v0, &t.z, &t.y} {
		m.forward(v)
		m.back(v)
	}
	t.henry = max(t.motor.Henry, t.tick*(t.motor.Ohm-t.y[starterMotor]+t.y[starterCase]))
}

// rates gives how fast everything changes, and leaves the voltages behind.
func (t *transient) rates(x moving) moving {
	b := t.fresh
	b.emf -= x.quick
	b.limit = t.limit * (1 + t.extra*math.Exp(-t.time/freshTime))
	v0 := t.v0[positivePost] + t.y[positivePost]*x.amps
	j, ok := b.meet(v0, t.z[positivePost], t.norton, t.guess)
	if !ok && !t.c.chord {
		t.c.chord = true
		t.build()
		return t.rates(x)
	}
	for k := range nodes {
		t.volts[k] = t.v0[k] + t.z[k]*j + t.y[k]*x.amps
	}
	t.battery = j - t.norton*t.volts[positivePost]
	t.guess = t.battery

	m := &t.motor
	k, _ := m.constant(math.Abs(x.amps))
	brush := 0.0
	if t.closed {
		brush = m.Brush * math.Tanh(x.amps/5)
	}
	over := t.volts[starterMotor] - t.volts[starterCase]
	var d moving
	d.amps = (over - m.Ohm*x.amps - brush - k*m.Ratio*x.speed) / t.henry
	d.quick = (t.battery*t.quickOhm - x.quick) / quickTime
	d.angle = x.speed
	d.speed = t.torque(x, k) / m.Inertia
	if !t.closed && x.speed == 0 {
		d.speed = 0
	}
	return d
}

// torque is what is left to speed the engine up.
func (t *transient) torque(x moving, k float64) float64 {
	m := &t.motor
	full := math.Tanh(x.speed / dragSpeed)
	push := m.Ratio * m.Efficiency * k * (x.amps - m.NoLoad*full)
	gas := m.Gas * math.Sin(float64(m.Cylinders)/2*x.angle)
	if x.speed == 0 && push < m.Breakaway {
		return 0
	}
	return push - m.Drag*full - m.Viscous*x.speed - gas
}

// step is one tick of the classical Runge-Kutta rule.
func (t *transient) step(x moving) moving {
	a := t.rates(x)
	b := t.rates(x.plus(a, t.tick/2))
	c := t.rates(x.plus(b, t.tick/2))
	d := t.rates(x.plus(c, t.tick))
	sum := moving{}.plus(a, 1).plus(b, 2).plus(c, 2).plus(d, 1)
	x = x.plus(sum, t.tick/6)
	if x.speed < 0 {
		x.speed = 0
	}
	t.time += t.tick
	t.rates(x)
	return x
}

// switches lets plunger and relay move and rebuilds the network if they did; it
// reports whether the contact opened again.
func (t *transient) switches() (opened bool) {
	windings := (t.volts[trigger]-t.volts[starterMotor])*t.c.siemens[bPull] + (t.volts[trigger]-t.volts[starterCase])*t.c.siemens[bHold]
	s := &t.v.par.Solenoid
	was, relayWas := t.closed, t.relay
	switch {
	case s.Welded:
		t.closed = true
	case t.closed:
		if t.plunger = t.counts(!s.holds(windings), t.plunger); t.plunger >= letGoTime {
			t.closed, t.plunger, t.returning = false, 0, returnTime
			opened = true
		}
	case t.returning > 0:
		t.returning -= t.tick
	default:
		if t.plunger = t.counts(s.pulls(windings), t.plunger); t.plunger >= travelTime && t.v.siemens[bContact] > 0 {
			t.closed, t.plunger = true, 0
		}
	}
	t.relays()
	moved := math.Abs(t.volts[lampFeed] - t.volts[body] - t.linearAt)
	if t.closed != was || t.relay != relayWas || moved > relinearise {
		t.linearAt = t.volts[lampFeed] - t.volts[body]
		t.build()
	}
	return opened
}

// counts adds a tick while something lasts and begins anew when it does not.
func (t *transient) counts(lasts bool, so float64) float64 {
	if lasts {
		return so + t.tick
	}
	return 0
}

// relays lets the start relay drop out and pull in.
func (t *transient) relays() {
	if !t.v.par.RelayFitted || t.v.stuckOn() {
		return
	}
	coil := t.volts[coilSupply] - t.volts[coilEarth]
	under := coil < t.v.par.Relay.DropOut
	if !t.relay {
		under = coil >= t.v.par.Relay.PullIn
	}
	if t.drop = t.counts(under, t.drop); t.drop >= relayTime {
		t.relay, t.drop = !t.relay, 0
	}
}
