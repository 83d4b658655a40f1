package vehicle

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"

	"deadflat/internal/text"
)

// Seen is what of a vehicle only the eye, the ear or the customer can tell.
type Seen struct {
	Case     string // sound, bulged, cracked
	Leaks    string // dry, wet, smells
	Sealed   bool   // one cannot look inside
	Positive string // the clamp: clean and tight, corroded, loose, damaged
	Negative string

	Engine      string // sound, does not fire, no compression, kicks back
	Immobilised bool
	NoTelltale  bool // no lamp tells of it
	OtherGear   bool // the engine cranks with the lever or the clutch in another position
	JustCharged bool // driven or charged within the last hours

	ChargeSign string  // seen on the road: charge lamp, lamps follow the revs, boils or smells, none
	WhenFlat   string  // overnight, on the road, after short trips, after standing, once or not known
	LeftOn     string  // found switched on, owned up to, nothing known
	Drawing    string  // what draws with the key off: a lamp, something retrofitted, a unit or relay, not found
	Fitted     string  // as asked, smaller or lesser, not made known
	Days       float64 // since the last good drive
	MadeYear   float64 // of the battery

	Complaint string // what the customer says; empty: what a turn of the key shows
	Hours     bool   // there is time for a charge
	MayStart  bool
	InGear    bool // cranking would move it
	Odometer  float64
}

// usualSeen is a vehicle on which nothing meets the eye.
func usualSeen() Seen {
	return Seen{
		Case: "sound", Leaks: "dry", Positive: "clean and tight", Negative: "clean and tight",
		Engine: "sound", Hours: true, MayStart: true, Odometer: 90000,
		ChargeSign: "none", WhenFlat: "once or not known", LeftOn: "nothing known", Drawing: "not found", Fitted: "as asked", Days: 1, MadeYear: newYear - 3,
	}
}

// newYear is the date code of a battery fitted new.
const newYear = 2025

// things says what can be learnt by looking at a thing.
var things = map[string][]string{
	"battery_case":      {"danger", "case_feel", "cell_caps"},
	"battery_inside":    {"danger"},
	"battery_label":     {"chemistry", "rating", "rating_standard", "made_year", "high_cause", "battery_fitted"},
	"positive_terminal": {"positive_terminal"},
	"negative_terminal": {"negative_terminal", "charge_control"},
	"earth_lead":        {"earth_lands"},
	"instrument_panel":  {"start_look", "charge_lamp", "charge_signs", "odometer"},
	"alternator_belt":   {"belt_look", "belt_noise"},
	"start_fuse":        {"start_fuse"},
	"fuse_box":          {"fuses_show", "fuse_pulled", "consumer"},
	"crankshaft_bolt":   {"hand_turn_feel"},
	"vehicle":           {"battery_place", "engine_class", "crank_danger", "found_on"},
	"meter":             {"meter_check"},
}

// Things lists what can be looked at.
func Things() []string { return slices.Sorted(maps.Keys(things)) }

// See looks at a thing and gives what can be learnt there, by the names of the
// readings in the trees. A thing that it does not know gives nothing.
func (v *Vehicle) See(thing string) map[string]string {
	found := map[string]string{}
	for _, name := range things[thing] {
		found[name], _ = v.Observe(name)
	}
	return found
}

// Observe gives the answer to what is looked at, heard, felt or asked, by the name
// of its reading: a choice in the words of the trees, or yes or no. ok is false
// for what cannot be had by looking.
func (v *Vehicle) Observe(name string) (answer string, ok bool) {
	look, known := observations[name]
	if !known {
		return "", false
	}
	return look(v), true
}

// observations holds for each name how it is found. It is filled in init, since
// some of them crank the vehicle and cranking looks at others.
var observations map[string]func(*Vehicle) string

