package trial

import (
	"cmp"
	"maps"
	"slices"

	"deadflat/internal/vehicle"
)

// Report is what a trial came to. Its JSON is the form for other programs.
type Report struct {
	Trial    int    `json:"trial"` // version of this form
	Tree     string `json:"tree"`
	Edition  int    `json:"edition"`
	Hash     string `json:"hash"`
	Meter    string `json:"meter"`
	Vehicles int    `json:"vehicles"`
	Seed     uint64 `json:"seed"`
	Set      string `json:"population"`
	Guess    string `json:"guess"`

	All      Score `json:"all"`
	One      Score `json:"one_fault"`
	Two      Score `json:"two_faults"`
	None     Score `json:"no_fault"`
	BothEnds Share `json:"two_faults_both_found"` // by the end of the job

	Needless     Share     `json:"needless_batteries"`
	NeedlessPart Share     `json:"needless_parts"`    // other than batteries
	SoundLose    Share     `json:"sound_lose_a_part"` // of the vehicles with nothing wrong
	Close        Share     `json:"close_calls"`
	Likely       Share     `json:"likely"` // the finding that counts is not firm
	Questions    Spread    `json:"questions"`
	Cranks       Spread    `json:"cranks"`
	Minutes      Spread    `json:"minutes"`
	Skilled      []Skilled `json:"skilled"`
	Severity     []Row     `json:"severity"` // single faults
	Families     []Row     `json:"families"` // single faults
	Faults       []Row     `json:"faults"`   // single faults
	Rules        []Rule    `json:"rules"`    // on the battery alone, the tree first
	Worst        []Mistake `json:"worst"`
	Renewed      []Tally   `json:"needless_repairs"` // by the repair
	WorstTwo     []Mistake `json:"worst_of_two"`     // two faults
	Hazards      []Hazard  `json:"hazards,omitempty"`
	Halts        []Hazard  `json:"stuck_at,omitempty"`
	Bound        *Bound    `json:"bound,omitempty"` // when it was asked for
}

// Version is that of the JSON form.
const Version = 2

// guess is what every report says of its numbers.
const guess = "How common each fault is, and how bad, is a guess of the model, and so is the weather. The shares show how the tree fares on this model, not on the vehicles of a workshop."

// Spread is how a number lies over the vehicles.
type Spread struct {
	Mean   float64 `json:"mean"`
	Half   float64 `json:"median"`
	Ninety float64 `json:"ninety"` // nine in ten have no more
	Most   float64 `json:"most"`
}

// Row is one fault, one family or one grade: how it fares alone in a vehicle.
type Row struct {
	Name   string `json:"name"`
	Family string `json:"family,omitempty"`
	Score
	Findings []Tally `json:"findings"` // that counted, commonest first
}

// Tally is how often something came up.
type Tally struct {
	Name  string `json:"name"`
	Count int    `json:"count"`
	Right int    `json:"right"` // of them, right
}

// Rule is how one way of judging the battery alone fares.
type Rule struct {
	Name     string `json:"name"`
	Needless Share  `json:"needless"`  // of the vehicles with a good battery, those told to replace it
	Bad      Share  `json:"bad_found"` // of the vehicles with a bad one, those told to
}

// Mistake is a fault, and what was said in its place.
type Mistake struct {
	Hidden  string   `json:"hidden"` // the first fault, empty: nothing was wrong
	Outcome Outcome  `json:"outcome"`
	Faults  []string `json:"faults"` // of the first such vehicle
	Finding string   `json:"finding"`
	Count   int      `json:"count"`
	Seed    uint64   `json:"seed"` // of the first such vehicle
	Rounds  []string `json:"rounds"`
}

// Hazard is something unsafe that a tree asked for, or a step at which it could
// not go on.
type Hazard struct {
	What  string `json:"what"`
	Count int    `json:"count"`
	Seed  uint64 `json:"seed"`
}

// sum makes the report of the cases, which are in the order of their seeds.
func (o *Options) sum(cases []Case) *Report {
	r := &Report{Trial: Version, Tree: o.Tree.Name, Edition: o.Tree.Edition, Hash: o.Tree.Hash, Meter: o.Meter.Name,
		Vehicles: o.Vehicles, Seed: o.Seed, Set: o.Population.Name, Guess: guess}
	all := func(*Case) bool { return true }
	count := func(of, is func(*Case) bool) Share {
		var n tally
		for i := range cases {
			if c := &cases[i]; of(c) {
				n.add(is(c))
			}
		}
		return n.share()
	}
	faults := func(n int) func(*Case) bool { return func(c *Case) bool { return len(c.hidden()) == n } }
	r.All, r.One, r.Two, r.None = score(cases, all), score(cases, faults(1)), score(cases, faults(2)), score(cases, faults(0))
	r.BothEnds = count(faults(2), func(c *Case) bool {
		return !slices.ContainsFunc(c.hidden(), func(i int) bool { return !c.Found[i] })
	})
	r.Needless = count(all, func(c *Case) bool { return slices.Contains(c.Needless, "fit_battery") })
	r.NeedlessPart = count(all, func(c *Case) bool {
		return slices.ContainsFunc(c.Needless, func(p string) bool { return p != "fit_battery" })
	})
	r.SoundLose = count((*Case).sound, func(c *Case) bool { return len(c.Needless) > 0 })
	r.Close = count(all, func(c *Case) bool { return c.Close > 0 })
	r.Likely = count(all, func(c *Case) bool { return c.Likely })
	r.Questions = spread(cases, func(c *Case) float64 { return float64(c.Questions) })
	r.Cranks = spread(cases, func(c *Case) float64 { return float64(c.Cranks) })
	r.Minutes = spread(cases, func(c *Case) float64 { return c.Minutes })
	r.Skilled = besideSkilled(cases)
	r.Faults = rows(cases, func(k vehicle.Kind) string { return k.ID })
	r.Families = rows(cases, func(k vehicle.Kind) string { return k.Family })
	for _, grade := range vehicle.Grades {
		if s := score(cases, func(c *Case) bool { return len(c.hidden()) == 1 && c.Grade == grade }); s.Of > 0 {
			r.Severity = append(r.Severity, Row{Name: grade, Score: s})
		}
	}
	good, bad := func(c *Case) bool { return !c.BatteryBad }, func(c *Case) bool { return c.BatteryBad }
	fresh := func(c *Case) bool { return c.BatteryFresh }
	r.Rules = append(r.Rules, Rule{"the tree", count(good, fresh), count(bad, fresh)})
	for i := range rules {
		says := func(c *Case) bool { return c.Rules[i] }
		r.Rules = append(r.Rules, Rule{rules[i].Name, count(good, says), count(bad, says)})
	}
	r.Renewed = renewed(cases)
	r.Worst = worst(cases, func(c *Case) bool { return len(c.Faults) < 2 })
	r.WorstTwo = worst(cases, func(c *Case) bool { return len(c.Faults) > 1 })
	r.Hazards = hazards(cases, func(c *Case) string { return c.Unsafe })
	r.Halts = hazards(cases, func(c *Case) string { return c.Stuck })
	return r
}

