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

// chemistries holds the label's word as trees write it, the rest voltage at 25 °C of
// an empty battery and the rise to a full one, and the set point of a bench charger.
//
// Source of the rest voltages: flooded and AGM, lines through common tables (common
// practice, no source; the army's one-decimal table, TM 5-3805-262-20, p. 5-142, lies
// within 0.1 V); EFB and gel, from memory. Of the set points: common practice, no
// source.
var chemistries = [...]struct {
	word                string
	empty, rise, charge float64
	sealed              bool
}{
	Flooded: {"flooded", 11.89, 0.78, 14.4, false},
	EFB:     {"efb", 11.90, 0.80, 14.7, false},
	AGM:     {"agm", 11.80, 1.05, 14.7, true},
	Gel:     {"gel", 11.80, 1.00, 14.1, true},
}

// String gives the word of the label.
func (c Chemistry) String() string { return chemistries[c].word }

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
	if chemistries[b.Chemistry].sealed {
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
	c := &chemistries[b.Chemistry]
	return c.empty + c.rise*level + b.Offset + 1.3e-3*(0.3+0.7*level)*(celsius-25)
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
func (b *Battery) Frozen(c *Charge) bool {
	return c.Celsius < Freezes(0) && c.Celsius < Freezes(c.Level)
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
