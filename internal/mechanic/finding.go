package mechanic

import (
	"errors"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/vehicle"
)

// overNight is a charge that is booked, and the rest that a reading needs after it.
var overNight = [][2]string{{"charge", "12 h"}, {"all_off", "4 h"}}

// GoOn does what a finding asks for and begins the next round. It reports false
// when there is none.
func (m *Mechanic) GoOn(w *engine.Walk, r *engine.Result) (bool, error) {
	if err := m.putBack(w, r.PutBack); err != nil {
		return false, err
	}
	m.job.ends(r.Finding)
	if err := m.mend(r.Finding); err != nil {
		return false, err
	}
	if !r.CanGoOn {
		return false, nil
	}
	if r.Finding.Then.First == engine.FirstCharge {
		if err := m.charge(); err != nil {
			return false, err
		}
	}
	m.at, m.state = visit{}, nil
	return true, m.say(w, engine.Event{Do: engine.DoRound})
}

// charge charges the battery over a night, unless that is not safe.
func (m *Mechanic) charge() error {
	for _, a := range overNight {
		if m.Vehicle.Unsafe() != "" {
			break
		}
		if err := m.Vehicle.Act(a[0], a[1]); err != nil && !hazard(err) {
			return err
		}
	}
	return nil
}

func hazard(err error) bool {
	var h *vehicle.Hazard
	return errors.As(err, &h)
}

// putBack undoes what has been left, on the vehicle and in the walk.
func (m *Mechanic) putBack(w *engine.Walk, left []string) error {
	for _, word := range left {
		if err := m.Vehicle.PutBack(word); err != nil {
			return err
		}
		if err := m.say(w, engine.Event{Do: engine.DoPutBack, Text: word}); err != nil {
			return err
		}
	}
	return nil
}

// mend does the repairs of the faults that a finding names. A finding that says
// of the battery that it was flat asks for its cause, not for a repair; one that
// sends the walk on to another test asks for that.
func (m *Mechanic) mend(f *engine.Finding) error {
	if !Repairs(f) {
		return nil
	}
	m.job.mends(f)
	hidden := m.Vehicle.Faults()
	var done []string
	for _, k := range f.Faults {
		m.Vehicle.PutRight(k)
		repair := vehicle.Mends(k)
		if repair == "" || slices.Contains(done, repair) {
			continue
		}
		done = append(done, repair)
		needed := slices.ContainsFunc(hidden, func(k string) bool {
			// What a charge cures is no reason to renew a battery.
			return slices.Contains(f.Faults, k) && (repair != "fit_battery" || vehicle.Mends(k) != "")
		})
		m.Mended = append(m.Mended, Mended{f, repair, needed})
		if err := m.Vehicle.Act(repair, ""); err != nil {
			return err
		}
	}
	return nil
}

// Repairs reports whether the faults that a finding names are repaired at it.
func Repairs(f *engine.Finding) bool {
	return len(f.Faults) > 0 && (f.Then == nil || f.Then.First == engine.FirstRepair)
}

// Suspects reports whether a finding only suspects the faults that it names: the next
// round is a test for them.
func Suspects(f *engine.Finding) bool {
	return f.Then != nil && (f.Then.First == engine.FirstTest || f.Then.First == engine.FirstCause)
}