func spread(cases []Case, of func(*Case) float64) Spread {
	if len(cases) == 0 {
		return Spread{}
	}
	xs := make([]float64, len(cases))
	sum := 0.0
	for i := range cases {
		xs[i] = of(&cases[i])
		sum += xs[i]
	}
	slices.Sort(xs)
	n := len(xs)
	return Spread{Mean: round(sum / float64(n)), Half: xs[n/2], Ninety: xs[n*9/10], Most: xs[n-1]}
}

// rows sorts the vehicles with a single fault by a name of it.
func rows(cases []Case, name func(vehicle.Kind) string) []Row {
	var out []Row
	for _, k := range vehicle.Kinds() {
		n := name(k)
		if slices.ContainsFunc(out, func(r Row) bool { return r.Name == n }) {
			continue
		}
		row := Row{Name: n, Family: k.Family}
		findings := tallies{}
		for i := range cases {
			c := &cases[i]
			if len(c.Faults) != 1 || name(kinds[c.Faults[0]]) != n {
				continue
			}
			row.add(c)
			findings.add(c.says(), c)
		}
		if row.Of > 0 {
			row.Findings = findings.sorted()
			out = append(out, row)
		}
	}
	return out
}

var kinds = func() map[string]vehicle.Kind {
	m := map[string]vehicle.Kind{}
	for _, k := range vehicle.Kinds() {
		m[k.ID] = k
	}
	return m
}()

// says is what the walk came to, in one word.
func (c *Case) says() string {
	switch {
	case c.Unsafe != "":
		return "unsafe"
	case c.Decided == "":
		return "stuck"
	}
	return c.Decided
}

// tallies are counts by name.
type tallies map[string]Tally

func (m tallies) add(name string, c *Case) {
	t := Tally{name, m[name].Count + 1, m[name].Right}
	if c.Outcome == Right {
		t.Right++
	}
	m[name] = t
}

// sorted gives the commonest first.
func (m tallies) sorted() []Tally {
	return slices.SortedFunc(maps.Values(m), func(a, b Tally) int {
		return cmp.Or(cmp.Compare(b.Count, a.Count), cmp.Compare(a.Name, b.Name))
	})
}

// most is how many confusions and hazards are listed.
const most = 25

// renewed counts the repairs that were done without need.
func renewed(cases []Case) []Tally {
	m := tallies{}
	for i := range cases {
		for _, repair := range cases[i].Needless {
			m.add(repair, &cases[i])
		}
	}
	return m.sorted()
}

// worst lists the commonest confusions among some of the vehicles: the first fault, and
// the finding that counted.
func worst(cases []Case, of func(*Case) bool) []Mistake {
	var out []Mistake
	at := map[[2]string]int{}
	for i := range cases {
		c := &cases[i]
		if !of(c) || c.Outcome == Right || c.Outcome == SameRepair {
			continue
		}
		key := [2]string{"", c.says()}
		if h := c.hidden(); len(h) > 0 {
			key[0] = c.Faults[h[0]]
		}
		k, known := at[key]
		if !known {
			k = len(out)
			at[key] = k
			out = append(out, Mistake{Hidden: key[0], Outcome: c.Outcome, Faults: c.Faults, Finding: key[1], Seed: c.Seed, Rounds: c.Findings})
		}
		out[k].Count++
	}
	slices.SortStableFunc(out, func(a, b Mistake) int { return cmp.Compare(b.Count, a.Count) })
	return out[:min(len(out), most)]
}

func hazards(cases []Case, of func(*Case) string) []Hazard {
	var out []Hazard
	for i := range cases {
		what := of(&cases[i])
		if what == "" {
			continue
		}
		k := slices.IndexFunc(out, func(h Hazard) bool { return h.What == what })
		if k < 0 {
			k = len(out)
			out = append(out, Hazard{What: what, Seed: cases[i].Seed})
		}
		out[k].Count++
	}
	slices.SortStableFunc(out, func(a, b Hazard) int { return cmp.Compare(b.Count, a.Count) })
	return out[:min(len(out), most)]
}
