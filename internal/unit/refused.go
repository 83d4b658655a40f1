package unit

import (
	"fmt"
	"strings"
)

// Refused is why typed text was not taken as a quantity.
type Refused struct {
	Text   string   // what is refused, as typed
	Could  []string // the meanings of an ambiguous number, each fit to type
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

func refuse(text, format string, args ...any) *Refused {
	return &Refused{Text: text, reason: fmt.Sprintf(format, args...)}
}

// ambiguous refuses a number in digits that can be one of several, written
// without sign and unit; complete adds them.
func ambiguous(could ...string) *Refused { return &Refused{Could: could} }

func unknownUnit(word, tail string) *Refused {
	if hasExponent(tail) {
		return refuse(word, "%s is written with an exponent: type the number out in full", quoted(word))
	}
	if near := nearestName(tail); near != "" {
		return refuse(word, `%s in %s is not a unit; did you mean "%s"?`, quoted(tail), quoted(word), near)
	}
	return refuse(word, `%s in %s is not a unit: type a number and its unit, such as "12.55 V"`, quoted(tail), quoted(word))
}
