package vehicle

import (
	"slices"
	"sort"
)

// repairs says which parts each repair renews, cleans or puts right. A repair of a
// part that was sound changes nothing but the battery: a new one is charged. The
// words include those that the shipped trees give as the action of a finding.
var repairs = map[string][]string{
	"fit_battery":              {"battery"},
	"replace_battery":          {"battery"},
	"make_safe_and_replace":    {"battery"},
	"fit_second_battery":       {"second battery"},
	"thaw":                     {"thaw"},
	"clean_positive_joint":     {"positive joint"},
	"repair_positive_joint":    {"positive joint"},
	"clean_negative_joint":     {"negative joint"},
	"repair_negative_joint":    {"negative joint", "positive joint"},
	"fit_positive_cable":       {"positive cable"},
	"repair_positive_cable":    {"positive cable"},
	"clean_positive_feed":      {"positive feed"},
	"repair_positive_feed":     {"positive feed"},
	"fit_earth_cable":          {"earth cable"},
	"fit_strap":                {"engine strap"},
	"repair_earth":             {"earth cable", "engine strap", "negative joint"},
	"fit_main_fuse":            {"main fuse"},
	"repair_main_feed":         {"main fuse"},
	"fit_jump_leads":           {"jump leads"},
	"fit_starter":              {"starter"},
	"replace_starter":          {"starter"},
	"make_safe_and_repair":     {"starter", "start relay"},
	"fit_start_fuse":           {"start fuse"},
	"repair_start_fuse":        {"start fuse"},
	"mend_start_feed":          {"start feed"},
	"repair_start_feed":        {"start feed"},
	"fit_start_relay":          {"start relay"},
	"replace_relay":            {"start relay"},
	"mend_coil_earth":          {"coil earth", "gear switch"},
	"repair_coil_earth":        {"coil earth", "gear switch"},
	"fit_ignition_switch":      {"ignition switch"},
	"repair_ignition_switch":   {"ignition switch"},
	"mend_start_wire":          {"start wire", "gear switch"},
	"repair_start_wire":        {"start wire", "gear switch"},
	"mend_trigger_wire":        {"trigger wire"},
	"repair_trigger_wire":      {"trigger wire"},
	"fit_gear_switch":          {"gear switch"},
	"repair_gear_switch":       {"gear switch"},
	"teach_key":                {"immobiliser"},
	"repair_immobiliser":       {"immobiliser"},
	"mend_engine":              {"engine"},
	"repair_engine":            {"engine"},
	"mend_fuel_and_ignition":   {"fuel and ignition"},
	"find_the_drawing_circuit": {"drawing circuit"},
	"fit_alternator":           {"alternator"},
	"fit_belt":                 {"belt"},
	"fit_charge_cable":         {"charge cable"},
}

// Mends gives the repair that puts a fault right, empty for none: what a charge
// cures, and what is no fault in the hardware.
func Mends(fault string) string {
	part := kinds[fault].Part
	var names []string
	for name, parts := range repairs {
		if len(parts) == 1 && parts[0] == part {
			names = append(names, name)
		}
	}
	sort.Strings(names)
	if len(names) == 0 {
		return ""
	}
	return names[0]
}

// mend renews parts. Work on the battery's side is done with everything off, and
// takes half an hour.
func (v *Vehicle) mend(parts []string) {
	v.off()
	v.base.Seen.Complaint = "" // what brought it in has been acted on
	for _, part := range parts {
		switch part {
		case "battery":
			v.fitBattery()
		case "thaw":
			v.thaw()
		}
		v.forget(part)
	}
	v.pass(repairSeconds)
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
	if frozen && v.rng.Float64() < 0.5 {
		v.faults = append(v.faults, Fault{"battery_broken_link", v.rng.Float64()})
	}
	v.rebuild()
}
