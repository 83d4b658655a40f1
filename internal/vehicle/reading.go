package vehicle

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// Reading is what a meter shows.
type Reading struct {
	Value float64
	Unit  string // "V", "A" or "°C"
	State string // "unsteady" or "over range" instead of a value
	Low   float64
	High  float64 // between which an unsteady display moves
	True  float64 // between the points that were meant, without the meter
}

// Seconds that readings take. Source: common practice, no source.
const (
	crankSeconds = 3.0
	firstSeconds = 0.5
	probeSeconds = 15.0
)

// Read puts the red and the black probe on two points and reads volts.
//
// hold says what is taken: settled (the display has come to rest), plateau (the
// mean of a crank after its first second), first (both windings in, the contact
// still open), lowest, highest (a peak hold over a crank), ripple (alternating
// volts), or "at: 15 s". An unknown point or hold is an error, and so is a point
// that this vehicle does not have.
func (v *Vehicle) Read(red, black, hold string, m *Meter) (Reading, error) {
	r, b, err := v.probes(red, black)
	if err != nil {
		return Reading{}, err
	}
	if hold == "lowest" || hold == "highest" {
		return v.readPeak(r, b, hold, m)
	}
	s, err := v.await(hold)
	if err != nil {
		return Reading{}, err
	}
	if hold == "ripple" {
		return v.display(v.ripple(r, b), "V", m), nil
	}
	out := v.display(s.between(r, b), "V", m)
	if v.attached.tester > 0 && strings.HasPrefix(hold, "at:") {
		v.attached.tester, v.solved = 0, false // a load test ends with its reading
	}
	if v.isCranking() && v.turned.outcome == Rattles {
		open, shut := v.turned.first.between(r, b), v.turned.inrush.between(r, b)
		out.Low, out.High = min(open, shut), max(open, shut)
		if out.High-out.Low > unsteadyVolts {
			out.State = "unsteady"
		}
	}
	return out, nil
}

// unsteadyVolts is how far a display may jump and still be read. Modelling choice.
const unsteadyVolts = 0.5

// Current closes a clamp round a lead, or puts a meter into it, and reads amperes.
// The meter is turned so that the current runs along its arrow, so the value is never negative; Low is
// the signed current, positive out of the battery.
func (v *Vehicle) Current(lead, hold string, m *Meter) (Reading, error) {
	if err := v.HasLead(lead); err != nil {
		return Reading{}, err
	}
	s, err := v.await(hold)
	if err != nil {
		return Reading{}, err
	}
	i := leads[lead](s)
	out := v.display(math.Abs(i), "A", m)
	out.True, out.Low, out.High = math.Abs(i), i, i
	return out, nil
}

// probes finds the nodes of two points.
func (v *Vehicle) probes(red, black string) (r, b Node, err error) {
	if r, err = v.point(red); err == nil {
		b, err = v.point(black)
	}
	return r, b, err
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
	if leads[lead] == nil {
		return fmt.Errorf("there is no lead %q for a clamp", lead)
	}
	return nil
}

// point finds a node by its word.
func (v *Vehicle) point(name string) (Node, error) {
	n, known := points[name]
	switch {
	case !known:
		return 0, fmt.Errorf("there is no point %q on this vehicle", name)
	case !v.par.RelayFitted && withRelayOnly[name]:
		return 0, fmt.Errorf("this vehicle has no start relay, so no point %q", name)
	}
	return n, nil
}

// await lets the time pass that a reading takes and gives the solution that it
// sees.
func (v *Vehicle) await(hold string) (*solution, error) {
	seconds := probeSeconds
	switch {
	case strings.HasPrefix(hold, "at:"):
		s, err := Seconds(strings.TrimPrefix(hold, "at:"))
		if err != nil {
			return nil, err
		}
		seconds = s
	case hold == "", hold == "settled", hold == "plateau", hold == "first", hold == "ripple":
	default:
		return nil, fmt.Errorf("there is no hold %q: it is settled, plateau, lowest, highest, ripple, first or such as \"at: 15 s\"", hold)
	}
	if !v.isCranking() {
		v.pass(seconds)
		return v.solve(), nil
	}
	s := v.solve()
	if hold == "first" {
		s = &v.turned.first
		seconds = firstSeconds
	} else {
		seconds = crankSeconds
	}
	k := v.turned
	v.spend(&k, seconds)
	return s, nil
}

// Seconds reads a duration such as "15 s", "30 min" or "8 h".
func Seconds(s string) (float64, error) {
	fields := strings.Fields(s)
	if len(fields) == 2 {
		n, err := strconv.ParseFloat(fields[0], 64)
		unit, known := map[string]time.Duration{"s": time.Second, "min": time.Minute, "h": time.Hour, "d": 24 * time.Hour}[fields[1]]
		if err == nil && known && n >= 0 && n <= 1e6 {
			return n * unit.Seconds(), nil
		}
	}
	return 0, fmt.Errorf("%q is no duration: it wants a number and s, min, h or d, such as \"15 s\"", strings.TrimSpace(s))
}

// display sends a value through the meter.
func (v *Vehicle) display(x float64, unit string, m *Meter) Reading {
	shown, over := m.show(x)
	r := Reading{Value: shown, Unit: unit, True: x}
	if over {
		r.State = "over range"
	}
	return r
}

// ripple is the alternating voltage that the alternator leaves between two points, as
// a meter shows it. It falls from the alternator to the posts by what the wiring and
// the battery leave of it.
func (v *Vehicle) ripple(red, black Node) float64 {
	if v.state.engine < idling {
		return 0
	}
	share := rippleAtPosts
	if red == alternatorOutput || black == alternatorOutput {
		share = 1
	}
	return share * v.par.Alternator.ripple(-v.solve().devices[dAlternator], v.engineSpeed())
}

// rippleAtPosts is what is left of it at the battery. Modelling choice.
const rippleAtPosts = 0.7
