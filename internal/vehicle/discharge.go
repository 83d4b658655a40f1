package vehicle

import "math"

// moment says how much polarisation has built up.
type moment uint8

const (
	settled moment = iota // the quick polarisation is complete: some seconds into a load
	begun                 // it has not begun: the first tenth of a second
	jolt                  // the first milliseconds, when the acid in the plates is still fresh
)

// Constants of the discharge curve. All modelling choices: the form is the usual
// one (source, activation, limiting current, resistance), the values are fitted
// to ratings and load tests. Ceraolo, IEEE Trans. Power Systems 15(4), 2000, and
// SAE 2007-01-0778 have models of this class.
const (
	activationVolts  = 0.18   // V at 25 °C
	activationShare  = 0.0156 // of the rating
	activationSlope  = 2500.0 // K
	limitVolts       = 0.5    // V
	limitMultiple    = 5.0    // of the rating
	limitSlope       = 1200.0 // K
	resistanceSlope  = 820.0  // K, the trend of the acid's conductivity
	chargeActivation = 0.25   // V
	gassingVolts     = 1.3    // V
	gassingFrom      = 0.75   // of full charge
	gassingRate      = 0.05   // of the capacity, 1/h
	acceptVolts      = 14.4
	acceptRate       = 0.8 // 1/h at acceptVolts and 25 °C
	acceptSlope      = 0.35
	acceptDouble     = 12.0  // K
	acceptFloor      = 0.002 // what a full battery still takes
	frozenResistance = 50.0
	frozenLimit      = 0.02
	weakCellAmps     = 20.0 // A at which a failing cell has lost three quarters of WeakCell
)

// source is a battery at one charge and moment, reduced to what the solver needs.
type source struct {
	emf      float64 // V at no current
	ohm      float64 // Ω in all
	act      float64 // V of activation
	twoIx    float64 // A
	limit    float64 // A
	link     float64 // A at which the hot link lets go, 0 none
	linkOhm  float64
	weak     float64 // V a failing cell can fall
	sag      float64 // V it is down already
	reversed bool

	gas      float64 // V of gassing at the rate gasAmps
	gasAmps  float64
	accept   float64 // A taken at acceptAt
	acceptAt float64 // V
}

// source reduces the battery.
func (b *Battery) source(c *Charge, m moment) source {
	en := b.Rated / b.Standard.PerEN
	cold := colder(c.Celsius)
	limit := limitMultiple * en * b.Health * math.Pow(max(c.Level, 1e-3), 1.25) * math.Exp(-limitSlope*cold)
	r0, r1 := b.resistance(c)
	capacity := b.Capacity * b.CapacityLeft
	s := source{
		emf:      b.RestVoltage(c.Level, c.Celsius) - b.CellLoss + c.Surface[0] + c.Surface[1] - c.Slow,
		ohm:      r0 + r1 + b.Link,
		act:      activationVolts * (c.Celsius + kelvin) / 298.15,
		twoIx:    2 * activationShare * en * math.Exp(-activationSlope*cold),
		limit:    limit,
		weak:     b.WeakCell,
		sag:      c.Sag,
		reversed: b.Reversed,
		gas:      gassingVolts * max(0, c.Level-gassingFrom),
		gasAmps:  gassingRate * capacity,
		accept:   acceptRate * math.Exp2((c.Celsius-25)/acceptDouble) * b.Acceptance * capacity * (1 - c.Level + acceptFloor/b.Health),
		acceptAt: acceptVolts * (1 - b.CellLoss/12.6), // a cell less gasses at a sixth less
	}
	switch {
	case b.LinkLimit > 0 && c.LinkGone:
		s.ohm += b.LinkOpen - b.Link
	case b.LinkLimit > 0:
		s.ohm -= b.Link
		s.link, s.linkOhm = b.LinkLimit, b.Link
	}
	if m != settled {
		s.ohm -= r1
	}
	if m == jolt {
		s.limit *= 2
	}
	if b.Frozen(c) {
		s.limit *= frozenLimit
		s.accept *= frozenLimit
	}
	return s
}

