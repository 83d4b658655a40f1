package vehicle

import "math"

// Alternator is the charging side of the running engine.
type Alternator struct {
	Rated   float64 // A, warm, at high speed
	Pulley  float64 // its speed over the engine's
	Set     float64 // V of the regulator at 20 °C
	Ohm     float64 // Ω by which its voltage falls under load
	Slip    float64 // share of its speed lost at full load by a worn belt
	Share   float64 // of its current left by a bad diode
	NoField bool
	// ExciterOpen is a NoField whose charge lamp does not light either.
	ExciterOpen bool
	Smart       bool    // the engine's control unit commands the voltage
	Ripple      float64 // V peak to peak at its output, when it gives all it can
	FuseOpen    bool    // its own link has blown: it is cut off from the vehicle
}

// usualAlternator is sized for a vehicle with a battery of so many Ah.
func usualAlternator(capacity float64) Alternator {
	return Alternator{
		Rated:  40 + capacity, // modelling choice: 90 A for 50 Ah, 135 A for 95 Ah
		Pulley: 2.6,           // 1.8 to 3.2, from memory
		Set:    14.4,          // ±0.3 V between makes: common practice, no source
		Ohm:    3e-3,          // 2 to 4 mΩ, modelling choice
		Share:  1,
		Ripple: 0.15, // 0.05 to 0.15 V with a battery, by the current; from memory
	}
}

// The law of the greatest current over speed reproduces a published hot curve, 16,
// 41 and 48 A at 1300, 2500 and 5000 rpm. Source: common practice, no source. Cold
// machines give a fifth more.
const (
	cutIn     = 965.0 // rpm
	riseSpeed = 847.0
	coldGain  = 1.2
	setSlope  = -10e-3 // V/K, common practice, no source
)

// at gives it as a supply at an engine speed; saving is with its voltage commanded
// down.
func (a *Alternator) at(engine, celsius float64, saving bool) supply {
	s := supply{volts: a.Set + setSlope*(celsius-20), ohm: a.Ohm}
	if saving {
		s.volts = savingVolts
	}
	s.most = a.most(engine)
	if s.most == 0 {
		s.mode = atMost
	}
	return s
}

// most is the greatest current that it gives at an engine speed.
func (a *Alternator) most(engine float64) float64 {
	n := engine * 30 / math.Pi * a.Pulley * (1 - a.Slip)
	if n <= cutIn || a.NoField || a.FuseOpen {
		return 0
	}
	return a.Rated * coldGain * a.Share * (1 - math.Exp(-(n-cutIn)/riseSpeed))
}

// Ripple. With next to no current a third of it is left, and a meter on alternating
// volts shows three tenths of peak to peak of the usual six pulses, both from memory.
// Where a diode is open, a half-wave a third of the cycle long is missing, and the
// root mean square of that is 0.35 of its depth.
const (
	rippleLeast = 1.0 / 3
	sixPulses   = 0.3
	oneMissing  = 0.35
)

// ripple is what a meter on alternating volts shows at its output while it gives a
// current at an engine speed.
func (a *Alternator) ripple(amps, engine float64) float64 {
	most := a.most(engine)
	if most == 0 {
		return 0
	}
	shown := sixPulses
	if a.Share < 1 {
		shown = oneMissing
	}
	return shown * a.Ripple * (rippleLeast + (1-rippleLeast)*math.Min(1, math.Max(0, amps/most)))
}

// A control unit that commands the voltage lets it down, to save fuel, only while
// nothing speaks against it: the battery well charged, the last start made good,
// no lamps or heaters on, and the battery neither cold nor hot. In everything else
// it holds what a regulator would. Source: common practice, no source, for what
// speaks against it; from memory for the voltage, 12.3 to 12.8 V, and the charge;
// modelling choice for time and temperatures.
const (
	savingVolts = 12.7
	savingLevel = 0.8
	makesGood   = 120.0 // s after the start
	savingFrom  = 5.0   // °C of the battery
	savingTo    = 45.0
)

// saves reports whether the voltage is commanded down at some time after the start.
func (v *Vehicle) saves(after float64) bool {
	return v.par.Alternator.Smart && v.charge.Level > savingLevel && after >= makesGood &&
		v.state.loads == loadsOff && v.charge.Celsius > savingFrom && v.charge.Celsius < savingTo
}

// Engine speeds of the running states, rad/s.
var (
	idleSpeed = rpm(800)
	fastSpeed = rpm(2000)
)

// engineSpeed is the speed of the running engine, rad/s.
func (v *Vehicle) engineSpeed() float64 {
	if v.state.engine == revving {
		return fastSpeed
	}
	return idleSpeed
}
