package vehicle

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
	set := chemistries[b.Chemistry].charge
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
	over := func(i float64) bool {
		v, _ := s.volts(-i)
		return v+i*path > set
	}
	switch {
	case most <= 0 || over(0):
		return 0
	case !over(most):
		return most
	}
	low, high := 0.0, most
	for high-low > takesWithin {
		if mid := (low + high) / 2; over(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return low
}

// takesWithin is how near the charging current is found, A.
const takesWithin = 1e-5
