package unit

import (
	"fmt"
	"strings"
)

// Typed is a quantity as a person typed or dictated it.
type Typed struct {
	Value    float64 // in Unit, always finite
	Unit     *Unit   // the unit typed, else the unit wanted
	Given    bool    // a unit was typed; "20 degrees" names no scale and does not count
	Rest     string  // the words after the quantity, as typed: "lowest"
	Decimals int     // digits typed after the decimal mark, in Unit
}

// Refused is why typed text was not taken as a quantity.
type Refused struct {
	Why    Why
	Text   string   // what is refused, as typed
	Could  []string // with Ambiguous, where they can be told: its meanings, each fit to type
	reason string
}

// Error is the reason in plain English, short and fit to show to the person.
func (r *Refused) Error() string {
	if len(r.Could) > 0 {
		return fmt.Sprintf("%s can mean %s: type the one you mean", quoted(r.Text), strings.Join(r.Could, " or "))
	}
	return r.reason
}

// complete puts the sign before and the unit after each meaning of an ambiguous
// number, and has it quoted with them.
func (r *Refused) complete(sign string, u *Unit, text string) {
	for i := range r.Could {
		r.Could[i] = sign + r.Could[i]
		if u != nil {
			r.Could[i] += " " + u.Name
		}
	}
	if len(r.Could) > 0 {
		r.Text = text
	}
}

// Why sorts refusals, for a caller that answers some of them with a question.
type Why int

// The reasons for a refusal.
const (
	NotANumber  Why = iota // no number stands where one is wanted
	Ambiguous              // it could be one of several numbers
	UnknownUnit            // letters on the number are no unit
	OtherUnit              // the unit measures something else
	TwoNumbers             // more follows than one number or one unit
	TooLarge               // no instrument shows such a number
)

func refuse(why Why, text, format string, args ...any) *Refused {
	return &Refused{Why: why, Text: text, reason: fmt.Sprintf(format, args...)}
}

func ambiguous(could ...string) *Refused { return &Refused{Why: Ambiguous, Could: could} }

// ParseTyped reads one quantity from what a person typed or dictated for one
// reading; want is the unit wanted, nil for any. It takes
//
//   - digits with a point or a comma: 12.55, 12,55, .15, -18, −18, +3;
//   - a unit after the number, joined to it or not, in any sensible spelling and
//     case, of the dimension wanted: 12.55V, 12550 mV, 68 F, 20 degrees C;
//   - number words: "minus eighteen", "twelve point five five volts", "a hundred
//     and eighty two amps", "twelve and a half".
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
		return Typed{}, refuse(NotANumber, "", "nothing was typed")
	}
	t, n, err := ScanTyped(words, want)
	if err != nil {
		return t, err
	}
	rest := words[n:]
	t.Rest = strings.Join(rest, " ")
	switch {
	case len(rest) == 0:
	case startsNumber(rest):
		return Typed{}, refuse(TwoNumbers, s, "%s holds more than one number: type one, without blanks inside it", quoted(s))
	case t.Given:
		if u, ok := Lookup(rest[0]); ok && !minimum(rest[0], want) {
			return Typed{}, refuse(TwoNumbers, s, "%s holds two units, %s and %s: type one", quoted(s), t.Unit.Name, u.Name)
		}
	}
	return t, nil
}

// ScanTyped reads one quantity from the start of words, the words of a line
// between blanks, and reports how many of them it took: the sign, the number and
// its unit. It understands what [ParseTyped] does, and takes a comma or semicolon
// at the end of a word as the end of the quantity. Rest stays empty.
//
// An error is a *[Refused]. With n == 0 no quantity begins here; with n > 0 the
// first n words are one that is refused. For a unit of another dimension the
// value is given all the same, so that a line can put it where it belongs.
func ScanTyped(words []string, want *Unit) (t Typed, n int, err error) {
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
		return Typed{}, n, refuse(TooLarge, text, "%s is too large a number, or has too many digits", quoted(text))
	}
	if want != nil && u.Dim != want.Dim {
		return t, n, refuse(OtherUnit, text, "%s was typed where %s is wanted", u.Dim, want.Dim)
	}
	return t, n, nil
}

