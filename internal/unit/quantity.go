package unit

import (
	"fmt"
	"math/big"
	"strings"
)

// mostDigits bounds the length of a number: the longest shortest decimal of a
// float64 has about 330 characters.
const mostDigits = 400

// ParseQuantity reads a quantity as tree files write it: one number with a
// decimal point if it needs one, no exponent, then one blank or none and one
// unit of [Lookup]; a number alone is a plain count. The value is in the base
// unit of the unit's dimension, exactly as written, and always fits a float64.
func ParseQuantity(s string) (*big.Rat, *Unit, error) {
	end := numeralEnd(s)
	number, name := s[:end], s[end:]
	if err := strictNumber(s, number); err != nil {
		return nil, nil, err
	}
	u := plain
	if end < len(s) {
		var err error
		if u, err = strictUnit(s, number, strings.TrimPrefix(name, " ")); err != nil {
			return nil, nil, err
		}
	}
	base := u.Exact(number)
	if !finite(nearest(base)) {
		return nil, nil, fmt.Errorf("%s is too large a number", quoted(s))
	}
	return base, u, nil
}

// numeralEnd is where the number at the start of s ends: an optional sign, then
// digits, points and commas.
func numeralEnd(s string) int {
	i := 0
	if strings.HasPrefix(s, "-") || strings.HasPrefix(s, "+") {
		i = 1
	}
	for i < len(s) && (isDigit(s[i]) || s[i] == '.' || s[i] == ',') {
		i++
	}
	return i
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// strictNumber says what is wrong with number, the start of s.
func strictNumber(s, number string) error {
	digits := strings.TrimPrefix(number, "-")
	whole, fraction, point := strings.Cut(digits, ".")
	switch {
	case s == "":
		return fmt.Errorf(`a quantity is missing; write a number and a unit, such as "12.4 V"`)
	case strings.HasPrefix(s, "−") || strings.HasPrefix(s, "–"):
		return fmt.Errorf(`%s begins with a long dash; write a plain "-" for minus`, quoted(s))
	case strings.HasPrefix(s, "+"):
		return fmt.Errorf(`%s begins with "+"; leave it out`, quoted(s))
	case !strings.ContainsAny(digits, "0123456789"):
		return fmt.Errorf(`%s does not begin with a number; write a number and a unit, such as "12.4 V"`, quoted(s))
	case strings.Count(digits, ",") == 1 && !point && whole[len(whole)-1] != ',':
		return fmt.Errorf(`%s has a comma in its number; write %s`, quoted(s), quoted(strings.Replace(s, ",", ".", 1)))
	case strings.Contains(digits, ","):
		return fmt.Errorf(`%s has a comma in its number; write a decimal point and no mark for thousands`, quoted(s))
	case strings.Contains(fraction, "."):
		return fmt.Errorf(`%s has two decimal points; write one`, quoted(s))
	case whole == "" || point && fraction == "":
		return fmt.Errorf(`%s has no digit on one side of its decimal point; write one, such as "0.15" or "12.0"`, quoted(s))
	case len(whole) > 1 && whole[0] == '0':
		return fmt.Errorf(`%s begins with a 0 too many; leave it out`, quoted(s))
	case len(number) > mostDigits:
		return fmt.Errorf(`%s has more than %d digits; write fewer`, quoted(s), mostDigits)
	}
	return nil
}

// strictUnit finds the unit written as name after number in s.
func strictUnit(s, number, name string) (*Unit, error) {
	switch {
	case name == "":
		return nil, fmt.Errorf(`%s ends with a blank; leave it out`, quoted(s))
	case strings.ContainsAny(s, "\u00a0\u2007\u2009\u202f"):
		return nil, fmt.Errorf(`%s holds a hard space, which only looks like a blank; write %s`, quoted(s), quoted(number+" "+strings.TrimSpace(name)))
	case strings.TrimSpace(name) != name:
		return nil, fmt.Errorf(`%s has more blanks than one between number and unit or round them; write %s`, quoted(s), quoted(number+" "+strings.TrimSpace(name)))
	case hasExponent(name):
		return nil, fmt.Errorf(`%s is written with an exponent; write the number out in full`, quoted(s))
	case isDigit(name[0]) || name[0] == '-' || name[0] == '.':
		return nil, fmt.Errorf(`%s has two numbers; write one number and a unit, such as "12.4 V"`, quoted(s))
	}
	if u, ok := Lookup(name); ok {
		return u, nil
	}
	return nil, fmt.Errorf(`unknown unit %s in %s; %s`, quoted(name), quoted(s), Advice(name))
}

// Advice says what may be written in the place of a unit that there is not.
func Advice(name string) string {
	near := nearestName(name)
	for rest := name; near == "" && rest != ""; {
		rest = rest[:max(0, strings.LastIndexByte(rest, ' '))]
		if u, ok := Lookup(rest); ok {
			near = u.Name
		}
	}
	if near != "" {
		return fmt.Sprintf(`did you mean "%s"?`, near)
	}
	return "the units are " + strings.Join(Names(), ", ")
}

// hasExponent reports whether s, what follows the digits, goes on like the
// exponent of 1e3 or 1E-3.
func hasExponent(s string) bool {
	if s == "" || s[0] != 'e' && s[0] != 'E' {
		return false
	}
	return leadsWithDigit(strings.TrimLeft(s[1:], "+-"))
}
