package trial

import (
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/mechanic"
	"deadflat/internal/vehicle"
)

// Outcome is what a job came to, by the first finding that leads to work: what is
// repaired there without need was paid for, whatever a later round finds.
type Outcome string

// The outcomes.
const (
	Right      Outcome = "right"       // it names a fault that was there; of a sound vehicle, no part was touched
	SameRepair Outcome = "same repair" // it names another one that the same repair cures
	Open       Outcome = "open"        // nothing was repaired, and the last finding says what comes next
	Missed     Outcome = "missed"      // the vehicle was given back as it was
	Wrong      Outcome = "wrong"       // something sound was repaired or renewed
	Unsafe     Outcome = "unsafe"      // something was asked for that would have hurt somebody
	Stuck      Outcome = "stuck"       // the walk could not go on
)

// judge settles the outcome by a finding, if that leads to work or names what was
// hidden, or what has come about since.
func (c *Case) judge(r *engine.Result, since []string) {
	f := r.Finding
	named := func(fault string) bool { return names(f, fault) }
	decided := func(o Outcome) { c.Outcome, c.Decided, c.Likely = o, f.ID, r.Certainty != engine.Firm }
	hidden := c.hidden()
	cures := func(part string) bool {
		return slices.ContainsFunc(hidden, func(i int) bool { return kinds[c.Faults[i]].Part == part })
	}
	switch {
	case slices.ContainsFunc(hidden, func(i int) bool { return named(c.Faults[i]) }), slices.ContainsFunc(since, named):
		decided(Right)
	case slices.ContainsFunc(repairs(f), cures), len(repairs(f)) == 0 && len(f.Faults) > 0 && !mechanic.Suspects(f) && allCharged(f) && cures("charge"):
		decided(SameRepair)
	case len(repairs(f)) > 0:
		decided(Wrong)
	default:
		c.Decided, c.Likely = f.ID, r.Certainty != engine.Firm
	}
	c.givenBack = f.Then == nil && !f.Stop
}

// close settles the outcome of a job that no finding has settled.
func (c *Case) close() {
	switch {
	case c.Unsafe != "":
		c.Outcome = Unsafe
	case c.Outcome != "":
	case c.Stuck != "":
		c.Outcome = Stuck
	case len(c.hidden()) == 0, c.givenBack && c.sound():
		c.Outcome = Right
	case c.givenBack:
		c.Outcome = Missed
	default:
		c.Outcome = Open
	}
}

// repairs lists the parts that are renewed or put right at a finding. Bringing a battery
// into the warm does neither.
func repairs(f *engine.Finding) (parts []string) {
	if !mechanic.Repairs(f) {
		return nil
	}
	for _, fault := range f.Faults {
		if part := kinds[fault].Part; vehicle.Mends(fault) != "" && part != "thaw" {
			parts = append(parts, part)
		}
	}
	return parts
}

// allCharged reports whether a charge is all that a finding asks for.
func allCharged(f *engine.Finding) bool {
	return !slices.ContainsFunc(f.Faults, func(fault string) bool { return kinds[fault].Part != "charge" })
}

// Score counts what some vehicles came to.
type Score struct {
	Of         int `json:"of"`
	Right      int `json:"right"`
	SameRepair int `json:"same_repair"`
	Open       int `json:"open"`
	Missed     int `json:"missed"`
	Wrong      int `json:"wrong"`
	WrongFirm  int `json:"wrong_and_firm"`
	Unsafe     int `json:"unsafe"`
	Stuck      int `json:"stuck"`
}

func (s *Score) add(c *Case) {
	s.Of++
	switch c.Outcome {
	case Right:
		s.Right++
	case SameRepair:
		s.SameRepair++
	case Open:
		s.Open++
	case Missed:
		s.Missed++
	case Wrong:
		s.Wrong++
		if !c.Likely {
			s.WrongFirm++
		}
	case Unsafe:
		s.Unsafe++
	case Stuck:
		s.Stuck++
	}
}

// score counts some of the cases.
func score(cases []Case, of func(*Case) bool) (s Score) {
	for i := range cases {
		if of(&cases[i]) {
			s.add(&cases[i])
		}
	}
	return s
}

// Percents are the shares of a table's row, in the order of scoreColumns.
func (s Score) Percents() []float64 {
	out := make([]float64, 0, len(scoreColumns))
	for _, n := range []int{s.Right, s.SameRepair, s.Open, s.Missed, s.Wrong, s.WrongFirm} {
		out = append(out, 100*float64(n)/float64(max(s.Of, 1)))
	}
	return out
}

var scoreColumns = [...]string{"right", "same", "open", "miss", "wrong", "firm"}
