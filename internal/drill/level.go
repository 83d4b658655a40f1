package drill

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"deadflat/internal/trial"
	"deadflat/internal/vehicle"
)

// Level is one of the levels.
type Level struct {
	Title string

	// Of one that asks questions in place of leaving the apprentice alone with a vehicle.
	questions int                                // how many
	ask       func(*Drill, *rand.Rand) *Question // makes one, nil where it cannot
	answers   string                             // how they are answered
}

// Levels are all levels, the first at 0. They follow one another by what an apprentice
// must already know.
var Levels = [...]Level{
	{"read and name: what does the meter say?", 5, (*Drill).askName,
		"the number of a choice, or its first letters, such as: 2"},
	{"where do the probes go, and in which state?", 5, (*Drill).askProbes,
		"the point for red, the point for black, and the state, such as: battery_positive_post battery_negative_post key_on small_loads\n  What you do not name is off. \"words points\" and \"words states\" list what there is."},
	{Title: "one fault, with the tree shown"},
	{Title: "one fault, free"},
	{Title: "one fault behind a trap, free"},
	{Title: "two faults, and a clock"},
	{"find the mistake in a record", 3, (*Drill).askRecord,
		"the number of the line with the mistake, and the number or the first letters of the reason, such as: 4 2, or: 4 no current"},
}

// The levels by number.
const (
	readAndName = 1
	placeProbes = 2
	treeShown   = 3
	oneFault    = 4
	trapped     = 5
	clocked     = 6
	badRecord   = 7
)

// asks reports whether a level asks questions in place of leaving the apprentice
// alone with a vehicle.
func asks(level int) bool { return Levels[level-1].ask != nil }

// clockMinutes is what the clock allows for work; the hours on the charger and of
// waiting run by themselves. Modelling choice: two repairs and an hour to find them.
const clockMinutes = 120

// levelBits is where the level stands in a seed, so that each level has its own
// vehicles.
const levelBits = 40

// Families lists the words that --family takes.
func Families() []string { return ofKinds(func(k vehicle.Kind) string { return k.Family }) }

// ofKinds lists something of every kind of fault, each word once.
func ofKinds(word func(vehicle.Kind) string) []string {
	var out []string
	for _, k := range vehicle.Kinds() {
		if w := word(k); !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

// population is what a drill's vehicle is drawn from: always with a fault that
// shows, and with time for a charge.
func (o *Options) population(faults ...string) vehicle.Population {
	pop := vehicle.Practice()
	pop.Healthy, pop.TwoFaults, pop.Hours = 0, 0, 1
	pop.Weights = map[string]float64{}
	for _, k := range vehicle.Kinds() {
		if k.Part == "nothing" || k.Weight == 0 || o.Family != "" && k.Family != o.Family || len(faults) > 0 && !slices.Contains(faults, k.ID) {
			continue
		}
		pop.Weights[k.ID] = k.Weight
	}
	return pop
}

// inGear is how often a vehicle stands in gear from level 4 on. Modelling choice.
const inGear = 0.3

// draw makes the vehicle of a drill, and the trap that it was made for, if any.
func (o *Options) draw() (*vehicle.Vehicle, *rand.Rand, *trap, error) {
	pop := o.population()
	var t *trap
	seed := o.Seed + uint64(o.Level)<<levelBits
	switch o.Level {
	case trapped:
		if t = o.pickTrap(); t == nil {
			return nil, nil, nil, fmt.Errorf("level %d has no fault of the family %q: take another level", o.Level, o.Family)
		}
		pop = o.population(t.faults...)
		t.set(&pop)
		seed = t.seed(seed, pop)
	case clocked:
		pop.TwoFaults = 1
	}
	v, rng := trial.Draw(seed, pop)
	v.PutInGear(o.Level > treeShown && rng.Float64() < inGear)
	return v, rng, t, nil
}
