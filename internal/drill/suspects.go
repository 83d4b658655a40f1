package drill

import (
	"math/rand/v2"
	"slices"

	"deadflat/internal/vehicle"
)

// suspect is one fault that might be the one: simulated vehicles that have it, of
// the same population as the apprentice's and alike in what was told at the
// beginning: the engine, the cold, what the customer says.
type suspect struct {
	fault   string
	mend    string  // the part that is put right
	weight  float64 // how common it is among vehicles of which that was told
	benches []*bench
	unlike  []bool // the vehicles that showed something else than the apprentice's
	cleared bool
}

// A suspect's sample: how many vehicles stand for it, and how many are drawn at
// most to find them. Modelling choice: enough for the several forms of a fault,
// few enough that nobody waits.
const (
	samples = 16
	tries   = 60
)

// newSuspects draws the suspects of a drill. The same drill has the same ones each time.
func (d *Drill) newSuspects() []*suspect {
	var out []*suspect
	pop := d.population()
	for i, k := range vehicle.Kinds() {
		if pop.Weights[k.ID] == 0 {
			continue
		}
		s := &suspect{fault: k.ID, mend: k.Part}
		met := d.sample(s, uint64(i), d.start.said)
		if met == 0 && slices.Contains(d.Hidden, k.ID) {
			// Such a fault seldom brings what the customer says, and here it did.
			d.sample(s, uint64(i), "")
			met = 1
		}
		if s.weight = k.Weight * float64(met) / tries; met > 0 {
			out = append(out, s)
		}
	}
	return out
}

// sample draws vehicles with one fault and keeps those whose customer says the
// same, or all when said is empty. It gives how many there were in the greatest
// number of tries.
func (d *Drill) sample(s *suspect, stream uint64, said string) (met int) {
	told := d.start
	pop := d.population(s.fault)
	pop.Classes = map[string]float64{told.class: 1}
	pop.Seasons = []vehicle.Season{{Weight: 1, Mean: told.celsius}}
	rng := rand.New(rand.NewPCG(d.Seed, stream+100))
	for range tries {
		v := vehicle.Draw(rng, pop)
		if said != "" && v.Params().Seen.Complaint != said {
			continue
		}
		met++
		if len(s.benches) < samples {
			v.PutInGear(false)
			s.unlike = append(s.unlike, false)
			s.benches = append(s.benches, newBench(v, d.Meter, rand.New(rand.NewPCG(stream, uint64(met)))))
		}
	}
	return met
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

// weigh does a test on the suspects' vehicles and clears those that could not have
// shown what was shown. What is truly hidden is never cleared: two faults together
// may show what neither does alone.
func (d *Drill) weigh(s shown, t test) {
	for _, x := range d.suspects {
		if x.cleared {
			continue
		}
		var all []shown
		for _, b := range x.benches {
			all = append(all, t(b))
		}
		if !couldShow(s, all) && !slices.Contains(d.Hidden, x.fault) {
			x.cleared = true
		}
		x.part(s, all)
	}
}

// part sets the suspect's vehicles that showed something else aside, unless none
// would be left.
func (x *suspect) part(s shown, all []shown) {
	unlike := slices.Clone(x.unlike)
	for i := range all {
		unlike[i] = unlike[i] || !couldShow(s, all[i:i+1])
	}
	if slices.Contains(unlike, false) {
		x.unlike = unlike
	}
}

// openVehicles says of every vehicle of every suspect whether the apprentice's may be like
// it, as far as is known.
func (d *Drill) openVehicles() []bool {
	var open []bool
	for _, s := range d.suspects {
		for _, u := range s.unlike {
			open = append(open, !s.cleared && !u)
		}
	}
	return open
}
