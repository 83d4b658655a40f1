package vehicle

import "math"

// Chemistry is the type on the label.
type Chemistry uint8

// The chemistries, in the order of their names.
const (
	Flooded Chemistry = iota
	EFB
	AGM
	Gel
)

// String gives the word of the label as trees write it.
func (c Chemistry) String() string { return [...]string{"flooded", "efb", "agm", "gel"}[c] }

// restLine gives the rest voltage at 25 °C of an empty battery and the rise to a
// full one. Source: flooded and AGM, lines through common tables (common
// practice, no source; the army's one-decimal table, TM 5-3805-262-20, p. 5-142,
// lies within 0.1 V); EFB and gel, from memory.
func (c Chemistry) restLine() (empty, rise float64) {
	return [...]float64{11.89, 11.90, 11.80, 11.80}[c], [...]float64{0.78, 0.80, 1.05, 1.00}[c]
}

// ChargeVolts is the set point of a bench charger for the chemistry. Source:
// common practice, no source.
func (c Chemistry) ChargeVolts() float64 { return [...]float64{14.4, 14.7, 14.7, 14.1}[c] }

// Rating is a cold-cranking standard: the battery stays at or over Volts after
// Seconds at its rated current and at Celsius.
type Rating struct {
	Name    string
	Volts   float64
	Seconds float64
	Celsius float64
	PerEN   float64 // the same battery's number by this standard over its EN number
}

// The standards. JIS has no formula of its own: it needs its table, and is left
// out.
//
// Source: EN 50342-1 (7.5 V, 10 s), SAE J537 (7.2 V, 30 s), DIN 43539-2 (9.0 V,
// 30 s), all at -18 °C, as restated in public, and from memory. PerEN: DIN from
// memory; EN and SAE are taken as equal, which is a modelling choice (published
// conversions run from 0.92 to 0.97).
var (
	EN  = Rating{Name: "EN", Volts: 7.5, Seconds: 10, Celsius: -18, PerEN: 1}
	SAE = Rating{Name: "SAE", Volts: 7.2, Seconds: 30, Celsius: -18, PerEN: 1}
	DIN = Rating{Name: "DIN", Volts: 9.0, Seconds: 30, Celsius: -18, PerEN: 0.6}
)

// reserve is the reserve capacity on the label, minutes at 25 A. Source: the
// relation of EN 50342-1 for flooded and for sealed types, from memory.
func (b *Battery) reserve() float64 {
	if b.Chemistry == AGM || b.Chemistry == Gel {
		return math.Round(1.1339 * math.Pow(b.Capacity, 1.1201))
	}
	return math.Round(0.7732 * math.Pow(b.Capacity, 1.1828))
}

// Battery is what a battery is: its label and its hidden condition. What changes
// from minute to minute is in Charge.
type Battery struct {
	Chemistry Chemistry
	Rated     float64 // A by Standard
	Standard  Rating
	Capacity  float64 // Ah on the label, 20 h rate

	Health       float64 // 1 new, about 0.6 fails its load test: scales what it can deliver
	CapacityLeft float64 // share of Capacity
	Acceptance   float64 // 1 new; sulphation 0.05 to 0.5: scales what it takes on charge
	Offset       float64 // V, this battery's own spread of the rest voltage; stratification adds to it
	CellLoss     float64 // V missing from a shorted or dead cell
	Link         float64 // Ω of a broken link between cells
	LinkLimit    float64 // A at which a link that heats lets go; 0: the link does not heat
	LinkOpen     float64 // Ω of such a link once it has let go
	WeakCell     float64 // V that a failing cell falls by under load, coming back slowly
	SelfLoss     float64 // A of self-discharge
	Reversed     bool    // charged the wrong way round

	atRating float64 // Ω of the new battery at its rating's temperature, once worked out
}

// Charge is what a battery holds now.
type Charge struct {
	Level    float64 // state of charge, 0 to 1
	Celsius  float64
	Slow     float64    // V over the slow polarisation
	Surface  [2]float64 // V of surface charge, the quick and the slow part
	Sag      float64    // V that the weak cell is down
	LinkGone bool       // the heated link has let go
}

const kelvin = 273.15

// inverse temperature against 25 °C, for the exponential laws.
func colder(celsius float64) float64 { return 1/(celsius+kelvin) - 1/298.15 }

// RestVoltage is the open-circuit voltage without surface charge or fault.
//
// 1.3 mV/K near full, falling with charge. Source: from memory.
func (b *Battery) RestVoltage(level, celsius float64) float64 {
	empty, rise := b.Chemistry.restLine()
	return empty + rise*level + b.Offset + 1.3e-3*(0.3+0.7*level)*(celsius-25)
}

// Freezes is the temperature at which the acid of a battery with this charge
// begins to freeze.
//
// Source: TM 10-6140-200-14, para 1-9, for a quarter charged and more; below
// that, from memory.
func Freezes(level float64) float64 {
	return interpolate(level, []float64{0, 0.12, 0.25, 0.5, 0.75, 1}, []float64{-6, -10, -17, -35, -52, -71})
}

// Frozen reports whether it is.
func (b *Battery) Frozen(c *Charge) bool { return c.Celsius < Freezes(c.Level) }

// Gravity is the specific gravity of the acid at 25 °C. Source: TM 10-6140-200-14,
// Table 1-1.
func Gravity(level float64) float64 {
	return interpolate(level, []float64{0, 0.25, 0.5, 0.75, 1}, []float64{1.130, 1.160, 1.220, 1.250, 1.280})
}

// interpolate reads a table with ascending x, holding its ends.
func interpolate(x float64, xs, ys []float64) float64 {
	for i := 1; i < len(xs); i++ {
		if x < xs[i] {
			t := max(0, (x-xs[i-1])/(xs[i]-xs[i-1]))
			return ys[i-1] + t*(ys[i]-ys[i-1])
		}
	}
	return ys[len(ys)-1]
}

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

// charging gives the voltage at the posts at a charging current and its slope:
// the higher of what resistance asks for and what the plates accept.
func (s *source) charging(i float64) (v, slope float64) {
	x := i / s.twoIx
	ohm := s.ohm
	if s.link > 0 {
		ohm += s.linkOhm
	}
	v = s.emf - s.sag + i*ohm + chargeActivation*math.Asinh(x)
	slope = ohm + chargeActivation/(s.twoIx*math.Sqrt(1+x*x))
	if s.gas > 0 {
		const soft = 1e-3
		y := i/s.gasAmps + soft
		p := math.Pow(y, 0.3)
		v += s.gas * (p - softGas)
		slope += s.gas * 0.3 * p / y / s.gasAmps
	}
	if i > 0 {
		if a := s.acceptAt + acceptSlope*math.Log(i/s.accept); a > v {
			return a, acceptSlope / i
		}
	}
	return v, slope
}

// softGas takes off what the softened start of the gassing law adds at no current.
var softGas = math.Pow(1e-3, 0.3)