func init() {
	observations = map[string]func(*Vehicle) string{
		"battery_place":     (*Vehicle).place,
		"cell_caps":         func(v *Vehicle) string { return yes(!v.par.Seen.Sealed) },
		"chemistry":         func(v *Vehicle) string { return v.par.Battery.Chemistry.String() },
		"engine_class":      func(v *Vehicle) string { return v.par.Class },
		"rating":            func(v *Vehicle) string { return fmt.Sprintf("%.0f", v.par.Battery.Rated) },
		"rating_standard":   func(v *Vehicle) string { return v.par.Battery.Standard.Name },
		"odometer":          func(v *Vehicle) string { return fmt.Sprintf("%.0f", v.par.Seen.Odometer) },
		"made_year":         func(v *Vehicle) string { return fmt.Sprintf("%.0f", v.par.Seen.MadeYear) },
		"days_standing":     func(v *Vehicle) string { return fmt.Sprintf("%.0f", v.par.Seen.Days) },
		"battery_fitted":    func(v *Vehicle) string { return v.par.Seen.Fitted },
		"found_on":          func(v *Vehicle) string { return v.par.Seen.LeftOn },
		"charge_signs":      func(v *Vehicle) string { return v.par.Seen.ChargeSign },
		"when_flat":         func(v *Vehicle) string { return v.par.Seen.WhenFlat },
		"charge_control":    func(v *Vehicle) string { return word(v.par.Alternator.Smart, "commanded", "fixed") },
		"charge_lamp":       (*Vehicle).chargeLamp,
		"belt_look":         (*Vehicle).beltLook,
		"belt_noise":        func(v *Vehicle) string { return yes(v.par.Alternator.Slip > 0.2 && v.par.Alternator.Slip < 1) },
		"runs":              (*Vehicle).runs,
		"asked_type":        func(v *Vehicle) string { return v.base.Battery.Chemistry.String() },
		"new_type":          func(v *Vehicle) string { return v.base.Battery.Chemistry.String() },
		"starts_of_three":   (*Vehicle).startsOfThree,
		"all_back":          func(v *Vehicle) string { return yes(v.attached == attached{} && !v.state.charger) },
		"fuses_show":        func(v *Vehicle) string { return word(v.par.Consumers.Draw > 0, "one fuse", "none") },
		"fuse_pulled":       func(v *Vehicle) string { return word(v.par.Consumers.Draw > 0, "falls at one", "never falls") },
		"consumer":          func(v *Vehicle) string { return v.par.Seen.Drawing },
		"time_to_spare":     func(v *Vehicle) string { return word(v.par.Seen.Hours, "hours", "minutes") },
		"may_start":         func(v *Vehicle) string { return yes(v.par.Seen.MayStart) },
		"crank_danger":      func(v *Vehicle) string { return word(v.par.Seen.InGear, "in gear", "none") },
		"danger":            (*Vehicle).danger,
		"positive_terminal": func(v *Vehicle) string { return v.par.Seen.Positive },
		"negative_terminal": func(v *Vehicle) string { return v.par.Seen.Negative },
		"earth_lands":       (*Vehicle).earthLands,
		"high_cause":        (*Vehicle).whyHigh,
		"complaint":         (*Vehicle).complaint,
		"engine_turned":     (*Vehicle).engineTurned,
		"relay_fitted":      func(v *Vehicle) string { return yes(v.par.RelayFitted) },
		"start_look": func(v *Vehicle) string {
			return word(v.par.Seen.Immobilised && !v.par.Seen.NoTelltale, "immobiliser lamp on", "none")
		},
		"relay_swap":       (*Vehicle).relaySwap,
		"known_drain":      func(v *Vehicle) string { return yes(v.par.Seen.LeftOn != "nothing known" || v.par.Seen.Days > weeks) },
		"other_position":   (*Vehicle).otherPosition,
		"start_fuse":       (*Vehicle).startFuse,
		"test_lamp":        (*Vehicle).testLamp,
		"bypass_helps":     (*Vehicle).bypassHelps,
		"hand_turn_feel":   (*Vehicle).handTurn,
		"boost_result":     (*Vehicle).boostResult,
		"case_feel":        (*Vehicle).caseFeel,
		"charge_end":       (*Vehicle).chargeEnd,
		"longer_end":       (*Vehicle).chargeEnd,
		"wake_result":      (*Vehicle).wakeResult,
		"settled":          (*Vehicle).settledHow,
		"boot_opens":       (*Vehicle).bootOpens,
		"vent_pipe":        (*Vehicle).ventPipe,
		"works_now":        func(v *Vehicle) string { return yes(v.engineTurned() == "normally") },
		"fails_provoked":   func(v *Vehicle) string { return yes(v.par.Loose > 0) },
		"fails_when":       (*Vehicle).failsWhen,
		"wiggle":           (*Vehicle).wiggle,
		"collapsed_before": (*Vehicle).collapsedBefore,
		"posts_to_use":     func(v *Vehicle) string { return word(v.par.Rear, "jump posts", "battery itself") },
		"jump_turned":      (*Vehicle).jumpTurned,
		"plus_on_plus":     func(v *Vehicle) string { return yes(!v.par.Battery.Reversed) },
	}
	for name, answer := range same {
		observations[name] = func(*Vehicle) string { return answer }
	}
}

func word(is bool, then, otherwise string) string {
	if is {
		return then
	}
	return otherwise
}

func yes(is bool) string { return word(is, "yes", "no") }

func (v *Vehicle) place() string {
	switch {
	case v.par.Second.Fitted && !v.attached.parted:
		return "two batteries"
	case v.par.Rear:
		return "elsewhere"
	}
	return "bonnet"
}

// danger is what a look at the battery shows, before anything is touched.
func (v *Vehicle) danger() string {
	var seen []string
	if v.par.Seen.Case != "sound" {
		seen = append(seen, "bad case")
	}
	if v.par.Seen.Leaks != "dry" {
		seen = append(seen, "leak or smell")
	}
	if !v.par.Seen.Sealed && v.par.Battery.Frozen(&v.charge) {
		seen = append(seen, "ice")
	}
	if _, night := v.Air(); v.par.Seen.Sealed && night < 0 {
		seen = append(seen, "frost")
	}
	return cmp.Or(text.List(seen, "and"), "none")
}

