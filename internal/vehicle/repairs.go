package vehicle

import (
	"math"
	"slices"
)

// repairs says which part each repair renews, cleans or puts right. A repair of a
// part that was sound changes nothing but the battery: a new one is charged.
var repairs = map[string]string{
	"fit_battery":              "battery",
	"fit_second_battery":       "second battery",
	"thaw":                     "thaw",
	"clean_positive_joint":     "positive joint",
	"clean_negative_joint":     "negative joint",
	"fit_positive_cable":       "positive cable",
	"clean_positive_feed":      "positive feed",
	"fit_earth_cable":          "earth cable",
	"fit_strap":                "engine strap",
	"fit_main_fuse":            "main fuse",
	"fit_jump_leads":           "jump leads",
	"fit_starter":              "starter",
	"fit_start_fuse":           "start fuse",
	"mend_start_feed":          "start feed",
	"fit_start_relay":          "start relay",
	"mend_coil_earth":          "coil earth",
	"fit_ignition_switch":      "ignition switch",
	"mend_start_wire":          "start wire",
	"mend_trigger_wire":        "trigger wire",
	"fit_gear_switch":          "gear switch",
	"teach_key":                "immobiliser",
	"mend_engine":              "engine",
	"mend_fuel_and_ignition":   "fuel and ignition",
	"mend_the_drawing_circuit": "drawing circuit",
	"fit_alternator":           "alternator",
	"fit_belt":                 "belt",
	"mend_charge_cable":        "charge cable",
}

// Mends gives the repair for a fault, empty for what a charge cures and for what
// is no fault in the hardware. An answerer that has come to a finding does the
// repairs of the faults that the finding names.
func Mends(fault string) string {
	for name, part := range repairs {
		if part == kinds[fault].Part {
			return name
		}
	}
	return ""
}

// mend renews a part. Work on the battery's side is done with everything off, and
// takes half an hour.
func (v *Vehicle) mend(part string) {
	v.off()
	v.base.Seen.Complaint = "" // what brought it in has been acted on
	switch part {
	case "battery":
		v.fitBattery()
	case "thaw":
		v.thaw()
	}
	v.renew(part)
	v.forget(part)
	v.pass(repairSeconds)
}

// wears are the branches that a repair makes as good as new, worn or not. A battery's
// joints are made anew with it.
var wears = map[string][]branch{
	"battery":        {bPosJoint, bNegJoint},
	"positive joint": {bPosJoint},
	"negative joint": {bNegJoint},
	"positive cable": {bPosCable},
	"earth cable":    {bEarth},
	"engine strap":   {bStrap},
	"main fuse":      {bMainFuse},
	"starter":        {bContact, bCase},
	"start fuse":     {bStartFuse},
	"start feed":     {bStartFeed},
	"start relay":    {bRelay},
	"trigger wire":   {bTriggerWire},
	"charge cable":   {bAltCable, bAltCase},
}

// renew takes the wear off a part that is renewed or cleaned.
func (v *Vehicle) renew(part string) {
	for _, b := range wears[part] {
		if was := v.base.Ohm[b]; !math.IsInf(was, 1) {
			v.base.Ohm[b] = min(was, wiring[b].ohm)
		}
	}
	switch part {
	case "battery":
		v.base.Seen.Positive, v.base.Seen.Negative = "clean and tight", "clean and tight"
	case "positive joint":
		v.base.Seen.Positive = "clean and tight"
	case "negative joint":
		v.base.Seen.Negative = "clean and tight"
	}
}

// PutRight cures what is no fault in the hardware, such as a lever that was not in
// park. Of any other fault it changes nothing.
func (v *Vehicle) PutRight(fault string) {
	if fault == "operator" {
		v.faults = slices.DeleteFunc(v.faults, func(f Fault) bool { return f.ID == fault })
		v.rebuild()
	}
}

// repairSeconds is what a repair takes. Source: guess.
const repairSeconds = 1800

// forget takes the faults of a part away.
func (v *Vehicle) forget(part string) {
	v.faults = slices.DeleteFunc(v.faults, func(f Fault) bool { return kinds[f.ID].Part == part })
	v.loose = false
	v.rebuild()
}

// fitBattery puts in a new, charged battery of the type and rating that the
// vehicle asks for.
func (v *Vehicle) fitBattery() {
	old := v.base.Battery
	v.base.Battery = Battery{
		Chemistry: old.Chemistry, Rated: old.Rated, Standard: old.Standard, Capacity: old.Capacity,
		Health: 1, CapacityLeft: 1, Acceptance: 1,
	}
	v.base.Seen.Case, v.base.Seen.Leaks = "sound", "dry"
	v.forget("charge")
	v.forget("thaw")
	v.charge = Charge{Level: 0.97, Celsius: v.par.Celsius}
	v.history.last = charged{}
	v.base.Seen.MadeYear = newYear
}

// thaw brings vehicle and battery into the warm. A battery that was frozen may
// come out of it broken. Source: modelling choice, one in two.
func (v *Vehicle) thaw() {
	frozen := v.par.Battery.Frozen(&v.charge)
	level := v.charge.Level
	v.forget("thaw")
	v.base.Celsius = max(v.base.Celsius, 15)
	v.base.Charge.Celsius = v.base.Celsius
	v.charge.Celsius = v.base.Celsius
	v.charge.Level = level
	v.clock += 24 * 3600
	v.faults = append(v.faults, Fault{"battery_discharged", 1 - level})
	if frozen && v.rng.Float64() < 0.5 {
		v.faults = append(v.faults, Fault{"battery_broken_link", v.rng.Float64()})
	}
	v.rebuild()
}
