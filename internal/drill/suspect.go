package drill

import (
	"math"
	"math/rand/v2"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/vehicle"
)

// suspect is one fault that might be the one, on vehicles that are otherwise the
// same.
type suspect struct {
	fault   string
	benches []*bench // how bad it is, from mild to severe
	cleared bool
}

// severities are those that stand for a fault. Modelling choice: close enough that
// every form of a fault, and every look of it, is among them.
var severities = [...]float64{0.02, 0.1, 0.17, 0.24, 0.31, 0.38, 0.45, 0.52, 0.59, 0.66, 0.73, 0.8, 0.87, 0.94, 0.99}

// suspectsOf makes one for each fault.
func suspectsOf(v *vehicle.Vehicle, meter *engine.Meter) ([]*suspect, error) {
	var out []*suspect
	for _, k := range vehicle.Kinds() {
		if k.Part == "nothing" || k.Part == "jump leads" {
			continue
		}
		s := &suspect{fault: k.ID}
		for i, x := range severities {
			twin, err := v.Twin(vehicle.Fault{ID: k.ID, Severity: x})
			if err != nil {
				return nil, err
			}
			s.benches = append(s.benches, newBench(twin, meter, rand.New(rand.NewPCG(uint64(i), 1))))
		}
		out = append(out, s)
	}
	return out, nil
}

// possible counts those that nothing has cleared.
func (d *Drill) possible() int {
	n := 0
	for _, s := range d.suspects {
		if !s.cleared {
			n++
		}
	}
	return n
}

// alike does the same to every suspect's vehicles.
func (d *Drill) alike(do func(*bench)) {
	for _, s := range d.suspects {
		for _, b := range s.benches {
			do(b)
		}
	}
}

// weigh clears the suspects that could not have shown what was shown. What is truly
// hidden is never cleared: two faults together may show what neither does alone.
func (d *Drill) weigh(could func(*suspect) bool) {
	for _, s := range d.suspects {
		if !could(s) && !slices.Contains(d.Hidden, s.fault) {
			s.cleared = true
		}
	}
}

// near is how far a reading may lie outside what a suspect's vehicles show: V or A,
// and as a share of it. Modelling choice, for what lies between the samples.
const (
	nearBase  = 0.08
	nearShare = 0.04
)

// couldRead reports whether a number lies in what a suspect's vehicles show.
func couldRead(shown float64, reads []float64) bool {
	low, high := math.Inf(1), math.Inf(-1)
	for _, x := range reads {
		low, high = math.Min(low, x), math.Max(high, x)
	}
	near := nearBase + nearShare*math.Abs(shown)
	return len(reads) == 0 || shown >= low-near && shown <= high+near
}