// rated gives the resistance of the battery, new and full, at the temperature of
// its rating: what leaves exactly the standard's voltage at the rated current.
func (b *Battery) rated() float64 {
	if b.atRating == 0 {
		en := b.Rated / b.Standard.PerEN
		cold := colder(b.Standard.Celsius)
		whole := Battery{Chemistry: b.Chemistry}
		drop := whole.RestVoltage(1, b.Standard.Celsius) - b.Standard.Volts -
			activationVolts*(b.Standard.Celsius+kelvin)/298.15*math.Asinh(b.Rated/(2*activationShare*en*math.Exp(-activationSlope*cold))) +
			limitVolts*math.Log(1-b.Rated/(limitMultiple*en*math.Exp(-limitSlope*cold)))
		b.atRating = drop / b.Rated
	}
	return b.atRating
}

// resistance gives the ohmic part, without any broken link, and the part that the
// quick polarisation adds within seconds. Their split and their trends with
// charge are modelling choices.
func (b *Battery) resistance(c *Charge) (r0, r1 float64) {
	r := b.rated() / b.Health * math.Exp(resistanceSlope*(colder(c.Celsius)-colder(b.Standard.Celsius)))
	empty := 1 - c.Level
	e3 := empty * empty * empty
	r0 = 0.8 * r * (1 + 0.4*empty + 3*e3*e3)
	r1 = 0.2 * r * (1 - 1.5*math.Log(max(c.Level, 0.02)))
	if b.Frozen(c) {
		return r0 * frozenResistance, r1 * frozenResistance
	}
	return r0, r1
}

// volts gives the voltage at the posts and its slope (V/A, never positive) at a
// current, positive out of the battery.
func (s *source) volts(i float64) (v, slope float64) {
	if s.reversed {
		v, slope = s.forward(-i)
		return -v, slope
	}
	return s.forward(i)
}

func (s *source) forward(i float64) (v, slope float64) {
	if i < 0 {
		v, slope = s.charging(-i)
		return v, -slope
	}
	x := i / s.twoIx
	root := math.Sqrt(1 + x*x)
	v = s.emf - s.act*math.Log(x+root) - s.ohm*i // the inverse hyperbolic sine, x being positive
	slope = -s.act/(s.twoIx*root) - s.ohm
	d, ds := s.limiting(i)
	v, slope = v-d, slope-ds
	if s.weak > 0 || s.sag > 0 {
		d, ds = s.sagging(i)
		v, slope = v-d, slope-ds
	}
	if s.link > 0 {
		d, ds = s.linked(i)
		v, slope = v-d, slope-ds
	}
	return v, slope
}

// limiting is the drop as the current nears what the plates can give. Close to
// the limit the curve goes on as a steep straight line, so that the solver meets
// no wall.
func (s *source) limiting(i float64) (drop, slope float64) {
	const knee = 1e-6
	left := 1 - i/s.limit
	if left > knee {
		return -limitVolts * math.Log(left), limitVolts / (s.limit * left)
	}
	slope = limitVolts / (s.limit * knee)
	return -limitVolts*math.Log(knee) + slope*(i-s.limit*(1-knee)), slope
}

// sagging is the drop of a failing cell: what it is down already, or more under a
// larger load. Modelling choice.
func (s *source) sagging(i float64) (drop, slope float64) {
	t := math.Tanh(i / weakCellAmps)
	if drop = s.weak * t; drop < s.sag {
		return s.sag, 0
	}
	return drop, s.weak * (1 - t*t) / weakCellAmps
}

// linked is the drop over a link that heats: its resistance grows with the square
// of the current until, at the limit, no balance of heat is left and it lets go.
// Modelling choice.
func (s *source) linked(i float64) (drop, slope float64) {
	const top = 0.95
	if x := i / s.link; x < top {
		d := 1 - x*x
		return s.linkOhm * i / d, s.linkOhm * (1 + x*x) / (d * d)
	}
	d := 1 - top*top
	slope = s.linkOhm * (1 + top*top) / (d * d)
	return s.linkOhm*s.link*top/d + slope*(i-top*s.link), slope
}
