package engine

import "time"

// Event is one line of a job: something that was said, in order. A walk's state
// is the fold of its events and of nothing else. The answerer stamps the time.
type Event struct {
	Seq int       `json:"seq"`
	At  time.Time `json:"at"`
	Do  Do        `json:"do"`

	Step    string  `json:"step,omitempty"`    // the step it was asked at; empty for an early answer
	Reading string  `json:"reading,omitempty"` // the reading answered, skipped or not taken
	Answer  *Answer `json:"answer,omitempty"`

	Text  string `json:"text,omitempty"`  // reason, note, word put back, finding suspected
	Count int    `json:"count,omitempty"` // undo: how many answers; change: the seq that is replaced
	Away  string `json:"away,omitempty"`  // resume: how long the job lay, "9h30m0s"
	Kit   *Kit   `json:"kit,omitempty"`
}

// Do says what an event does to the walk.
type Do string

// The event kinds.
const (
	DoAnswer  Do = "answer"   // Reading (and Step) got Answer
	DoSkip    Do = "skip"     // an optional Reading was passed over
	DoUnable  Do = "unable"   // the Step could not be done: Text says why
	DoDone    Do = "done"     // a step that only asks to be done was done
	DoUndo    Do = "undo"     // the last Count answers are taken back
	DoChange  Do = "change"   // the answer of event Count is replaced by Answer
	DoNote    Do = "note"     // Text is kept for the report
	DoSuspect Do = "suspect"  // go to the one reading that proves or kills finding Text
	DoPause   Do = "pause"    // the job was left
	DoResume  Do = "resume"   // the job was taken up again after Away
	DoPutBack Do = "put back" // the temporary change Text has been undone on the vehicle
	DoRound   Do = "round"    // the finding was acted on: the next round begins
	DoKit     Do = "kit"      // the equipment changed
)

// Answer is what was said of one reading, before any doubt is added.
//
// For numbers Value is in Unit (its name, "V"); for choices Choice holds one
// entry, or several when only those can be told apart, or none with Unsure.
type Answer struct {
	Typed   string   `json:"typed,omitempty"` // as typed
	Value   float64  `json:"value,omitempty"`
	Unit    string   `json:"unit,omitempty"`
	Choice  []string `json:"choice,omitempty"`
	Unsure  bool     `json:"unsure,omitempty"`
	Held    string   `json:"held,omitempty"`      // "lowest" or "highest" when the meter held a peak; "recording"
	State   string   `json:"state,omitempty"`     // "unsteady" or "over range" instead of a value
	OutBy   float64  `json:"out_by,omitempty"`    // the person's own doubt, in Unit
	Sure    bool     `json:"confirmed,omitempty"` // an odd-looking answer that was asked about and confirmed
	Assumed bool     `json:"assumed,omitempty"`
}

// Kit is the equipment at hand, asked once and kept.
type Kit struct {
	Meter string   `json:"meter"` // name of a meter profile: basic workshop calibrated, or a person's own
	Has   []string `json:"has"`   // equipment words; nil means everything
	Hold  string   `json:"hold,omitempty"`
}
