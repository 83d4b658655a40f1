package vehicle

// reduced is a battery reduced for the solver, and what it was reduced from.
type reduced struct {
	source
	charge  Charge
	moment  moment
	rebuilt int // of the parameters; 0: none yet
}

// source reduces the battery at a moment, or gives what it was last time if nothing
// has changed.
func (v *Vehicle) source(m moment) source {
	if r := &v.reduced; r.rebuilt != v.rebuilt || r.moment != m || r.charge != v.charge {
		*r = reduced{v.par.Battery.source(&v.charge, m), v.charge, m, v.rebuilt}
	}
	return v.reduced.source
}

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
	c.motor = v.motor
	if p.Second.Fitted {
		c.on[dSecond] = true
		c.second = accumulator{p.Second.EMF, p.Second.Ohm}
	}
	if !p.Second.Fitted || v.attached.parted {
		c.siemens[bSecondLink] = 0 // parted, it still reads on its own posts
	}
	if v.state.charger {
		c.on[dCharger] = true
		c.charger = supply{volts: chemistries[p.Battery.Chemistry].charge, ohm: p.Charger.Leads, most: p.Charger.Amps}
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
		c.on[dAlternator] = true
		c.alternator = p.Alternator.at(v.engineSpeed(), p.Celsius, v.saves(v.clock-v.started))
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
