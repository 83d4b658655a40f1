package drill

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"deadflat/internal/engine"
)

// shown is what a test shows on one vehicle: a number, words, or nothing at all.
type shown struct {
	number float64
	unit   string // "V" or "A"; empty for words
	words  string
	none   bool   // it cannot be had on this vehicle
	also   string // what was seen beside it and tells nothing of a fault
}

func (s shown) text() string {
	switch {
	case s.none:
		return "That cannot be read here."
	case s.unit == "" && s.words != "" && s.also != "":
		return s.words + "; " + s.also
	case s.unit == "":
		return s.words + s.also
	}
	return strings.TrimSpace(strconv.FormatFloat(s.number, 'f', -1, 64) + " " + s.unit + " " + s.words)
}

// procedure is something that is done at a vehicle to learn from it. It takes its time
// and leaves its mark there.
type procedure func(*bay) shown

// test is a test that was typed or could be, or an act that is none: it has no procedure.
type test struct {
	line    string
	minutes float64
	do      procedure
	guard   func(d *Drill) string // does what must be thought of before; what it says stops the test
	cannot  string                // what such a reading cannot tell
	jolt    bool                  // a peak hold: see jolt
	waits   bool                  // its time goes by without anybody's work
	changes bool                  // the vehicle is another after it
	reading *engine.Reading       // nil where nothing is measured
}

// grid are the values between which two readings count as different in a
// reckoning, by unit. They are coarser than what a workshop meter is out by, and
// lie where the shipped trees have their limits. Modelling choice.
var grid = map[string][]float64{
	"V": {-0.5, 0.08, 0.25, 0.5, 1, 2, 5, 8, 9.6, 10.5, 11.3, 12, 12.4, 12.7, 13.2, 14, 15},
	"A": {0.06, 1, 8, 60, 120, 250, 450},
}

// cell is where in the grid a test's showing lies.
func (s shown) cell() string {
	switch {
	case s.none:
		return "none"
	case s.unit == "" || s.words != "":
		return s.words
	}
	at, _ := slices.BinarySearch(grid[s.unit], s.number)
	return s.unit + strconv.Itoa(at)
}

// How far a reading may lie outside what a suspect's vehicles show: in its unit,
// and as a share of it. Modelling choice, for what lies between the samples.
const (
	nearBase  = 0.08
	nearShare = 0.04
)

// couldShow reports whether some vehicles could have shown what was shown: one of
// them in words, or in numbers what lies between them.
func couldShow(s shown, all []shown) bool {
	low, high := math.Inf(1), math.Inf(-1)
	for _, x := range all {
		switch {
		case x.none && s.none, s.unit == "" && x.unit == "" && x.words == s.words:
			return true
		case x.unit == s.unit && x.unit != "" && x.words == s.words:
			low, high = math.Min(low, x.number), math.Max(high, x.number)
		}
	}
	near := nearBase + nearShare*math.Abs(s.number)
	return s.unit != "" && s.number >= low-near && s.number <= high+near
}

// reading is a reading in a state that was typed: what is not named is off.
func reading(words []string) (*engine.Reading, error) {
	r := &engine.Reading{Vehicle: map[string]string{}, Hold: "settled", Meter: "volts_dc"}
	for len(words) > 0 {
		w, left, err := phrase(words, stateWords(), "state", "states")
		if err != nil {
			return nil, err
		}
		words = left
		if slices.Contains(holds, w) {
			r.Hold = w
			continue
		}
		r.Vehicle[stateOf(w)] = w
	}
	if r.Vehicle["engine"] == "cranking" {
		r.Vehicle["key"] = "key_start"
	}
	if runs(r.Vehicle) && r.Vehicle["key"] == "" {
		r.Vehicle["key"] = "key_on"
	}
	if r.Vehicle["key"] == "key_start" && r.Hold == "settled" {
		r.Hold = "plateau"
	}
	if r.Hold == "ripple" {
		r.Meter = "volts_ac"
	}
	for _, s := range states {
		if _, given := r.Vehicle[s.kind]; !given && (s.kind != "engine" || r.Vehicle["key"] != "key_start") {
			r.Vehicle[s.kind] = s.off()
		}
	}
	return r, nil
}

// runs reports whether a state has the engine running.
func runs(state map[string]string) bool {
	return slices.Contains([]string{"running", "idling", "revving"}, state["engine"])
}

// heldInStart reports whether a reading is taken with the key held in start.
func heldInStart(r *engine.Reading) bool { return r.Vehicle["key"] == "key_start" }

// peak reports whether a reading is a peak hold over a crank.
func peak(r *engine.Reading) bool { return r.Hold == "lowest" || r.Hold == "highest" }

// read is the test of a reading with the meter.
func read(r *engine.Reading, unit string) procedure {
	return func(b *bay) shown {
		a, err := b.m.Take(r)
		b.m.LetGo()
		switch {
		case err != nil:
			return shown{none: true}
		case a.State != "":
			return shown{words: a.State}
		}
		return shown{number: a.Value + 0, unit: unit}
	}
}

// jolt stands for a peak hold on a suspect. The first jolt is much the same
// whatever is wrong, so it is held against nobody; what is heard meanwhile is.
func jolt(b *bay) shown { return heard(b, 1.5) }

// turnedAs begins what is heard of a crank.
const turnedAs = "what the engine did: "

// heard is what is heard while the key is held for so many seconds.
func heard(b *bay, seconds float64) shown {
	words, _ := b.v.Observe("engine_turned")
	_ = b.v.Act("crank", fmt.Sprintf("%g s", seconds)) // a hazard was looked for before
	return shown{words: turnedAs + told(words)}
}
