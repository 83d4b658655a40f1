package vehicle

import "math"

// Load is a set of consumers, by how their current follows the voltage. A at 12 V.
type Load struct {
	Lamps       float64 // filaments
	Heaters     float64 // plain resistances, and motors near enough
	Electronics float64 // the same power at any voltage, off when it is too low
}

// plus adds two sets.
func (l Load) plus(m Load) Load {
	return Load{l.Lamps + m.Lamps, l.Heaters + m.Heaters, l.Electronics + m.Electronics}
}

// Consumers are what a vehicle can switch on. Source: from memory; they vary from
// vehicle to vehicle.
type Consumers struct {
	Courtesy Load // a door open
	Ignition Load // after pump and glow plugs have done
	Parking  Load // small loads with the ignition off
	Dipped   Load // small loads with the ignition on
	Heavy    Load // dipped lamps, blower and rear screen

	Awake  float64 // A in the first minute or two after the key went off
	Drowsy float64 // A until the modules sleep
	Asleep float64 // A then
	Sleep  float64 // s after which they sleep
	Draw   float64 // A of a fault that draws with the key off
}

// usualConsumers are those of the standard vehicle.
func usualConsumers() Consumers {
	return Consumers{
		Courtesy: Load{Lamps: 2},
		Ignition: Load{Electronics: 3.5, Heaters: 1.5},
		Parking:  Load{Lamps: 3},
		Dipped:   Load{Lamps: 11},
		Heavy:    Load{Lamps: 12, Heaters: 34},
		Awake:    4, Drowsy: 0.8, Asleep: 0.02, Sleep: 20 * 60,
	}
}

// awakeFor is how long the modules stay fully awake, s. Source: from memory.
const awakeFor = 90

// keyOff is what draws at a time after the key went off. Whole vehicles asleep
// take 10 to 15 mA (common practice, no source).
func (c *Consumers) keyOff(after float64) Load {
	switch {
	case after < awakeFor:
		return Load{Electronics: c.Awake + c.Draw}
	case after < c.Sleep:
		return Load{Electronics: c.Drowsy + c.Draw}
	}
	return Load{Electronics: c.Asleep + c.Draw}
}

// Laws of the consumers. Source: the exponent of a filament is from memory; the
// voltages between which electronics fade are a modelling choice.
const (
	filament     = 0.55
	fadeFrom     = 9.0
	fadeTo       = 6.0
	filamentDark = 0.3 // V under which a filament is taken as a plain resistance
)

// companion gives conductance and current at a voltage. The conductance is the tangent,
// which is negative for electronics at full power, or with chord the current over
// the voltage there: slower to settle and never negative.
func (l *Load) companion(v float64, chord bool) (g, i float64) {
	g = l.Heaters / 12
	i = g * v
	if l.Lamps > 0 {
		at := max(v, filamentDark)
		lamp := l.Lamps * math.Pow(at/12, filament)
		if v > filamentDark {
			g += filament * lamp / v
			i += lamp
		} else {
			g += lamp / at
			i += lamp / at * v
		}
	}
	switch {
	case l.Electronics == 0 || v <= fadeTo:
	case v < fadeFrom:
		s := l.Electronics * 12 / fadeFrom / (fadeFrom - fadeTo)
		g += s
		i += s * (v - fadeTo)
	default:
		e := l.Electronics * 12 / v
		if chord {
			g += e / v
		} else {
			g -= e / v
		}
		i += e
	}
	return g, i
}

// film is a corroded joint: a metallic path and, beside it, a layer that lets more
// through the more volts stand over it. It looks bad to an ohmmeter and a small
// lamp, and better to a starter. The law is a modelling choice.
type film struct{ metal, layer float64 }

const filmVolts = 0.3

func (f *film) companion(v float64) (g, i float64) {
	u := 1 + v*v/(filmVolts*filmVolts)
	// resistance r = metal + layer/u, so i = v u / (metal u + layer)
	d := f.metal*u + f.layer
	du := 2 * v / (filmVolts * filmVolts)
	return u/d + v*du*f.layer/(d*d), v * u / d
}
