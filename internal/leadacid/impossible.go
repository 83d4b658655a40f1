package leadacid

import (
	"fmt"
	"math"
	"strings"

	"deadflat/internal/unit"
)

// Impossible says why nothing was worked out: the numbers put in cannot be, they
// contradict one another, or nothing is published that leads from them to an
// answer.
type Impossible struct{ Reason string }

// Error is the reason in plain English, without a full stop.
func (e *Impossible) Error() string { return e.Reason }

func impossible(format string, args ...any) error {
	return &Impossible{fmt.Sprintf(format, args...)}
}

// quantity is what a number measures, and the span outside of which it is a slip
// of the meter, of the hand, or another system than a 12 V lead-acid one. The
// spans are this program's own choice.
type quantity struct {
	title, unit string
	lo, hi      float64
	under, over string    // what a number below or above the span usually means
	only        []float64 // when set, the only values there are
}

// Quantities that several functions take.
var (
	restVoltage     = quantity{title: "rest voltage", unit: "V", lo: 0, hi: 18, under: "the leads are the wrong way round, or the battery is reversed", over: "this is a 24 V system, or a slip"}
	postsVoltage    = quantity{title: "voltage at the posts", unit: "V", lo: 0, hi: 18, under: "the leads are the wrong way round", over: "this is a 24 V system, or a slip"}
	batteryTemp     = quantity{title: "battery temperature", unit: "°C", lo: -40, hi: 60, over: "let it cool first"}
	stateOfCharge   = quantity{title: "state of charge", unit: "%", lo: 0, hi: 100}
	starterCurrent  = quantity{title: "current", unit: "A", lo: 0, hi: 3000, under: "the clamp is the wrong way round"}
	chargingCurrent = quantity{title: "charging current", unit: "A", lo: 0, hi: 300, under: "the clamp is the wrong way round"}
	capacity        = quantity{title: "20-hour capacity", unit: "Ah", lo: 1, hi: 300}
	reserve         = quantity{title: "reserve capacity", unit: "min", lo: 5, hi: 700}
	ratingAmps      = quantity{title: "cold-crank rating", unit: "A", lo: 20, hi: 2500}
	dropVoltage     = quantity{title: "drop", unit: "V", lo: 0, hi: 18, under: "the probes are the wrong way round, or the current is"}
	resistance      = quantity{title: "resistance", unit: "mΩ", lo: 0, hi: 100000, under: "a resistance cannot be negative"}
)

// roomTemp is taken when nobody gave the temperature of a battery.
// Source: this program's own choice.
var roomTemp = Range{10, 25, 30}

// entry is a number put in, with what it measures.
type entry struct {
	quantity
	r Range
}

func (q quantity) is(r Range) entry { return entry{q, r} }

// check finds the first entry that cannot be.
func check(all ...entry) error {
	for _, e := range all {
		if err := e.check(); err != nil {
			return err
		}
	}
	return nil
}

func (e entry) check() error {
	for _, v := range []float64{e.r.Lo, e.r.Best, e.r.Hi} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return impossible("%s is not a finite number", e.title)
		}
	}
	if e.r.Lo > e.r.Best || e.r.Best > e.r.Hi {
		return impossible("%s: the best value must lie between the two ends", e.title)
	}
	if len(e.only) > 0 {
		return e.checkOnly()
	}
	v, hint := e.r.Lo, e.under
	if e.r.Lo >= e.lo {
		if e.r.Hi <= e.hi {
			return nil
		}
		v, hint = e.r.Hi, e.over
	}
	if hint != "" {
		hint = ": " + hint
	}
	return impossible("%s is %s, expected %s to %s%s", e.title, show(v, e.unit), show(e.lo, e.unit), show(e.hi, e.unit), hint)
}

func (e entry) checkOnly() error {
	var names []string
	for _, v := range e.only {
		if e.r == Exactly(v) {
			return nil
		}
		names = append(names, show(v, ""))
	}
	return impossible("%s is %s, expected one of %s (%s)", e.title, show(e.r.Best, e.unit), strings.Join(names, ", "), e.unit)
}

// show writes a number for a sentence, to four figures, with its unit; without
// one when unit is "".
func show(v float64, unitName string) string {
	u, ok := unit.Lookup(unitName)
	if !ok {
		u, _ = unit.Lookup("1")
	}
	decimals := 0
	if v != 0 {
		decimals = max(0, 3-int(math.Floor(math.Log10(math.Abs(v)))))
	}
	if unitName == "%" || unitName == "°C" {
		decimals = min(decimals, 1)
	}
	s := unit.Format(u.Base(v), u, decimals)
	number, name, _ := strings.Cut(s, " ")
	if strings.Contains(number, ".") {
		number = strings.TrimSuffix(strings.TrimRight(number, "0"), ".")
	}
	return strings.TrimSpace(number + " " + name)
}

// showRange writes a range for a sentence: "13.8 to 14.8 V".
func showRange(r Range, unitName string) string {
	if r.Lo == r.Hi {
		return show(r.Lo, unitName)
	}
	lo, _, _ := strings.Cut(show(r.Lo, unitName), " ")
	return lo + " to " + show(r.Hi, unitName)
}
