package trial

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/mechanic"
	"deadflat/internal/vehicle"
)

// Case is what became of one vehicle.
type Case struct {
	Seed     uint64
	Faults   []string // that were hidden in it
	Grade    string   // of the first of them, a word of vehicle.Grades
	Found    []bool   // of each, whether a finding named it, in whatever round
	Findings []string // of all rounds, in order
	Outcome  Outcome
	Decided  string // the finding that settled it, else the last
	Likely   bool   // that finding is not firm

	Needless  []string // repairs done in all rounds where no fault was that the finding names
	Unsafe    string   // what was asked for that would have hurt somebody
	Stuck     string   // why the walk could not go on
	Close     int
	Questions int     // answers up to the finding that counts
	Cranks    int     // likewise
	Minutes   float64 // likewise
	Charging  float64 // of them, those of a charge

	givenBack    bool // its last finding hands the vehicle back
	BatteryBad   bool // a fault was hidden that only a new battery cures, or ice has done its work on it
	BatteryFresh bool // a battery was fitted
	Rules        [len(rules)]bool
}

// Text says what was hidden and what came of it.
func (c *Case) Text() string {
	var b strings.Builder
	hidden := strings.Join(c.Faults, " and ")
	if hidden == "" {
		hidden = "nothing"
	}
	fmt.Fprintf(&b, "Vehicle of seed %d. Hidden in it: %s.\nFindings, round by round: %s.\nThe one that counts: %s, %s.\n", c.Seed, hidden, strings.Join(c.Findings, ", "), c.says(), c.Outcome)
	for _, x := range []string{c.Unsafe, c.Stuck} {
		if x != "" {
			fmt.Fprintf(&b, "It ended there: %s.\n", x)
		}
	}
	if len(c.Needless) > 0 {
		fmt.Fprintf(&b, "Renewed without need: %s.\n", strings.Join(c.Needless, ", "))
	}
	return b.String()
}

// longest is the greatest number of prompts of one round.
const longest = 300

// try walks the tree on the vehicle of a seed, over its rounds: to a finding with
// no next round, to the same finding twice running, or to one for the third time.
func (o *Options) try(seed uint64) (Case, error) {
	_, c, err := Walk(o, seed)
	if err == nil {
		c.rules(o)
	}
	return c, err
}

// Walk walks the tree on the vehicle of one seed, and gives the walk as well.
func Walk(o *Options, seed uint64) (*engine.Walk, Case, error) {
	m, kit := o.job(seed)
	c := Case{Seed: seed, Faults: m.Vehicle.Faults(), Grade: m.Vehicle.Grade()}
	c.Found = make([]bool, len(c.Faults))
	c.BatteryBad = slices.ContainsFunc(c.Faults, func(f string) bool { return vehicle.Mends(f) == "fit_battery" })
	w := o.walk(kit)
	err := c.rounds(w, m)
	var unsafe *mechanic.Unsafe
	switch {
	case errors.As(err, &unsafe):
		c.Unsafe = unsafe.Error()
	case err != nil:
		return w, c, fmt.Errorf("vehicle of seed %d: %w", seed, err)
	}
	c.repairs(m)
	c.close()
	return w, c, nil
}

// rounds walks until it is over.
func (c *Case) rounds(w *engine.Walk, m *mechanic.Mechanic) error {
	came := map[string]int{}
	for last := ""; ; {
		r, err := m.Walk(w, longest)
		if c.Outcome == "" {
			c.measure(w, m)
		}
		var stuck *mechanic.Stuck
		if errors.As(err, &stuck) {
			c.Stuck = stuck.Error()
			return nil
		}
		if err != nil {
			return err
		}
		c.note(r, m.Vehicle.Faults())
		id := r.Finding.ID
		if came[id]++; id == last || came[id] > 2 {
			return nil
		}
		last = id
		more, err := m.GoOn(w, r)
		if err != nil || !more {
			return err
		}
	}
}

// note books a finding, with the faults that the vehicle has now: what has frozen may come
// out of the thaw broken.
func (c *Case) note(r *engine.Result, now []string) {
	f := r.Finding
	c.Findings = append(c.Findings, f.ID)
	c.Close += len(r.Close)
	for i, fault := range c.Faults {
		c.Found[i] = c.Found[i] || names(f, fault)
	}
	if c.Outcome == "" {
		c.judge(r, slices.DeleteFunc(slices.Clone(now), func(fault string) bool {
			return slices.Contains(c.Faults, fault) || vehicle.Mends(fault) != "fit_battery"
		}))
	}
}

// names reports whether a finding names a fault. Of a fault that has a repair it
// must be a finding that asks for the repair: one that sends on to the next test
// counts all that this test is for; and one that renews a battery names nothing that
// a charge cures. Surface charge is a way in which a discharged battery hides.
func names(f *engine.Finding, fault string) bool {
	if fault == "surface_charge" {
		fault = "battery_discharged"
	}
	if kinds[fault].Part == "charge" && slices.Contains(repairs(f), "battery") {
		return false
	}
	return slices.Contains(f.Faults, fault) && (vehicle.Mends(fault) == "" || !mechanic.Suspects(f))
}

// harmless are the faults that are none: nothing is to be found.
var harmless = map[string]bool{"smart_charging": true}

// sound reports whether nothing was wrong with the vehicle itself.
func (c *Case) sound() bool {
	return !slices.ContainsFunc(c.Faults, func(f string) bool { return kinds[f].Part != "nothing" })
}

// hidden are the places in Faults of those that are to be found.
func (c *Case) hidden() []int {
	var out []int
	for i, f := range c.Faults {
		if !harmless[f] {
			out = append(out, i)
		}
	}
	return out
}

// repairs books what was renewed. Bringing a vehicle into the warm renews nothing.
func (c *Case) repairs(m *mechanic.Mechanic) {
	for _, r := range m.Mended {
		if r.Repair == "thaw" {
			continue
		}
		if r.Repair == "fit_battery" {
			c.BatteryFresh = true
			c.BatteryBad = c.BatteryBad || r.Needed
		}
		if !r.Needed && !slices.Contains(c.Needless, r.Repair) {
			c.Needless = append(c.Needless, r.Repair)
		}
	}
}

// measure books what it has taken so far.
func (c *Case) measure(w *engine.Walk, m *mechanic.Mechanic) {
	c.Questions = 0
	for _, ev := range w.Events() {
		if ev.Do == engine.DoAnswer {
			c.Questions++
		}
	}
	c.Cranks, c.Minutes, c.Charging = w.Next().Cranks, m.Minutes, m.Charging
}
