package drill

import (
	"encoding/binary"
	"math"
	"slices"
)

// reckoning works out how well a test would have told the suspects apart, and how
// long the best order of tests takes.
//
// What is known at any time is which of the suspects' simulated vehicles it may
// still be. A test takes its minutes and parts them by what they show, in a coarse
// grid. The time still needed is that of the best test now, and of what then
// remains:
//
//	time(set) = min over tests of minutes(test) + sum over what it shows of share * time(part)
//
// It is over when one finding stands for settled of what is left, or
// when no test parts it any more. With few suspects left that sum is worked out
// exactly. With more the test is taken that tells most in a minute, looking one
// step ahead, and the time is that of going on so.
type reckoning struct {
	tests     []*candidate
	suspects  []*suspect
	vehicles  []simulated
	findings  []string          // that may be the right one
	known     map[string]choice // by set of vehicles
	exactly   int               // sets worked out exactly
	lookAhead bool              // looking one step ahead was needed
}

// simulated is one vehicle of a suspect's sample.
type simulated struct {
	finding int // that names it
	weight  float64
}

// choice is the best that can be done with a set.
type choice struct {
	test    int // -1: nothing more
	minutes float64
}

// settled is the share at which a fault counts as found, fewFindings the number of
// findings up to which a set is worked out exactly, and mostSets how
// many sets that may take. Modelling choices, the last for the sake of time.
const (
	settled     = 0.97
	fewFindings = 4
	mostSets    = 4000
)

// newReckoning tries all candidates on fresh vehicles of the suspects.
func (d *Drill) newReckoning() *reckoning {
	r := &reckoning{tests: d.candidates(), suspects: d.newSuspects(), known: map[string]choice{}}
	for _, c := range r.tests {
		c.try(r.suspects)
	}
	for _, s := range r.suspects {
		finding := slices.Index(r.findings, s.finding)
		if finding < 0 {
			finding = len(r.findings)
			r.findings = append(r.findings, s.finding)
		}
		for range s.bays {
			r.vehicles = append(r.vehicles, simulated{finding, s.weight / float64(len(s.bays))})
		}
	}
	return r
}

func (r *reckoning) weight(set []int) float64 {
	sum := 0.0
	for _, i := range set {
		sum += r.vehicles[i].weight
	}
	return sum
}

// shares weighs a set by finding.
func (r *reckoning) shares(set []int) []float64 {
	out := make([]float64, len(r.findings))
	for _, i := range set {
		out[r.vehicles[i].finding] += r.vehicles[i].weight
	}
	return out
}

// over reports whether a set is settled, and few whether it is of few findings.
func (r *reckoning) over(set []int) (over, few bool) {
	all, most, n := 0.0, 0.0, 0
	for _, w := range r.shares(set) {
		all, most = all+w, math.Max(most, w)
		if w > 0 {
			n++
		}
	}
	return most >= settled*all, n <= fewFindings
}

// split parts a set by what a test shows, in the order in which that comes up.
func split(set []int, cells []int) [][]int {
	var out [][]int
	at := make([]int, 0, 64) // the part of each cell, from 1
	for _, i := range set {
		c := cells[i]
		for len(at) <= c {
			at = append(at, 0)
		}
		if at[c] == 0 {
			out = append(out, make([]int, 0, len(set)))
			at[c] = len(out)
		}
		out[at[c]-1] = append(out[at[c]-1], i)
	}
	return out
}

// entropy is how open it is which finding is right, bits.
func (r *reckoning) entropy(set []int) float64 {
	shares := r.shares(set)
	all, h := 0.0, 0.0
	for _, w := range shares {
		all += w
	}
	for _, w := range shares {
		if p := w / all; p > 0 {
			h -= p * math.Log2(p)
		}
	}
	return h
}

// gain is how much less open it is after a test, bits, when it was open by so much.
func (r *reckoning) gain(open float64, set []int, split [][]int) float64 {
	if len(split) < 2 {
		return 0
	}
	all, left := r.weight(set), 0.0
	for _, s := range split {
		left += r.weight(s) / all * r.entropy(s)
	}
	return open - left
}

