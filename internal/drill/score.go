package drill

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// regret is how much longer a test was reckoned to make it than the best one at that
// moment, from what could be known then: luck neither helps nor hurts.
type regret struct {
	act           int
	minutes       float64
	any           float64 // the same of a test taken without thinking
	better        string
	betterMinutes float64
	parts         string // what the better one would have parted
}

// safetyLooks are looked at whatever they tell, and never count against anybody.
var safetyLooks = []string{"battery_case", "battery_inside", "vehicle"}

// reckoned reports whether a test counts: one that was done before anything was
// charged or renewed, and no safety look.
func (a *Act) reckoned() bool { return a.tells() && a.fresh && !a.waits && !a.safetyLook() }

// safetyLook reports whether an act is one of the looks that must come first.
func (a *Act) safetyLook() bool {
	words := wordsOf(a.line)
	return a.tells() && len(words) > 1 && strings.HasPrefix("look", words[0]) && slices.ContainsFunc(safetyLooks, func(x string) bool {
		return strings.HasPrefix(x, strings.Join(words[1:], "_"))
	})
}

// regrets reckons every test that counts.
func (d *Drill) regrets(r *reckoning) []regret {
	var out []regret
	var done []*candidate
	for i := range d.Acts {
		a := &d.Acts[i]
		if !a.reckoned() {
			continue
		}
		best := r.but(a.open, done)
		x := regret{act: i, any: math.Max(0, r.anyTest(a.open)-best.minutes)}
		tried := d.tried(r, a)
		x.minutes = math.Max(0, r.cost(a.open, tried)-best.minutes)
		done = append(done, tried)
		if best.test >= 0 {
			t := r.tests[best.test]
			x.better, x.betterMinutes = t.line, t.minutes
			x.parts = r.told(split(a.open, t.cells))
		}
		out = append(out, x)
	}
	return out
}

// tried is what an act's test shows on the simulated vehicles: it may be one that no
// step of the tree names.
func (d *Drill) tried(r *reckoning, a *Act) *candidate {
	for _, t := range r.tests {
		if d.canonical(t.line) == d.canonical(a.line) {
			return t
		}
	}
	c := &candidate{test: a.test}
	if a.jolt {
		c.test = &test{minutes: a.minutes, do: jolt}
	}
	c.try(r.suspects)
	return c
}

// told says which findings a split puts asunder: the commonest of its two heaviest
// cells.
func (r *reckoning) told(split [][]int) string {
	slices.SortStableFunc(split, func(a, b []int) int { return cmp.Compare(r.weight(b), r.weight(a)) })
	var heads []string
	for _, s := range split {
		shares := r.shares(s)
		name := r.findings[slices.Index(shares, slices.Max(shares))]
		if !slices.Contains(heads, name) {
			heads = append(heads, name)
		}
	}
	if len(heads) < 2 {
		return "what is still possible"
	}
	return fmt.Sprintf("%s from %s", heads[0], heads[1])
}

// how says how the best was reckoned.
func (r *reckoning) how() string {
	if r.lookAhead {
		return fmt.Sprintf("reckoned by looking one test ahead while more than %d findings are possible, and exactly from there on", fewFindings)
	}
	return "reckoned exactly"
}

// bestWay says what the best order of tests would have been, by what the simulated
// vehicles say and not by what is hidden.
func (d *Drill) bestWay(s *Section, r *reckoning) {
	b := d.asItCameIn()
	switch {
	case b.v.Unsafe() != "":
		s.say("The best order ends before the first crank: the safety looks, and the rest voltage beside the temperature, say that this battery must not be loaded.")
		return
	case d.start.said == tooEasily:
		s.say("The best order ends before the first crank: what the customer says forbids one.")
		return
	}
	again := &Drill{Options: d.Options, Hidden: d.Hidden, Told: d.Told, start: d.start, bay: b, checked: map[string]bool{}}
	lines, left := r.way(again)
	s.say("The best order, after the safety looks: %.0f minutes on this vehicle, over %d simulated vehicles, %s.", again.Minutes, len(r.vehicles), r.how())
	for _, l := range lines {
		s.under("%s", l)
	}
	if len(left) > 0 {
		s.under("what these tests leave for a load test, a charge or a repair to tell apart: %s", strings.Join(left, ", "))
	}
}

// score is 100 for the best test each time and 0 for tests taken without thinking.
func score(all []regret) int {
	sum, any := 0.0, 0.0
	for _, x := range all {
		sum, any = sum+x.minutes, any+x.any
	}
	if any == 0 {
		return 100
	}
	return int(math.Round(100 * math.Max(0, 1-sum/any)))
}

// scored gives the score, or why there is none: it is held back until the finding is
// right and proved and nothing was left out for safety.
func (d *Drill) scored(all []regret) string {
	switch {
	case len(d.Dangers)+len(d.Omitted) > 0:
		return "No score: safety comes first."
	case !d.Right() || len(d.Named) == 0:
		return "No score: the finding comes before the way to it."
	case d.Level != clocked && !d.proved():
		return "No score: the finding is not proved."
	}
	return fmt.Sprintf("Score of the way: %d of 100, where 100 is the best test each time, as reckoned, and 0 is tests taken without thinking. What was done after a charge or a repair is not reckoned.", score(all))
}
