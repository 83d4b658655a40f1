package trial

import (
	"gopkg.in/yaml.v3"

	"deadflat/internal/source"
	"deadflat/internal/vehicle"
)

// ReadPopulation reads a file that says what vehicles there are, over what is usual:
//
//	faults: {battery_worn_out: 18, key_off_draw: 8}   # weights; those left out do not occur
//	classes: {small petrol: 1, small diesel: 2}       # weights of engine classes
//	healthy: 0.03        # share with nothing wrong
//	two_faults: 0.15     # share of the others with a second fault
//	seasons: [{weight: 1, mean: 5, spread: 6}]        # air, °C
//	mistakes: 0.02       # share of probings that go wrong
//	hours: 0.85          # share with time for a charge
//
// It gives nil when there is a fault.
func ReadPopulation(name string, data []byte, faults *source.Faults) *vehicle.Population {
	before := faults.Len()
	file := source.Read(name, data, faults)
	if file == nil || file.Root == nil {
		return nil
	}
	r := source.Reader{File: file, Faults: faults}
	m := r.Map(file.Root)
	if m == nil {
		return nil
	}
	p := vehicle.UsualPopulation()
	p.Weights = weights(r, m.Get("faults"), kindIDs)
	p.Classes = weights(r, m.Get("classes"), vehicle.Classes())
	for _, x := range []struct {
		key string
		to  *float64
	}{{"healthy", &p.Healthy}, {"two_faults", &p.TwoFaults}, {"mistakes", &p.Mistakes}, {"hours", &p.Hours}} {
		if n := m.Get(x.key); n != nil {
			*x.to = number(r, n, 0, 1)
		}
	}
	if n := m.Get("seasons"); n != nil {
		p.Seasons = nil
		for _, s := range r.List(n) {
			if one := r.Map(s); one != nil {
				p.Seasons = append(p.Seasons, vehicle.Season{
					Weight: number(r, one.Get("weight"), 0, 1e6), Mean: number(r, one.Get("mean"), -40, 50), Spread: number(r, one.Get("spread"), 0, 30),
				})
				one.Done()
			}
		}
	}
	m.Done()
	if faults.Len() > before {
		return nil
	}
	return &p
}

// weights reads a map of weights whose names must be known.
func weights(r source.Reader, n *yaml.Node, known []string) map[string]float64 {
	if n == nil {
		return nil
	}
	m := r.Map(n)
	if m == nil {
		return nil
	}
	out := map[string]float64{}
	for _, k := range known {
		if x := m.Get(k); x != nil {
			out[k] = number(r, x, 0, 1e6)
		}
	}
	m.Done()
	sum := 0.0
	for _, w := range out {
		sum += w
	}
	if sum == 0 {
		r.Fault("bad-quantity", n, "at least one weight over 0 is wanted here")
	}
	return out
}

// number reads a number between two bounds.
func number(r source.Reader, n *yaml.Node, low, high float64) float64 {
	if n == nil {
		return 0
	}
	x, ok := r.Number(n)
	if ok && !(x >= low && x <= high) {
		r.Fault("bad-quantity", n, "%v stands here, and a number from %v to %v is wanted", x, low, high)
	}
	return x
}
