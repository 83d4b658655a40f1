package engine

import "time"

// Prompt is what a walk asks for now: a step with its open fields, or a result.
type Prompt struct {
	Tree  *Tree
	Meter *Meter // that numbers are read from
	Round int    // 1 for the first

	Step    *Step
	Gate    *Rule   // set when the fields are a hazard check that must pass before Step
	Fields  []Field // open fields, in the order to ask them
	Taken   []Take  // fields of this step that are answered already
	Ack     bool    // the step asks only to be done
	CanSkip bool    // every open field is optional

	Do, Why  string // the step's texts with their names worked out
	Stuck    string // set when the tree cannot decide: only going back helps
	Cautions []string
	Possible []*Finding        // what can still be reached with what is known, in tree order
	Waiting  []Take            // early answers kept for later steps
	Cranks   int               // crank attempts so far, undone ones included
	PutBack  []string          // temporary changes not yet put back, the last one first
	Back     map[string]string // by word of PutBack: how, as a sentence; "" where a step is to put it back
	Fewest   int               // steps with a question on the shortest way from here, this one included
	Most     int               // and on the longest

	Result *Result // set when the round has ended; Step is then nil
}

// Field is one open reading of a prompt.
type Field struct {
	Reading  *Reading
	Name     string // of the column that gives it: with the step where the bare name is used up
	Optional bool
	How      string // texts with their names worked out for this vehicle
	Slips    string
	Cannot   string
	Good     string
	Before   *Take // the latest stale take, to compare with
}

// Result is the end of a round.
type Result struct {
	Finding   *Finding
	Certainty Certainty
	Missing   []Missing // what it rests on and this job does not have
	Close     []CloseCall
	Remedy    string // texts with their names worked out
	Customer  string
	Open      string
	Cleared   []*Finding
	NotTested []NotTested
	PutBack   []string
	Back      map[string]string // as of a prompt
	CanGoOn   bool              // the finding has a next round
}

// Closed reports whether the job is closed: a finding stands and nothing is left to
// be put back on the vehicle.
func (p *Prompt) Closed() bool { return p.Result != nil && len(p.Result.PutBack) == 0 }

// Certainty is how far a finding can be relied on.
type Certainty string

// A finding is firm when all that it rests on was taken on this job and is fresh, and no
// close call on the way could have ended in another action. Else it is likely.
const (
	Firm   Certainty = "firm"
	Likely Certainty = "likely"
)

// CloseCall is a decision that the doubt of the readings left open.
type CloseCall struct {
	Step    *Step
	Taken   *Branch
	Other   []*Branch
	How     string // "same action", "better test", "safer side", "best value", "not sure"
	Margin  float64
	Doubt   float64 // Margin/Doubt is the margin in multiples of the doubt
	Unit    string  // of Margin and Doubt, which are in its base unit
	Text    string
	Matters bool   // another side ends in another action
	Ends    string // "unknown" when another side needs an answer nobody gave
}

// Open reports whether the other side may end in another action.
func (c CloseCall) Open() bool { return c.Matters || c.Ends == "unknown" }

// NotTested is a finding that this walk neither reached nor cleared, and why.
type NotTested struct {
	Finding *Finding
	Why     string // "not asked on this way", "could not be taken: ...", "skipped"
}

// Take is one reading taken at one step.
type Take struct {
	Seq     int // of the event that gave it; 0 when no event did
	At      time.Time
	Reading *Reading
	Step    *Step // nil while it waits for its step
	Answer  Answer
	Round   int
	Stale   bool
	Text    string  // "12.55 V ± 0.06 V", "clean and tight", "could not be taken: no room"
	State   string  // "taken" "skipped" "unable" "unsteady" "over range" "assumed"
	Lo, Hi  float64 // base units, what can be true; infinite ends clipped to the span
	Best    float64
	How     string // "settled display, workshop meter", "lowest hold", "seen", "asked"
}
