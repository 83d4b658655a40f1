package vehicle

import "math"

// circuit is the network in one state: what is closed, what is switched on, and
// how much polarisation the battery has.
type circuit struct {
	siemens [branches]float64
	on      [devices]bool
	battery source

	posFilm, negFilm film
	consumers, draw  Load
	motor            motor
	alternator       supply
	charger          supply
	second, booster  accumulator
	tester           float64 // A
	chord            bool    // electronics are drawn as chords: see Load.companion
	opened           bool    // the battery's broken link has let go in this state
}

// accumulator is a second battery or a booster: a voltage behind a resistance.
type accumulator struct{ volts, ohm float64 }

// solution is the steady state of a circuit.
type solution struct {
	volts    vector
	battery  float64 // A out of the battery
	current  [branches]float64
	devices  [devices]float64
	passes   int
	residual float64 // V by which the last pass still moved a device
}

// between gives the voltage from one node to another.
func (s *solution) between(a, b Node) float64 { return s.volts[a] - s.volts[b] }

// Bounds of the iteration. A pass on tangents leaves an error of the order of the
// square of what it moved, so one that moved a device by less than tangentMoves
// leaves microvolts; one on chords leaves about a hundredth of it.
const (
	tangentMoves = 3e-3 // V
	chordMoves   = 2e-5
	enoughPasses = 12 // after which tangents are given up
	mostPasses   = 80
)

// solve finds the steady state.
//
// The nodes' equations are linear but for the devices and the battery. Each pass
// replaces every device by its straight line at the voltage last found, factors
// the matrix, and reduces the network to what the battery's post sees of it: a
// voltage with no current and a resistance. There the battery's own curve is met
// exactly, in one unknown, and the other nodes follow. What a device's curve is
// off its line is small beside the conductance of the wiring, so few passes are
// needed.
//
// The battery stands in the matrix as a conductance with a current source beside
// it. Taking it out, to treat the rest as one source, would leave the network
// held by its leaks alone and lose all precision.
func (c *circuit) solve(s *solution) {
	norton := 1 / (c.battery.ohm + 1e-3)
	base := admittance(&c.siemens, norton)
	base.factor(0, firstTouched) // the same in every pass

	at := c.start(s)
	for s.passes = 1; ; s.passes++ {
		m := base
		var v vector
		for d := range devices {
			if c.on[d] {
				g, i := c.companion(d, at[d])
				m.add(across[d][0], across[d][1], g)
				v.inject(across[d][1], across[d][0], i-g*at[d])
			}
		}
		steady := m.factor(firstTouched, nodes)
		var j float64
		if steady {
			m.forward(&v)
			unit := m[positivePost][positivePost]
			j, steady = c.battery.meet(v[positivePost]*unit, unit, norton, s.battery)
		}
		if !steady {
			// The electronics' falling characteristic outweighs all else.
			if c.chord {
				panic("a network of positive conductances has no steady state")
			}
			c.chord = true
			continue
		}
		v[positivePost] += j
		m.back(&v)
		s.volts = v
		s.battery = j - norton*v[positivePost]
		if c.follow(&at, s) || s.passes >= mostPasses {
			break
		}
		c.chord = c.chord || s.passes > enoughPasses
	}
	c.currents(s)
}

// start guesses the voltages of the devices: what they last were, or what is
// usual.
func (c *circuit) start(s *solution) (at [devices]float64) {
	if s.volts[positivePost] != 0 {
		for d := range devices {
			at[d] = s.between(across[d][0], across[d][1])
		}
		return at
	}
	for d := range devices {
		at[d] = 12
	}
	at[dPosFilm], at[dNegFilm] = 0.05, 0.05
	return at
}

