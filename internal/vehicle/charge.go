package vehicle

import "math"

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
// from memory, 1.1 to 1.25; the lower end, since the currents here are short.
const peukert = 1.1

// carry lets a current flow for a time, A out of the battery and s.
func (b *Battery) carry(c *Charge, amps, seconds float64) {
	full := 3600 * b.Capacity * b.CapacityLeft
	i := amps + b.SelfLoss
	if i > 0 {
		rate := b.Capacity / 20
		emptied := i * seconds / full
		if i > rate {
			emptied *= math.Pow(i/rate, peukert-1)
		}
		c.Level -= emptied
	} else {
		c.Level -= i * kept(c.Level) * seconds / full
	}
	c.Level = min(1, max(0, c.Level))

	_, r1 := b.resistance(c)
	toward := max(0, amps) * r1
	c.Slow += (toward - c.Slow) * -math.Expm1(-seconds/slowTime)
	b.surface(c, amps, seconds)
	if b.WeakCell > 0 {
		if sag := b.WeakCell * math.Tanh(max(0, amps)/weakCellAmps); sag > c.Sag {
			c.Sag += (sag - c.Sag) * -math.Expm1(-seconds/sagRises)
		} else {
			c.Sag = sag + (c.Sag-sag)*math.Exp(-seconds/sagFalls)
		}
	}
	if c.LinkGone && amps < 0.05*b.LinkLimit && seconds >= 1 {
		c.LinkGone = false // cooled, it touches again
	}
}

// surface lets the surface charge grow, fade, or be taken off.
func (b *Battery) surface(c *Charge, amps, seconds float64) {
	if amps < -0.01*b.Capacity {
		grown := -math.Expm1(-seconds / surfaceGrows)
		c.Surface[0] += (surfaceQuick - c.Surface[0]) * grown
		c.Surface[1] += (surfaceSlow - c.Surface[1]) * grown
		return
	}
	if c.Surface[0] == 0 && c.Surface[1] == 0 {
		return
	}
	off := math.Exp(-max(0, amps) * seconds / (3600 * surfaceAh))
	c.Surface[0] *= off * math.Exp(-seconds/quickDecay)
	c.Surface[1] *= off * math.Exp(-seconds/slowDecay)
	if c.Surface[0]+c.Surface[1] < 1e-6 {
		c.Surface = [2]float64{}
	}
}
