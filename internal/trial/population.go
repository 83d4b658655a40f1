package trial

import (
	"gopkg.in/yaml.v3"

	"deadflat/internal/mechanic"
	"deadflat/internal/source"
	"deadflat/internal/vehicle"
)

// Population says what vehicles there are, who works on them, and with what.
type Population struct {
	Name string
	vehicle.Population
	People mechanic.People
}

// The names of the two sets.
const (
	foundSet = "as found"
	benchSet = "bench"
)

// AsFound is a workshop as one finds it: faults from where they can hardly be measured,
// worn parts, people who err, and tools and points that are not to be had.
func AsFound() Population { return Population{foundSet, vehicle.AsFound(), mechanic.AsFound()} }

// Bench is the same workshop with faults that show, time enough, everything at hand and
// in reach, nobody who errs, and no stories.
func Bench() Population {
	p := Population{Name: benchSet, Population: vehicle.AsFound()}
	shows := vehicle.Practice()
	p.Severity, p.Hours, p.Stories = shows.Severity, shows.Hours, 0
	return p
}

// ReadPopulation reads a file that says what there is, over one of the two sets:
//
//	set: as found        # or bench; what is not said here is as there
//	faults: {battery_worn_out: 18, key_off_draw: 8}   # weights; those left out do not occur
//	classes: {small petrol: 1, small diesel: 2}       # weights of engine classes
//	healthy: 0.12        # share with nothing wrong
//	stories: 0.6         # share of those with a misleading story
//	two_faults: 0.15     # share of the others with a second fault
//	severity: {from: 0, to: 1}                        # how far faults go, drawn evenly
//	wear: 1              # how far sound parts reach to the limits of what is sound
//	seasons: [{weight: 1, mean: 5, spread: 6}]        # air, °C
//	night: 12            # K by which the night may have been colder
//	hours: 0.6           # share with time for a charge
//	slips: {misheard: 0.06, clamp_for_post: 0.03}     # shares; those left out do not occur
//	missing: {clamp: 0.35}                            # likewise, of equipment
//	out_of_reach: {starter_feed_stud: 0.35}           # likewise, of points and things
//
// equipment are the words for what may be missing. It gives nil when there is a fault.
func ReadPopulation(name string, data []byte, equipment []string, faults *source.Faults) *Population {
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
	p := AsFound()
	if n := m.Get("set"); n != nil {
		switch set := r.Text(n); set {
		case foundSet:
		case benchSet:
			p = Bench()
		default:
			r.Fault("unknown-word", n, "set is %q: expected %q or %q", set, foundSet, benchSet)
		}
	}
	p.Name = name
	p.Weights = weights(r, m.Get("faults"), kindIDs)
	p.Classes = weights(r, m.Get("classes"), vehicle.Classes())
	for _, x := range []struct {
		key  string
		to   *float64
		most float64
	}{
		{"healthy", &p.Healthy, 1}, {"stories", &p.Stories, 1}, {"two_faults", &p.TwoFaults, 1}, {"wear", &p.Wear, 1}, {"hours", &p.Hours, 1}, {"night", &p.Night, 30},
	} {
		if n := m.Get(x.key); n != nil {
			*x.to = number(r, n, 0, x.most)
		}
	}
	if n := m.Get("severity"); n != nil {
		if s := r.Map(n); s != nil {
			p.Severity = [2]float64{number(r, s.Get("from"), 0, 1), number(r, s.Get("to"), 0, 1)}
			s.Done()
		}
	}
	for _, x := range []struct {
		key   string
		to    *map[string]float64
		known []string
	}{
		{"slips", &p.People.Slips, mechanic.Slips}, {"missing", &p.People.Missing, append(equipment, mechanic.Thermometer)},
		{"out_of_reach", &p.People.Blocked, append(vehicle.Points(), vehicle.Things()...)},
	} {
		if n := m.Get(x.key); n != nil {
			*x.to = numbers(r, n, x.known, 1)
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
	out := numbers(r, n, known, 1e6)
	sum := 0.0
	for _, w := range out {
		sum += w
	}
	if out != nil && sum == 0 {
		r.Fault("bad-quantity", n, "at least one weight over 0 is wanted here")
	}
	return out
}

// numbers reads a map of numbers from 0 up whose names must be known.
func numbers(r source.Reader, n *yaml.Node, known []string, most float64) map[string]float64 {
	m := r.Map(n)
	if m == nil {
		return nil
	}
	out := map[string]float64{}
	for _, k := range known {
		if x := m.Get(k); x != nil {
			out[k] = number(r, x, 0, most)
		}
	}
	m.Done()
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
