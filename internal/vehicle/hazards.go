package vehicle

import (
	"fmt"
	"maps"
	"slices"
)

// Moves reports whether a crank would move the vehicle.
func (v *Vehicle) Moves() bool { return v.par.Seen.InGear }

// PutRight cures what is no fault in the hardware, such as a lever that was not in
// park. Of any other fault it changes nothing.
func (v *Vehicle) PutRight(fault string) {
	if fault != "operator" {
		return
	}
	v.faults = slices.DeleteFunc(v.faults, func(f Fault) bool { return f.ID == fault })
	v.rebuild()
}

// Classes lists the engine classes that vehicles are drawn from.
func Classes() []string {
	var out []string
	for _, s := range engineSets {
		out = append(out, s.class)
	}
	return out
}

// PutInGear leaves the lever in gear, or takes it out.
func (v *Vehicle) PutInGear(in bool) {
	v.base.Seen.InGear = in
	v.rebuild()
}

// Has reports as an error a word that is no point of this vehicle.
func (v *Vehicle) Has(points ...string) error {
	for _, p := range points {
		if _, err := v.point(p); err != nil {
			return err
		}
	}
	return nil
}

// HasLead reports as an error a word that is no place for a clamp.
func (v *Vehicle) HasLead(lead string) error {
	if _, known := leads[lead]; !known {
		return fmt.Errorf("there is no lead %q for a clamp", lead)
	}
	return nil
}

// Things lists what can be looked at.
func Things() []string { return slices.Sorted(maps.Keys(things)) }

// Points lists where probes and clamps can be put.
func Points() []string {
	out := slices.Collect(maps.Keys(points))
	return slices.Sorted(slices.Values(slices.AppendSeq(out, maps.Keys(leads))))
}
