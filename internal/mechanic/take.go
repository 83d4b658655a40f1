package mechanic

import (
	"maps"
	"math"
	"math/rand/v2"

	"deadflat/internal/engine"
	"deadflat/internal/vehicle"
)

// Take takes one reading: it sets the vehicle to the state that the reading asks
// for, and measures, looks, or asks. The error is errCannot for what this vehicle
// does not give.
func (m *Mechanic) Take(r *engine.Reading) (engine.Answer, error) {
	if m.person.cannot(r) || m.set(r) != nil {
		return engine.Answer{}, errCannot
	}
	if said, ok := m.job.tells(r.ID); ok {
		return engine.Answer{Choice: []string{said}}, nil
	}
	if !r.Number() {
		choice, ok := m.Vehicle.Observe(r.ID)
		if !ok {
			return engine.Answer{}, errCannot
		}
		return engine.Answer{Choice: []string{m.person.calls(r, choice)}}, nil
	}
	if r.Meter == Thermometer && m.person.lacks[Thermometer] {
		return engine.Answer{Value: m.person.guessed(r, m.Vehicle), Unit: "°C", OutBy: guessOutBy}, nil
	}
	got, held, err := m.measure(r)
	if err != nil {
		return engine.Answer{}, err
	}
	if got.State == "over range" {
		return engine.Answer{State: got.State}, nil
	}
	// A rattling display is read as people read it: what it keeps coming back to.
	return engine.Answer{Value: got.Value, Unit: got.Unit, Held: held}, nil
}

// measure reads a number: with probes, with a clamp or a meter in the lead, or off
// a gauge or a label. held is what is said of a peak hold, which half of those who
// used one say.
func (m *Mechanic) measure(r *engine.Reading) (got vehicle.Reading, held string, err error) {
	meter := m.meters[r.Meter]
	if meter == nil {
		meter = vehicle.Exact()
	}
	p := m.person
	switch {
	case r.Red != "":
		red, black, hold := p.places(r)
		got, err = m.Vehicle.Read(red, black, hold, meter)
		got.Value = p.shown(r, got.Value)
		if hold != r.Hold && p.rng.Float64() < 0.5 {
			held = hold
		}
	case r.Clamp != "":
		got, err = m.Vehicle.Current(r.Clamp, r.Hold, meter)
		if r.Meter == "amps_clamp" {
			got.Value = p.clamped(got.Value)
		}
	default:
		var ok bool
		if got, ok = m.Vehicle.Gauge(r.ID, meter); !ok {
			return got, "", errCannot
		}
		got.Value = p.misread(r, got.Value)
	}
	if err != nil {
		return got, "", errCannot // a point that this vehicle has not
	}
	if m.meters[r.Meter] == nil {
		got.Value = math.Round(got.Value*finest) / finest
	}
	return got, held, nil
}

// finest is how many steps of a volt or an ampere are told apart without a meter of the make,
// such as on a millivolt range: fewer digits than differ from one machine to the next.
const finest = 1e6

// set brings the vehicle into the state that a reading asks for. Of readings that
// come of one act, those that name no state are taken in the state of the others.
func (m *Mechanic) set(r *engine.Reading) error {
	want := r.Vehicle
	if len(want) == 0 {
		want = m.oneAct
	}
	if len(want) == 0 {
		return nil
	}
	if want["doors"] == "closed" && want["key"] == "key_off" && m.person.slip(forgotten) {
		want = maps.Clone(want)
		want["doors"] = "open"
	}
	loaded := m.loaded()
	if err := m.Vehicle.Set(want); err != nil {
		return err
	}
	m.state = maps.Clone(want)
	if loaded && !m.loaded() && r.Hold == "settled" {
		return m.Vehicle.Act("wait", comesToRest)
	}
	return nil
}

// comesToRest is how long somebody waits for a display to settle once a load has
// gone off. Source: common practice, no source.
const comesToRest = "2 min"

// loaded reports whether something is switched on.
func (m *Mechanic) loaded() bool {
	return m.state["key"] == "key_on" || m.state["doors"] == "open" || m.state["loads"] == "small_loads" || m.state["loads"] == "heavy_loads"
}

// functions are the functions of a meter that a vehicle's reading can need.
var functions = []string{"volts_dc", "volts_ac", "amps_clamp", "amps_dc", "thermometer"}

// metersOf picks one meter of the make: each function with errors of its own, fixed
// for the whole job.
func metersOf(m *engine.Meter, rng *rand.Rand) map[string]*vehicle.Meter {
	out := map[string]*vehicle.Meter{}
	for _, f := range functions {
		var spec vehicle.MeterSpec
		for _, r := range m.Ranges(f) {
			spec.Ranges = append(spec.Ranges, vehicle.Range{UpTo: r.UpTo, Percent: r.Percent, Digits: r.Digits, Resolution: r.Resolution})
		}
		out[f] = vehicle.NewMeter(spec, rng)
	}
	return out
}
