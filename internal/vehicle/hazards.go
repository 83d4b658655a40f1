package vehicle

import "fmt"

// Hazard is the error of an act that would hurt somebody or break something. The
// act is not done.
type Hazard struct {
	Act string
	Why string
}

func (h *Hazard) Error() string { return fmt.Sprintf("%s: stopped: %s", h.Act, h.Why) }

// Unsafe says why the battery must not be charged, loaded, cranked or jumped;
// empty if it may.
func (v *Vehicle) Unsafe() string {
	switch {
	case v.par.Battery.Frozen(&v.charge):
		return "the battery is frozen, and a frozen battery can burst"
	case v.par.Seen.Case != "sound":
		return "the case is " + v.par.Seen.Case + ", and such a battery can burst or spray acid"
	case v.par.Seen.Leaks == "wet":
		return "the battery leaks acid"
	case v.par.Seen.Leaks == "smells":
		return "the battery gives off gas, and a spark can set it off"
	}
	return ""
}

// Moves reports whether a crank would move the vehicle.
func (v *Vehicle) Moves() bool { return v.par.Seen.InGear }

// PutInGear leaves the lever in gear, or takes it out.
func (v *Vehicle) PutInGear(in bool) {
	v.base.Seen.InGear = in
	v.rebuild()
}

// inGear is the hazard of an act that cranks the engine in gear.
func (v *Vehicle) inGear(act string) error {
	if v.par.Seen.InGear {
		return &Hazard{act, "it is in gear, and the vehicle would move"}
	}
	return nil
}
