package unit

import "strings"

// Typed is a quantity as a person typed or dictated it.
type Typed struct {
	Value    float64 // in Unit, always finite
	Unit     *Unit   // the unit typed, else the unit wanted
	Given    bool    // a unit was typed; "20 degrees" names no scale and does not count
	Rest     string  // the words after the quantity, as typed: "lowest"
	Decimals int     // digits typed after the decimal mark, in Unit
	OutBy    float64 // how far it may be out either way, in Unit; 0 when nothing was said
}

// ParseTyped reads one quantity from what a person typed or dictated for one
// reading; want is the unit wanted, nil for any. It takes
//
//   - digits with a point or a comma: 12.55, 12,55, .15, -18, −18, +3;
//   - a unit after the number, joined to it or not, in any sensible spelling and
//     case, of the dimension wanted: 12.55V, 12550 mV, 68 F, 20 degrees C;
//   - number words: "minus eighteen", "twelve point five five volts", "a hundred
//     and eighty two amps", "twelve and a half";
//   - how far it may be out, into OutBy, or the range in which it lies:
//     12.4 V ± 0.05, 12.4 +- 50 mV, 12.4 +/- 1 %, 12.3..12.5 V, 12.3 V to 12.5 V.
//
// A share in % is one of the value, except of a quantity that is itself in %. A
// doubt of a temperature is a difference. A unit behind one end of a range is that
// of both; the middle of the range is the value.
//
// It refuses, with a *[Refused], what is not certain: 1,234 (a decimal, or a
// thousand?), "twelve fifty five", two numbers, two decimal marks, thousands
// parted by a blank, exponents (1e3), hexadecimal, NaN, and a unit of another
// dimension. Words after the quantity that are no unit are handed back in Rest,
// for the caller to understand or refuse; among them "min" where no time is
// wanted, as a meter writes it beside its lowest reading.
func ParseTyped(s string, want *Unit) (Typed, error) {
	words := strings.Fields(s)
	if len(words) == 0 {
		return Typed{}, refuse("", "nothing was typed")
	}
	t, n, err := ScanDoubt(words, want)
	if err != nil {
		return t, err
	}
	rest := words[n:]
	t.Rest = strings.Join(rest, " ")
	switch {
	case len(rest) == 0:
	case startsNumber(rest):
		return Typed{}, refuse(s, "%s holds more than one number: type one, without blanks inside it", quoted(s))
	case t.Given:
		if u, ok := Lookup(rest[0]); ok && !minimum(rest[0], want) {
			return Typed{}, refuse(s, "%s holds two units, %s and %s: type one", quoted(s), t.Unit.Name, u.Name)
		}
	}
	return t, nil
}

// mostSpoken bounds the words of one quantity, so that a long line costs no more
// than its length.
const mostSpoken = 64

// ScanTyped reads one quantity from the start of words, the words of a line
// between blanks, and reports how many of them it took: the sign, the number and
// its unit. It understands what [ParseTyped] does except a doubt, and takes a comma or semicolon
// at the end of a word as the end of the quantity. Rest stays empty.
//
// An error is a *[Refused]. With n == 0 no quantity begins here; with n > 0 the
// first n words are one that is refused. For a unit of another dimension the
// value is given all the same, so that a line can put it where it belongs.
func ScanTyped(words []string, want *Unit) (t Typed, n int, err error) {
	words = words[:min(len(words), mostSpoken)]
	num, n, refused := scanNumber(words)
	if n == 0 {
		return Typed{}, 0, refused
	}
	u, more, given := num.unit(words[n:], want)
	n += more
	text := strings.Join(words[:n], " ")
	switch {
	case refused != nil:
		refused.complete(num.sign, u, text)
		return Typed{}, n, refused
	case u == nil && num.tail != "":
		return Typed{}, n, unknownUnit(text, num.tail)
	case u != nil:
	case want != nil:
		u = want
	default:
		u = plain
	}
	t = Typed{Value: float(num.sign + num.text), Unit: u, Given: given, Decimals: num.decimals}
	if len(num.text) > mostDigits || !finite(t.Value) || !finite(u.Base(t.Value)) {
		return Typed{}, n, refuse(text, "%s is too large a number, or has too many digits", quoted(text))
	}
	if want != nil && u.Dim != want.Dim {
		return t, n, refuse(text, "%s was typed where %s is wanted", u.Dim, want.Dim)
	}
	return t, n, nil
}

// scanUnit takes a unit from the start of words, the longest spelling there is.
// given is false for "degrees" alone, which stands for the scale wanted.
func scanUnit(words []string, want *Unit) (u *Unit, n int, given bool) {
	for n = min(mostWords, len(words)); n > 0; n-- {
		spelling := strings.Join(words[:n], " ")
		if u, ok := lookupTyped(strings.TrimRight(spelling, ",;.")); ok {
			return u, n, true
		}
	}
	if len(words) == 0 {
		return nil, 0, false
	}
	switch fold(strings.TrimRight(words[0], ",;.")) {
	case "degrees", "degree", "deg", "°":
		if want != nil && want.Dim.Kelvin == 1 {
			return want, 1, false
		}
		celsius, _ := Lookup("°C")
		return celsius, 1, false
	}
	return nil, 0, false
}

// minimum reports whether word is "min" where no time is wanted: the mark of a
// lowest reading, not minutes.
func minimum(word string, want *Unit) bool {
	return want != nil && want.Dim != Dim{Second: 1} && strings.EqualFold(strings.TrimRight(word, ",;."), "min")
}

// unit takes the unit of num: what is joined to the number, or else the words
// after it, unless the number is closed.
func (num numeral) unit(after []string, want *Unit) (u *Unit, n int, given bool) {
	switch {
	case num.tail != "":
		u, n, given = scanUnit(append([]string{num.tail}, after...), want)
		return u, max(n-1, 0), given
	case num.ended || len(after) > 0 && minimum(after[0], want):
		return nil, 0, false
	}
	return scanUnit(after, want)
}
