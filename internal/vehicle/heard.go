package vehicle

import "math"

// engineTurned says what a person at the vehicle hears and sees when the key is
// turned.
func (v *Vehicle) engineTurned() string {
	k := v.present()
	switch {
	case v.stuckOn() || v.welded():
		return "will not stop"
	case k.outcome == SpinsAlone:
		return word(v.par.Starter.Grinds, "grinds", "starter spins alone")
	case k.outcome == Rattles:
		return "rattle"
	case k.outcome == Clunks:
		return "one clunk"
	case k.outcome == Stalls:
		return word(v.par.Engine.Breakaway > 1e4, "one clunk", "jerked once")
	case k.outcome == NoPull && v.clicks(k):
		return "one clunk"
	case k.outcome == NoPull || k.outcome == Silent:
		return word(v.lampsStay(k), "silence lamps bright", "silence lamps fade")
	}
	switch {
	case v.par.Seen.Engine == "no compression":
		return "too easily"
	case v.par.Seen.Engine == "kicks back":
		return "kicked back"
	case v.soundsSlow(k.speed):
		return "slowly"
	}
	return "normally"
}

// clicks reports whether a plunger that does not pull in is heard to move: a weak
// pull still stirs it. Modelling choice.
func (v *Vehicle) clicks(k *crank) bool {
	pull := math.Abs(k.first.windings())
	return v.par.Solenoid.PullAmps > 0 && pull > clickShare*v.par.Solenoid.PullAmps
}

const clickShare = 0.6

// lampsStay reports whether the lamps stay bright with the key held. Modelling
// choice: a sixth less voltage is seen.
func (v *Vehicle) lampsStay(k *crank) bool {
	return k.steady.between(lampFeed, body) > 0.83*v.par.Battery.RestVoltage(v.charge.Level, v.charge.Celsius)
}

// present is the present turn of the key, or one that is only thought of. The
// thought is kept: if nothing else has changed when the key is turned in earnest,
// only the turning engine has to be brought up to date.
func (v *Vehicle) present() *crank {
	if v.isCranking() {
		v.solve()
		return &v.turned
	}
	was := v.state
	v.state = state{key: keyStart, engine: cranking}
	if now := v.circumstances(); v.thought != now {
		v.turned, v.thought = v.crank(), now
	}
	v.state = was
	return &v.turned
}

// thought is what a turn of the key depends on, as far as it can change.
type thought struct {
	state    state
	attached attached
	loose    bool
	emf      int // in steps of what a crank may be out by
	celsius  float64
	rebuilt  int
}

// circumstances gives those of now.
func (v *Vehicle) circumstances() thought {
	s := v.source(settled)
	return thought{v.state, v.attached, v.loose, int(math.Round(s.emf / driftsCranking)), v.par.Celsius, v.rebuilt}
}

// suppose works out what a turn of the key would do with something changed, and
// leaves the vehicle as it is.
func (v *Vehicle) suppose(change func(*Vehicle)) crank {
	w := *v
	w.state = state{key: keyStart, engine: cranking}
	change(&w)
	return w.crank()
}

// complaint is what the customer says: what was drawn for them, or what the
// vehicle does at a turn of the key.
func (v *Vehicle) complaint() string {
	if v.par.Seen.Complaint != "" {
		return v.par.Seen.Complaint
	}
	switch v.engineTurned() {
	case "silence lamps bright":
		return "silent lamps bright"
	case "silence lamps fade":
		return "silent lamps die"
	case "one clunk", "jerked once":
		return "one clunk"
	case "rattle":
		return "rattle"
	case "slowly":
		return "groans slowly"
	case "starter spins alone":
		return "whirrs only"
	case "grinds":
		return "grinds"
	case "too easily":
		return "spins too easily"
	case "kicked back":
		return "kicks back"
	case "will not stop":
		return "keeps running"
	}
	if v.par.Seen.Engine == "does not fire" || v.par.Seen.Immobilised {
		return "turns no fire"
	}
	return "starts now"
}