func unknownUnit(word, tail string) *Refused {
	if hasExponent(tail) {
		return refuse(NotANumber, word, "%s is written with an exponent: type the number out in full", quoted(word))
	}
	if near := nearestName(tail); near != "" {
		return refuse(UnknownUnit, word, `%s in %s is not a unit; did you mean "%s"?`, quoted(tail), quoted(word), near)
	}
	return refuse(UnknownUnit, word, `%s in %s is not a unit: type a number and its unit, such as "12.55 V"`, quoted(tail), quoted(word))
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

// numeral is a number found in words.
type numeral struct {
	sign     string // "-" or ""
	text     string // digits, an optional point and digits
	decimals int
	tail     string // what is joined to its last word: the unit of "12.55V"
	ended    bool   // a comma or semicolon, after a word also a full stop, closed it: no unit follows
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

// scanNumber takes a number, in digits or in words, from the start of words; n
// is 0 when none begins there.
func scanNumber(words []string) (num numeral, n int, refused *Refused) {
	if len(words) == 0 {
		return num, 0, refuse(NotANumber, "", "a number is missing")
	}
	sign, body := "", words
	if s, ok := signWord(words[0]); ok {
		sign, body = s, words[1:]
	} else if s, first := cutSign(words[0]); first != words[0] {
		sign, body = s, append([]string{first}, words[1:]...)
	}
	if len(body) > 0 {
		scan := scanWords
		if startsDigits(body[0]) {
			scan = scanDigits
		}
		num, n, refused = scan(body)
	}
	if n == 0 {
		return num, 0, refuse(NotANumber, words[0], "%s is not a number: type one such as 12.55", quoted(words[0]))
	}
	num.sign = sign
	return num, n + len(words) - len(body), refused
}

// startsNumber reports whether a number, or more of one, begins at words[0].
func startsNumber(words []string) bool {
	_, first := cutSign(words[0])
	if startsDigits(first) {
		return true
	}
	return goesOn(numberWords(words))
}

// startsDigits reports whether s begins like a number in digits: "12", ".15".
func startsDigits(s string) bool {
	s = strings.TrimLeft(s, ".,")
	return s != "" && isDigit(s[0])
}

// The signs people's keyboards give for minus: the plain one, the minus sign
// proper, and the dash that some programs put in its place.
var minusSigns = []string{"-", "−", "–"}

// cutSign takes the sign off the start of a word; "-" for minus, else "".
func cutSign(word string) (sign, rest string) {
	for _, m := range minusSigns {
		if strings.HasPrefix(word, m) {
			return "-", word[len(m):]
		}
	}
	return "", strings.TrimPrefix(word, "+")
}

// signWord reads a word that is a sign and nothing else.
func signWord(word string) (sign string, ok bool) {
	switch strings.ToLower(word) {
	case "minus", "negative":
		return "-", true
	case "plus", "+":
		return "", true
	}
	sign, rest := cutSign(word)
	return sign, sign == "-" && rest == ""
}

// scanDigits takes a number in digits, words[0] beginning with it: "12.55",
// "12,55V", and also "12 point 5" and "12 and a half".
func scanDigits(words []string) (num numeral, n int, refused *Refused) {
	word := words[0]
	end := numeralEnd(word)
	digits, tail := word[:end], word[end:]
	if tail == "" || tail == ";" {
		num.ended = tail == ";"
		if last := len(digits) - 1; !num.ended && !isDigit(digits[last]) {
			num.ended = digits[last] == ','
			digits = digits[:last]
		}
	} else {
		num.tail = tail
	}
	whole, fraction, mark := strings.Cut(strings.ReplaceAll(digits, ",", "."), ".")
	num.text, num.decimals = joined(whole, fraction), len(fraction)
	switch {
	case strings.Contains(fraction, "."):
		return num, 1, refuse(NotANumber, word, "%s has two decimal marks: type one, and no mark for thousands", quoted(word))
	case strings.Contains(digits, ",") && thousands(whole, fraction):
		return num, 1, ambiguous(whole+"."+fraction, whole+fraction)
	case !mark && num.ended && tail == "" && len(words) > 1 && isDigit(words[1][0]):
		text := word + " " + words[1]
		return num, 2, refuse(Ambiguous, text, "%s can be one number or two: type a decimal comma without a blank, or leave the comma out", quoted(text))
	case mark || num.ended || tail != "":
		return num, 1, nil
	}
	f, used, refused := scanFraction(words[1:])
	if used > 0 {
		num.text, num.decimals = joined(whole, f.digits), len(f.digits)
		num.tail, num.ended = f.tail, f.ended
	}
	return num, 1 + used, refused
}

// thousands reports whether a comma between whole and fraction may part
// thousands: 1,234 and 12,345, but not 0,123 or 1234,567.
func thousands(whole, fraction string) bool {
	return len(fraction) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0'
}
