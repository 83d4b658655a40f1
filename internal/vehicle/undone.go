package vehicle

import "fmt"

// undone are the things that a step leaves undone until they are put back.
var undone = map[string]func(v *Vehicle, left bool){
	"start_prevented":       func(v *Vehicle, left bool) { v.attached.safe = left },
	"second_battery_parted": func(v *Vehicle, left bool) { v.attached.parted = left },
	"negative_lead_off":     func(v *Vehicle, left bool) { v.attached.leadOff = left },
	"alternator_lead_off":   func(v *Vehicle, left bool) { v.attached.alternatorOff = left },
	"meter_in_series":       func(v *Vehicle, left bool) { v.attached.series = left },
	"booster_connected":     func(v *Vehicle, left bool) { v.attached.booster = left },
	"bypass_lead":           func(v *Vehicle, left bool) { v.attached.bypass = left },
	"charger_connected":     func(v *Vehicle, left bool) { v.state.charger = left },
	"latches_held":          func(v *Vehicle, left bool) { v.state.door = v.state.door && !left }, // held, so that the modules go to sleep
}

// burden is the resistance of an ammeter in the negative lead, Ω. Source: from
// memory.
const burden = 0.03

// Leave leaves something undone, by the tree's word for it; PutBack puts it back.
// An unknown word is an error.
func (v *Vehicle) Leave(word string) error { return v.leave(word, true) }

// PutBack undoes Leave.
func (v *Vehicle) PutBack(word string) error { return v.leave(word, false) }

func (v *Vehicle) leave(word string, left bool) error {
	do, known := undone[word]
	if !known {
		return fmt.Errorf("there is nothing called %q that can be left undone", word)
	}
	if word == "charger_connected" && v.state.charger && !left {
		v.history.charged = v.clock
	}
	do(v, left)
	v.solved = false
	return nil
}