func (v *Vehicle) earthLands() string {
	onBody, onBlock := !math.IsInf(v.par.Ohm[bEarth], 1), !math.IsInf(v.par.Ohm[bDirect], 1)
	switch {
	case onBody && onBlock:
		return "both"
	case onBlock:
		return "engine"
	}
	return "body"
}

// afterCharge is for how long a charge flatters a battery at rest, s. Source: common
// practice, no source.
const afterCharge = 4 * 3600.0

// whyHigh is why a battery at rest stands too high.
func (v *Vehicle) whyHigh() string {
	switch {
	case v.state.charger:
		return "charger connected"
	case v.clock-v.history.charged < afterCharge:
		return "just driven or charged"
	}
	return "none of these"
}

// weeks is how many days make "it has stood for weeks". Modelling choice.
const weeks = 14

// relaySwap is the start with a sound relay in the seat of this one.
func (v *Vehicle) relaySwap() string {
	k := v.suppose(func(w *Vehicle) { w.siemens[bRelay] = 1 / usualWiring()[bRelay] })
	return word(k.outcome == Turns, "cranks now", "still nothing")
}

func (v *Vehicle) otherPosition() string {
	k := v.suppose(func(w *Vehicle) {
		if w.par.Seen.OtherGear {
			w.siemens[bGearSwitch] = 1 / usualWiring()[bGearSwitch]
		}
	})
	return word(k.outcome == Turns, "cranks", "still nothing")
}

// chargeLamp is the charge lamp before the start and after it.
func (v *Vehicle) chargeLamp() string {
	a := &v.par.Alternator
	switch {
	case a.ExciterOpen:
		return "never lights"
	case a.NoField || a.Slip >= 1:
		return "stays on"
	}
	return "lights and goes out"
}

func (v *Vehicle) beltLook() string {
	switch slip := v.par.Alternator.Slip; {
	case slip >= 1:
		return "broken or off"
	case slip > 0.74:
		return "loose or glazed"
	}
	return "sound"
}

// runs reports whether the engine runs, or would if it were started now.
func (v *Vehicle) runs() string {
	if v.state.engine >= idling {
		return yes(true)
	}
	return yes(!v.attached.safe && v.fires(v.present()))
}

// startsOfThree is how three starts in a row go.
func (v *Vehicle) startsOfThree() string {
	if v.runs() == "no" {
		return "failed at least once"
	}
	return word(v.soundsSlow(v.present().speed), "slow but started", "three good starts")
}

// lampLights is the voltage at which a test lamp counts as lit. Modelling choice.
const lampLights = 6.0

func (v *Vehicle) startFuse() string {
	s := &v.present().steady
	in, out := s.between(startFuseInput, body), s.between(relayFeed, body)
	switch {
	case in < lampLights:
		return "dead on both sides"
	case out < lampLights:
		return "blown"
	}
	return "whole and live"
}

func (v *Vehicle) testLamp() string { return word(v.attached.lamp > 30, "55 watts", "21 watts") }

func (v *Vehicle) bypassHelps() string {
	before := v.present()
	after := v.suppose(func(w *Vehicle) { w.attached.bypass = true })
	return yes(after.outcome == Turns && (before.outcome != Turns || after.speed > 1.15*before.speed))
}

// Drag over which an engine is felt to be stiff, as a share of the healthy one's.
// Source: guess.
const stiffShare = 1.6

func (v *Vehicle) handTurn() string {
	switch {
	case v.par.Engine.Breakaway > 1e4:
		return "locked"
	case v.par.Engine.Drag > stiffShare*v.base.Engine.Drag:
		return "stiff"
	}
	return "freely"
}

func (v *Vehicle) boostResult() string {
	k := v.suppose(func(w *Vehicle) { w.attached.booster = true })
	switch {
	case k.outcome == Turns && !v.soundsSlow(k.speed):
		return "cranks normally"
	case k.outcome == Turns:
		return "still slow"
	case k.outcome == Silent || k.outcome == NoPull && !v.clicks(&k):
		return "nothing"
	}
	return "clunk or jerk"
}

func (v *Vehicle) caseFeel() string {
	charging := v.state.charger || v.state.engine >= idling || v.history.last.ended == hot || v.history.last.hours > 0
	switch {
	case v.par.Seen.Leaks == "smells":
		return "smells"
	case v.par.Battery.CellLoss > 1 && charging:
		return word(v.history.last.ended == hot, "hot", "warm")
	}
	return "cool"
}

func (v *Vehicle) chargeEnd() string {
	switch v.history.last.ended {
	case finished:
		return "finished by itself"
	case refused:
		return "would not start"
	case hot:
		return "stopped hot or smelling"
	}
	return "taken off early"
}

func (v *Vehicle) wakeResult() string {
	s := v.source(settled)
	rest, _ := s.volts(0)
	return word(rest >= v.par.Charger.Refuses, "takes a charge now", "still refuses")
}

func (v *Vehicle) settledHow() string {
	switch {
	case v.clock-v.history.charged >= afterCharge:
		return "stood four hours"
	case v.history.loaded > v.history.charged && v.clock-v.history.loaded >= 180:
		return "lamps then five minutes"
	}
	return "not yet"
}
