package vehicle

import "slices"

// Unsafe says why the battery must not be charged, loaded, cranked or jumped now;
// empty if it may be.
func (v *Vehicle) Unsafe() string { return v.unsafe() }

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
