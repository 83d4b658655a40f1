package unit

import (
	"math/big"
	"strings"
)

// row makes a unit: base = value*factor + offset, exactly.
//
// symbols are other short spellings, words are spelled-out ones in small
// letters (several words are parted by one blank). In a tree file both count
// exactly as they stand. Typed by hand, a word may be in any case and a symbol
// too, except that the m of milli never becomes an M, which would mean a
// thousand million times as much.
func row(name string, d Dim, factor, offset *big.Rat, symbols, words string) *Unit {
	u := &Unit{Name: name, Dim: d, factor: factor, offset: offset, symbols: list(symbols), words: list(words)}
	u.shift, u.tens = powerOfTen(factor)
	u.tens = u.tens && offset.Sign() == 0
	return u
}

func list(s string) []string {
	if s == "" {
		return nil
	}
	return strings.Split(s, ", ")
}

// The factors of the table are exact, by definition: 60 s to the minute, 3600 s
// to the hour, 86 400 s to the day; the Fahrenheit scale is 9/5 of the Celsius
// scale, plus 32.
// Source: The International System of Units (SI), 8th edition (2006), table 6,
// for min, h and d; NIST Special Publication 811 (2008), appendix B.8, for °F.
var (
	one     = big.NewRat(1, 1)
	zero    = big.NewRat(0, 1)
	milli   = big.NewRat(1, 1000)
	percent = big.NewRat(1, 100)
)

// units is every unit there is. A unit added here needs its line in
// tests/units_test.go as well.
var units = []*Unit{
	row("V", Dim{Volt: 1}, one, zero, "VDC", "volt, volts, volts dc, v dc"),
	row("mV", Dim{Volt: 1}, milli, zero, "mVDC", "millivolt, millivolts, milli volt, milli volts"),
	row("A", Dim{Amp: 1}, one, zero, "ADC", "amp, amps, ampere, amperes, a dc, amps dc"),
	row("mA", Dim{Amp: 1}, milli, zero, "", "milliamp, milliamps, milliampere, milliamperes, milli amp, milli amps"),
	row("V/A", Dim{Volt: 1, Amp: -1}, one, zero, "", "volt per amp, volts per amp, volt per ampere, volts per ampere"),
	row("mV/A", Dim{Volt: 1, Amp: -1}, milli, zero, "", "millivolt per amp, millivolts per amp, millivolts per ampere"),
	row("Ω", Dim{Volt: 1, Amp: -1}, one, zero, "\u2126", "ohm, ohms"),
	row("mΩ", Dim{Volt: 1, Amp: -1}, milli, zero, "m\u2126, mohm, mohms", "milliohm, milliohms, milli ohm, milli ohms"),
	row("°C", Dim{Kelvin: 1, Point: true}, one, zero, "C, degC, deg C, ° C, ℃", "celsius, centigrade, degrees c, degrees celsius, degree celsius, degrees centigrade, deg celsius"),
	row("°F", Dim{Kelvin: 1, Point: true}, big.NewRat(5, 9), big.NewRat(-160, 9), "F, degF, deg F, ° F, ℉", "fahrenheit, degrees f, degrees fahrenheit, degree fahrenheit, deg fahrenheit"),
	row("K", Dim{Kelvin: 1}, one, zero, "", "kelvin, kelvins"),
	row("s", Dim{Second: 1}, one, zero, "", "sec, secs, second, seconds"),
	row("min", Dim{Second: 1}, big.NewRat(60, 1), zero, "", "mins, minute, minutes"),
	row("h", Dim{Second: 1}, big.NewRat(3600, 1), zero, "", "hr, hrs, hour, hours"),
	row("d", Dim{Second: 1}, big.NewRat(86400, 1), zero, "", "day, days"),
	row("rpm", Dim{Rev: 1}, one, zero, "", "rev/min, r/min, revs per minute, revolutions per minute, revs"),
	row("Ah", Dim{Amp: 1, Second: 1}, big.NewRat(3600, 1), zero, "A h", "amp hour, amp hours, ampere hour, ampere hours, amp-hours, amp-hour"),
	row("mAh", Dim{Amp: 1, Second: 1}, big.NewRat(18, 5), zero, "mA h", "milliamp hour, milliamp hours"),
	row("%", Dim{}, percent, zero, "", "percent, per cent"),
	row("m", Dim{Metre: 1}, one, zero, "", "metre, metres, meter, meters"),
	row("cm", Dim{Metre: 1}, percent, zero, "", "centimetre, centimetres, centimeter, centimeters"),
	row("mm", Dim{Metre: 1}, milli, zero, "", "millimetre, millimetres, millimeter, millimeters"),
	row("mm2", Dim{Metre: 2}, big.NewRat(1, 1_000_000), zero, "mm²", "square millimetre, square millimetres, square millimeters, square mm, sq mm"),
	row("m3/h", Dim{Metre: 3, Second: -1}, big.NewRat(1, 3600), zero, "m³/h", "cubic metres per hour, cubic meters per hour"),
	row("N m", Dim{Newton: 1, Metre: 1}, one, zero, "Nm, N·m", "newton metre, newton metres, newton meters"),
	row("V/K", Dim{Volt: 1, Kelvin: -1}, one, zero, "", "volts per kelvin"),
	row("mV/K", Dim{Volt: 1, Kelvin: -1}, milli, zero, "", "millivolts per kelvin"),
	plain,
}

// plain is the unit of a count: a number that stands alone.
var plain = row("1", Dim{}, one, zero, "", "")

// spelled finds a unit by any spelling, exactly. folded finds it by a spelling
// in small letters, for typed input; milliSymbol holds the folded symbols that
// begin with a small m.
var (
	spelled     = map[string]*Unit{}
	folded      = map[string]*Unit{}
	milliSymbol = map[string]bool{}
	mostWords   = 1 // words in the longest spelling
)

func init() {
	for _, u := range units {
		for _, s := range append([]string{u.Name}, u.symbols...) {
			spelled[s] = u
			folded[fold(s)] = u
			milliSymbol[fold(s)] = strings.HasPrefix(s, "m") && s != "min"
			mostWords = max(mostWords, 1+strings.Count(s, " "))
		}
		for _, s := range u.words {
			spelled[s] = u
			folded[s] = u
			mostWords = max(mostWords, 1+strings.Count(s, " "))
		}
	}
	delete(folded, plain.Name) // "5 1" is two numbers
}

// fold brings a typed spelling to the form the table knows: small letters, and
// the degree sign instead of the ordinal sign that many keyboards give.
func fold(s string) string {
	return strings.ReplaceAll(strings.ToLower(s), "º", "°")
}

// lookupTyped finds a unit by what a person typed, in any case.
func lookupTyped(s string) (*Unit, bool) {
	f := fold(s)
	if milliSymbol[f] && strings.HasPrefix(s, "M") {
		return nil, false
	}
	u, ok := folded[f]
	return u, ok
}

// powerOfTen reports n when r is ten to the power n.
func powerOfTen(r *big.Rat) (n int, ok bool) {
	ten, x := big.NewRat(10, 1), new(big.Rat).Set(r)
	for ; x.Cmp(one) > 0 && n < 30; n++ {
		x.Quo(x, ten)
	}
	for ; x.Cmp(one) < 0 && n > -30; n-- {
		x.Mul(x, ten)
	}
	return n, x.Cmp(one) == 0
}
