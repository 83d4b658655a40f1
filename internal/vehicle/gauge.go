package vehicle

// Gauge gives a number that is read without probes, by the name of its reading:
// temperatures through a thermometer, and what is written on a label. ok is false
// for any other name.
func (v *Vehicle) Gauge(name string, m *Meter) (r Reading, ok bool) {
	switch name {
	case "battery_temp":
		// The skin of the case lies between the battery and the air.
		r = v.display(v.charge.Celsius+skinShare*(v.par.Celsius-v.charge.Celsius), "°C", m)
		r.True = v.charge.Celsius
	case "regulator_temp":
		warm := v.par.Celsius
		if v.state.engine >= idling {
			warm += underBonnet
		}
		r = v.display(warm, "°C", m)
	case "rating":
		r = written(v.par.Battery.Rated, "A")
	case "asked_rating", "new_rating":
		r = written(v.base.Battery.Rated, "A")
	case "asked_capacity", "new_capacity":
		r = written(v.base.Battery.Capacity, "Ah")
	case "made_year":
		r = written(v.par.Seen.MadeYear, "1")
	case "new_made_year":
		r = written(newYear, "1")
	case "new_made_month":
		r = written(1, "1")
	case "odometer":
		r = written(v.par.Seen.Odometer, "1")
	case "vehicle_draw_limit":
		r = written(drawLimit, "A")
	case "reserve":
		r = written(v.par.Battery.reserve(), "1")
	case "fuse_rating":
		r = written(10, "A")
	case "days_standing":
		r = written(v.par.Seen.Days, "d")
	default:
		return Reading{}, false
	}
	return r, true
}

// drawLimit is what the vehicle's own data allow with the key off, A. Source: common
// practice, no source.
const drawLimit = 0.05

// written is a number that no meter comes into.
func written(x float64, unit string) Reading { return Reading{Value: x, Unit: unit, True: x} }

// skinShare is how far the skin of the case goes from the battery's temperature to
// the air's, underBonnet how much warmer it is there with the engine running, K.
// Modelling choices.
const (
	skinShare   = 0.1
	underBonnet = 15
)