// companion gives a device's companion model, its conductance and current at a voltage.
func (c *circuit) companion(d device, v float64) (g, i float64) {
	switch d {
	case dPosFilm:
		return c.posFilm.companion(v)
	case dNegFilm:
		return c.negFilm.companion(v)
	case dConsumers:
		return c.consumers.companion(v, c.chord)
	case dDraw:
		return c.draw.companion(v, c.chord)
	case dMotor:
		return c.motor.companion(v)
	case dSecond:
		ohm := c.second.ohm
		if v > c.second.volts {
			ohm *= secondTakes
		}
		return 1 / ohm, (v - c.second.volts) / ohm
	case dAlternator:
		return c.alternator.companion(v)
	case dCharger:
		return c.charger.companion(v)
	case dBooster:
		return 1 / c.booster.ohm, (v - c.booster.volts) / c.booster.ohm
	default: // dTester: a pile set to its current, which it cannot hold on the last volts
		if v >= pileVolts {
			return 0, c.tester
		}
		return c.tester / pileVolts, c.tester / pileVolts * v
	}
}

// secondTakes is how much less a second battery takes on charge than it gives, by its
// resistance: some 25 A at the alternator's voltage. Modelling choice.
const secondTakes = 8

// pileVolts is the voltage under which a load tester is a plain resistance.
// Source: modelling choice.
const pileVolts = 3

// follow moves the devices to the voltages found and reports whether all have
// settled.
func (c *circuit) follow(at *[devices]float64, s *solution) bool {
	s.residual = 0
	steady := true
	for d := range devices {
		if !c.on[d] {
			continue
		}
		v := s.between(across[d][0], across[d][1])
		switch d {
		case dMotor:
			if c.motor.turning == spins && c.motor.Saturation > 0 {
				_, i := c.motor.companion(v)
				s.residual = max(s.residual, c.motor.follow(i))
			}
			continue
		case dBooster:
			continue
		case dAlternator:
			steady = !c.alternator.follow(v) && steady
			continue
		case dCharger:
			steady = !c.charger.follow(v) && steady
			continue
		}
		s.residual = max(s.residual, math.Abs(v-at[d]))
		if c.chord && s.passes > enoughPasses {
			// Behind a bad joint electronics can swing between on and off: go half way.
			v = (v + at[d]) / 2
		}
		at[d] = v
	}
	if c.chord {
		return steady && s.residual < chordMoves
	}
	return steady && s.residual < tangentMoves
}

// currents fills in what flows where.
func (c *circuit) currents(s *solution) {
	for b, g := range c.siemens {
		s.current[b] = g * s.between(wiring[b].from, wiring[b].to)
	}
	for d := range devices {
		s.devices[d] = 0
		if c.on[d] {
			_, s.devices[d] = c.companion(d, s.between(across[d][0], across[d][1]))
		}
	}
}

// agreed is how far network and battery may be apart before the last step of the
// search, V. That step leaves of the order of its square.
const agreed = 1e-4

// meet finds the current source j at which network and battery agree: the network
// puts v0 + z j on the post, the battery gives the rest of j that its conductance
// does not take. The difference falls with j, so a bracketed Newton search always
// ends; where it does not fall, because electronics take the more the lower the
// voltage, ok is false.
func (b *source) meet(v0, z, norton, guess float64) (j float64, ok bool) {
	low, high := math.Inf(-1), math.Inf(1)
	// j from a guess of the current: i = j - norton (v0 + z j)
	turn := 1 - norton*z
	j = (guess + norton*v0) / math.Max(turn, 1e-9)
	if math.Abs(j*turn) > 5000 || turn < 1e-9 {
		j = norton * b.emf
	}
	for range 200 {
		v := v0 + z*j
		i := j - norton*v
		vb, slope := b.volts(i)
		off := vb - v
		if off > 0 {
			low = j
		} else {
			high = j
		}
		fall := z - slope*turn
		if fall <= 0 {
			return 0, false
		}
		step := off / fall
		if math.Abs(off) < agreed || math.Abs(step) <= 1e-13*math.Abs(j) {
			return j + step, true
		}
		next := j + step
		if next <= low || next >= high {
			if math.IsInf(low, 0) || math.IsInf(high, 0) {
				next = j + math.Copysign(max(math.Abs(step), 1), off)
			} else {
				next = (low + high) / 2
			}
		}
		j = next
	}
	return j, true
}