// best is the best that can be done with a set.
func (r *reckoning) best(set []int) choice {
	key := keyOf(set)
	if c, known := r.known[key]; known {
		return c
	}
	c := choice{test: -1}
	switch over, few := r.over(set); {
	case over:
	case few && r.exactly < mostSets:
		r.exactly++
		c = r.exact(set)
	default:
		r.lookAhead = true
		c = r.ahead(set, nil)
	}
	r.known[key] = c
	return c
}

// parted is the least gain that counts as parting a set, bits. Modelling choice.
const parted = 0.01

// exact tries every test that parts the set.
func (r *reckoning) exact(set []int) choice {
	c, open := choice{test: -1}, r.entropy(set)
	for t, x := range r.tests {
		split := split(set, x.cells)
		if r.gain(open, set, split) < parted {
			continue
		}
		if minutes := x.minutes + r.after(set, split); c.test < 0 || minutes < c.minutes {
			c = choice{t, minutes}
		}
	}
	return c
}

// but is the best that can be done with a set when some tests have been done.
func (r *reckoning) but(set []int, done []*candidate) choice {
	c := r.best(set)
	if c.test >= 0 && slices.Contains(done, r.tests[c.test]) {
		c = r.ahead(set, done)
	}
	return c
}

// ahead takes the test that tells most in a minute and has not been done.
func (r *reckoning) ahead(set []int, done []*candidate) choice {
	most, at, open := 0.0, -1, r.entropy(set)
	for t, x := range r.tests {
		if slices.Contains(done, x) {
			continue
		}
		split := split(set, x.cells)
		if g := r.gain(open, set, split); g >= parted && g/x.minutes > most {
			most, at = g/x.minutes, t
		}
	}
	if at < 0 {
		return choice{test: -1}
	}
	return choice{at, r.cost(set, r.tests[at])}
}

// after is the time still needed after a test, minutes.
func (r *reckoning) after(set []int, split [][]int) float64 {
	all, sum := r.weight(set), 0.0
	for _, s := range split {
		sum += r.weight(s) / all * r.best(s).minutes
	}
	return sum
}

// cost is the time from a set on when a test is done first, minutes.
func (r *reckoning) cost(set []int, x *candidate) float64 {
	return x.minutes + r.after(set, split(set, x.cells))
}

// anyTest is the mean cost of the tests taken without thinking.
func (r *reckoning) anyTest(set []int) float64 {
	sum := 0.0
	for _, x := range r.tests {
		sum += r.cost(set, x)
	}
	return sum / float64(len(r.tests))
}

// way is the best order of tests on the vehicle of a drill that has just begun, until
// its finding is proved or no test can be hoped to clear much: which tests, and which
// findings are still open. It does what it names, so that whoever types the same comes as
// far.
func (r *reckoning) way(d *Drill) (lines, left []string) {
	for _, l := range safetyLooks {
		_, _ = d.Do("look " + l) // a thing of every vehicle
	}
	var done []*candidate
	for !d.proved() {
		set := d.openVehicles()
		c := r.but(set, done)
		if c.test < 0 {
			return lines, r.names(set)
		}
		x := r.tests[c.test]
		if done = append(done, x); r.clears(x, set) < worthDoing*x.minutes {
			continue
		}
		lines = append(lines, x.line)
		_, _ = d.Do(x.line) // a test of the tree on this vehicle: it is understood
	}
	return lines, nil
}

// worthDoing is the least share of what is left that a test of the best order can be
// hoped to clear for each minute it takes. Modelling choice: less is a matter of which
// vehicles happened to be simulated.
const worthDoing = 0.03

// clears is the share of what is left that a test clears in the mean.
func (r *reckoning) clears(x *candidate, set []int) float64 {
	all, sum := r.weight(set), 0.0
	for _, i := range set {
		at := 0
		for _, s := range r.suspects {
			next := at + len(s.bays)
			if _, left := slices.BinarySearch(set, at); left && !couldShow(x.shows[i], x.shows[at:next]) {
				sum += r.vehicles[i].weight / all * s.weight / all
			}
			at = next
		}
	}
	return sum
}

// names are the findings that are open in a set.
func (r *reckoning) names(set []int) []string {
	var out []string
	for i, w := range r.shares(set) {
		if w > 0 {
			out = append(out, r.findings[i])
		}
	}
	return out
}

func keyOf(set []int) string {
	key := make([]byte, 0, 2*len(set))
	for _, i := range set {
		key = binary.LittleEndian.AppendUint16(key, uint16(i))
	}
	return string(key)
}
