package eval

import (
	"math"
	"math/bits"
)

// Var is one answer that an expression may name: a reading's latest take, or
// the take at one step.
type Var struct {
	Domain
	ID    string // "rest_voltage" or "recheck.rest_voltage"
	Slot  int    // index into the values an expression is evaluated over
	Title string // for showing

	// The readings of which it is the highest, or with Least the lowest. Such a variable has
	// no slot and no value; it stands only in the sum of a Group, for those who prove.
	Of    []*Var
	Least bool
}

// State tells apart the ways an answer can be missing.
type State uint8

// The states of an answer. Only Taken and Assumed carry a value.
const (
	NotAsked State = iota
	Taken
	Assumed
	Skipped
	Unable
	Unsteady
	OverRange
)

// Value is what can be true of one answer.
//
// For a number: Best, and how far below and above it the truth can lie, in
// base units, apart from a proportional error Gain (a share of the value) that
// all values of the same Group have in common and that therefore cancels in
// their differences. Group 0 shares nothing.
//
// For a choice: Set, bit i for Choices[i].
type Value struct {
	Best, Below, Above float64
	Gain               float64
	Set                uint64
	Group              uint8
	State              State
	Stale              bool // taken before something that changed the vehicle
	Awaited            bool // about to be asked: nothing is known of it yet, not even whether it will be
}

// Known reports whether a decision may rest on the value.
func (v *Value) Known() bool {
	return (v.State == Taken || v.State == Assumed) && !v.Stale && !v.Awaited
}

// Range gives the lowest and the highest number that can be true.
func (v *Value) Range() (lo, hi float64) {
	g := v.Gain * math.Abs(v.Best)
	return v.Best - v.Below - g, v.Best + v.Above + g
}

// Certain reports whether a choice is down to one word, and which.
func (v *Value) Certain() (int, bool) {
	if bits.OnesCount64(v.Set) != 1 {
		return 0, false
	}
	return bits.TrailingZeros64(v.Set), true
}

// Exact is a number that is known without doubt.
func Exact(x float64) Value { return Value{Best: x, State: Taken} }

// One is a choice that is known without doubt.
func One(i int) Value { return Value{Set: 1 << uint(i), State: Taken} }

// Verdict is what an expression comes to.
type Verdict uint8

// The verdicts, ordered so that a table can be indexed by them.
const (
	False Verdict = iota
	True
	Open    // could be either: the doubt straddles the limit
	Unknown // needs an answer that nobody gave, or a stale one
)

func (v Verdict) String() string {
	return [...]string{"no", "yes", "too close to call", "not known"}[v]
}

func not(v Verdict) Verdict {
	switch v {
	case False:
		return True
	case True:
		return False
	}
	return v
}

// and and or keep Unknown apart from Open: a false side decides an "and"
// whatever the other side is, a true side decides an "or".
func and(a, b Verdict) Verdict {
	switch {
	case a == False || b == False:
		return False
	case a == Unknown || b == Unknown:
		return Unknown
	case a == Open || b == Open:
		return Open
	}
	return True
}

func or(a, b Verdict) Verdict { return not(and(not(a), not(b))) }
