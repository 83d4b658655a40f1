package drill

import (
	"math/rand/v2"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/text"
	"deadflat/internal/vehicle"
)

// suspect is one fault that might be the one: simulated vehicles that have it, of
// the same population as the apprentice's and alike in what was told at the
// beginning: the engine, the cold, what the customer says.
type suspect struct {
	fault   string
	finding string  // the finding of the trees that names it closest
	weight  float64 // how common it is among vehicles of which that was told
	bays    []*bay
	cleared bool
}

// A suspect's sample: how many vehicles stand for it, and how many are drawn at
// most to find them. Modelling choice: enough for the several forms of a fault,
// few enough that nobody waits.
const (
	samples = 16
	tries   = 60
)

// all are the suspects of the drill, drawn when they are first needed: a class sheet
// and a question need none.
func (d *Drill) all() []*suspect {
	if d.suspects == nil {
		d.suspects = d.newSuspects()
	}
	return d.suspects
}

// newSuspects draws the suspects of a drill. The same drill has the same ones each time.
func (d *Drill) newSuspects() []*suspect {
	if d.Level == clocked {
		return d.oneOfTwo()
	}
	var out []*suspect
	pop := d.population()
	for i, k := range vehicle.Kinds() {
		if pop.Weights[k.ID] == 0 {
			continue
		}
		s := &suspect{fault: k.ID, finding: d.findingOf(k.ID)}
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

// findingOf is the title of the finding that names a fault closest: with the fewest
// others beside it, of the drill's tree if that has one. Faults of one finding need not
// be told apart.
func (d *Drill) findingOf(fault string) string {
	if fault == "surface_charge" {
		fault = alias[fault]
	}
	for _, t := range append([]*engine.Tree{d.Tree}, d.Library.Trees()...) {
		var closest *engine.Finding
		for _, f := range t.Findings {
			if slices.Contains(f.Faults, fault) && (closest == nil || len(f.Faults) < len(closest.Faults)) {
				closest = f
			}
		}
		if closest != nil {
			return text.Lower(closest.Title)
		}
	}
	return text.Spoken(fault)
}

// sample draws vehicles with one fault and keeps those whose customer says the
// same, or all when said is empty. It gives how many there were in the greatest
// number of tries.
func (d *Drill) sample(s *suspect, stream uint64, said string) (met int) {
	pop := d.alikeAtFirst(s.fault)
	rng := rand.New(rand.NewPCG(d.Seed, stream+100))
	for range tries {
		v := vehicle.Draw(rng, pop)
		if said != "" && v.Params().Seen.Complaint != said {
			continue
		}
		met++
		d.keepSample(s, v, stream)
	}
	return met
}

// alikeAtFirst are vehicles of which the same was told at the beginning, but for what
// the customer says.
func (d *Drill) alikeAtFirst(faults ...string) vehicle.Population {
	pop := d.population(faults...)
	pop.Classes = map[string]float64{d.start.class: 1}
	pop.Seasons = []vehicle.Season{{Weight: 1, Mean: d.start.celsius}}
	return pop
}

// keepSample puts a vehicle into the sample of a suspect, unless that is full.
func (d *Drill) keepSample(s *suspect, v *vehicle.Vehicle, stream uint64) {
	if len(s.bays) == samples {
		return
	}
	v.PutInGear(false)
	s.bays = append(s.bays, newBay(v, d.Meter, rand.New(rand.NewPCG(stream, uint64(len(s.bays)+1)))))
}

// pairs is how many vehicles with two faults are drawn. Modelling choice.
const pairs = 4000

// oneOfTwo are the suspects where there are two faults: each stands for any vehicle
// that has it and another one beside it, so that it is cleared only by what it could
// not show whatever the other one is. A vehicle stands for the one of its faults that
// has fewer of them.
func (d *Drill) oneOfTwo() []*suspect {
	all := map[string]*suspect{}
	var out []*suspect
	pop := d.alikeAtFirst()
	pop.TwoFaults = 1
	for _, k := range vehicle.Kinds() {
		if pop.Weights[k.ID] > 0 {
			s := &suspect{fault: k.ID, finding: d.findingOf(k.ID)}
			all[k.ID], out = s, append(out, s)
		}
	}
	rng := rand.New(rand.NewPCG(d.Seed, 99))
	for i := range uint64(pairs) {
		v := vehicle.Draw(rng, pop)
		if v.Params().Seen.Complaint != d.start.said {
			continue
		}
		var fewest *suspect
		for _, f := range v.Faults() {
			s := all[f]
			s.weight++
			if fewest == nil || len(s.bays) < len(fewest.bays) {
				fewest = s
			}
		}
		d.keepSample(fewest, v, i)
	}
	for i, s := range out {
		if len(s.bays) == 0 && slices.Contains(d.Hidden, s.fault) {
			d.sample(s, uint64(i), "")
			s.weight = 1
		}
	}
	return slices.DeleteFunc(out, func(s *suspect) bool { return len(s.bays) == 0 })
}

// possible are those that nothing has cleared.
func (d *Drill) possible() []*suspect {
	return slices.DeleteFunc(slices.Clone(d.all()), func(s *suspect) bool { return s.cleared })
}

// alike does the same to every suspect's vehicles.
func (d *Drill) alike(do func(*bay)) {
	for _, s := range d.all() {
		for _, b := range s.bays {
			do(b)
		}
	}
}

// eliminate does a test on the suspects' vehicles and clears those that could not have
// shown what was shown. What is truly hidden is never cleared: two faults together
// may show what neither does alone.
func (d *Drill) eliminate(s shown, t procedure) {
	for _, x := range d.all() {
		if x.cleared {
			continue
		}
		var all []shown
		for _, b := range x.bays {
			all = append(all, t(b))
		}
		if !couldShow(s, all) && !slices.Contains(d.Hidden, x.fault) {
			x.cleared = true
		}
	}
}

// openVehicles are those of the suspects' vehicles that the apprentice's may be like, as
// numbers. A suspect that is not cleared counts with all of its vehicles: few are left
// else, and few are told apart by what happens to differ between them.
func (d *Drill) openVehicles() []int {
	var open []int
	at := 0
	for _, s := range d.all() {
		for range s.bays {
			if !s.cleared {
				open = append(open, at)
			}
			at++
		}
	}
	return open
}
