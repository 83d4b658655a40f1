package vehicle

import "math"

// Charger is a bench charger: a set current up to a set voltage.
type Charger struct {
	Amps    float64 // at most
	Boost   float64 // A of its recovery setting
	Refuses float64 // V under which it does not start
	Leads   float64 // Ω
}

// usualCharger suits a battery of so many Ah: a tenth of them, as common practice
// has it (no source). It refuses under 7.5 V, the upper end of what chargers do
// (2 to 7.5 V, from memory).
func usualCharger(capacity float64) Charger {
	return Charger{Amps: capacity / 10, Boost: 1.5, Refuses: 7.5, Leads: 15e-3}
}

// CutOff is the current, as a share of the set one, at which the charger finishes.
// Source: from memory.
const cutOff = 0.1

// Laws of a charge. Source: efficiency from memory; the growth of surface charge is
// a modelling choice.
const (
	efficiency     = 0.95
	efficiencyFull = 0.60
	gassingLevel   = 0.9
	surfaceQuick   = 0.30 // V
	surfaceSlow    = 0.20
	surfaceGrows   = 600.0 // s
	quickDecay     = 300.0 // s
	slowDecay      = 9000.0
	surfaceAh      = 0.08 // Ah of discharge that takes off all but a third
	slowTime       = 300.0
	sagRises       = 5.0   // s
	sagFalls       = 400.0 // s, modelling choice
)

// kept is the share of the charging current that stays.
func kept(level float64) float64 {
	if level < gassingLevel {
		return efficiency
	}
	return efficiency - (efficiency-efficiencyFull)*min(1, (level-gassingLevel)/(1-gassingLevel))
}

// peukert is the exponent by which a high current empties a battery sooner. Source:
// from memory, 1.1 to 1.25.
const peukert = 1.15

// carry lets a current flow for a time, A out of the battery and s.
func (b *Battery) carry(c *Charge, amps, seconds float64) {
	full := 3600 * b.Capacity * b.CapacityLeft
	i := amps + b.SelfLoss
	if i > 0 {
		rate := b.Capacity / 20
		c.Level -= i * seconds / full * math.Pow(max(1, i/rate), peukert-1)
	} else {
		c.Level -= i * kept(c.Level) * seconds / full
	}
	c.Level = min(1, max(0, c.Level))

	_, r1 := b.resistance(c)
	toward := max(0, amps) * r1
	c.Slow += (toward - c.Slow) * -math.Expm1(-seconds/slowTime)
	if amps > 0 {
		off := math.Exp(-amps * seconds / (3600 * surfaceAh))
		c.Surface[0] *= off
		c.Surface[1] *= off
	}
	if amps < -0.01*b.Capacity {
		grown := -math.Expm1(-seconds / surfaceGrows)
		c.Surface[0] += (surfaceQuick - c.Surface[0]) * grown
		c.Surface[1] += (surfaceSlow - c.Surface[1]) * grown
	} else {
		c.Surface[0] *= math.Exp(-seconds / quickDecay)
		c.Surface[1] *= math.Exp(-seconds / slowDecay)
	}
	if sag := b.WeakCell * math.Tanh(max(0, amps)/weakCellAmps); sag > c.Sag {
		c.Sag += (sag - c.Sag) * -math.Expm1(-seconds/sagRises)
	} else {
		c.Sag = sag + (c.Sag-sag)*math.Exp(-seconds/sagFalls)
	}
	if c.LinkGone && amps < 0.05*b.LinkLimit && seconds >= 1 {
		c.LinkGone = false // cooled, it touches again
	}
}

// charged says how a charge went.
type charged struct {
	ended    chargeEnd
	volts    float64 // at the posts when it ended
	amps     float64
	ampHours float64 // put in
	hours    float64
}

type chargeEnd uint8

const (
	running  chargeEnd = iota // the time ran out
	finished                  // the current had fallen away
	refused                   // the charger did not start
	hot                       // the case was hot or it gassed hard: taken off
)

// chargeFor charges from a bench charger for a time, through a path of so many Ω,
// while the vehicle takes some of it.
//
// A charge is long and its current changes slowly, so it is done on the battery's
// own curve without the rest of the network.
func (b *Battery) chargeFor(c *Charge, ch *Charger, amps, path, taken, seconds float64) charged {
	s := b.source(c, settled)
	if v, _ := s.volts(0); v < ch.Refuses || b.Reversed {
		return charged{ended: refused, volts: v}
	}
	set := b.Chemistry.ChargeVolts()
	var r charged
	for left := seconds; left > 0; {
		step := min(left, 300)
		s = b.source(c, settled)
		i := s.takes(set, path+ch.Leads, amps-taken)
		b.carry(c, -i, step)
		left -= step
		r.hours += step / 3600
		r.ampHours += i * step / 3600
		r.amps = i
		r.volts, _ = s.volts(-i)
		if b.CellLoss > 1 && i > 0.02*b.Capacity && r.hours > 0.4 {
			r.ended = hot
			return r
		}
		if i < cutOff*amps && r.hours > 0.2 {
			r.ended = finished
			return r
		}
	}
	return r
}

// takes is the charging current from a supply at a set voltage behind a path, no
// more than the most given.
func (s *source) takes(set, path, most float64) float64 {
	fits := func(i float64) bool {
		v, _ := s.volts(-i)
		return v+i*path <= set
	}
	if most <= 0 || !fits(0) {
		return 0
	}
	if fits(most) {
		return most
	}
	low, high := 0.0, most
	for high-low > 1e-4 {
		mid := (low + high) / 2
		if fits(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}
