package report

// Document is a whole report.
type Document struct {
	Report   int      `json:"report"`   // number of this contract: 2
	Title    string   `json:"title"`    // title of the tree that was walked
	Begun    string   `json:"begun"`    // RFC 3339; "" when nothing was answered
	Ended    string   `json:"ended"`    // RFC 3339, time of the last answer
	Finished bool     `json:"finished"` // false: next says what is needed
	Customer []string `json:"customer"` // the plain paragraphs for the owner, in order
	Trees    []Tree   `json:"trees"`    // the trees of the rounds, each once
	Rounds   []Round  `json:"rounds"`   // in order; the last may be unfinished
	Next     *Next    `json:"next,omitempty"`

	Takes       []Take     `json:"takes"`        // every take of the job in order, stale ones included
	Dropped     []Take     `json:"dropped"`      // answers that no step asked for
	BeforeAfter []Retake   `json:"before_after"` // stale takes beside the takes that followed them
	Readings    []Standing `json:"readings"`     // where each reading of the tree stands now
	PutBack     []string   `json:"put_back"`     // temporary changes still to be undone, as declared: "fuel_fuse_out"
	HowBack     []string   `json:"how_back"`     // for each of these the sentence that says how; "" where the tree has none
	Closed      bool       `json:"closed"`       // finished, with nothing left to be put back
	Notes       []Note     `json:"notes"`
	Kit         Kit        `json:"kit"`
	Suspected   []string   `json:"suspected"` // ids of findings somebody went straight to the test of, in order
	Cranks      int        `json:"cranks"`    // crank attempts, those taken back included
	Undone      int        `json:"undone"`    // answers taken back
	Paused      int        `json:"paused"`    // times the job was left
}

// Quantity is a number and its unit. Counts (cranks, steps, rounds, multiples
// of the doubt) are plain numbers; everything measured is a Quantity.
type Quantity struct {
	Value float64 `json:"value"`
	Unit  string  `json:"unit"` // "V", "mV", "A", "°C", ... as the tree language spells it
}

// Tree tells which tree was followed.
type Tree struct {
	Name     string `json:"name"`
	Title    string `json:"title"`
	Edition  int    `json:"edition"`
	Hash     string `json:"hash"` // "sha256:..." over the sources that the tree is resolved from
	Author   string `json:"author,omitempty"`
	Status   string `json:"status"`             // "draft" or "reviewed"
	Reviewed string `json:"reviewed,omitempty"` // by whom and when; of a draft what its author says of it
	Changed  string `json:"changed,omitempty"`  // as the author wrote it
}

// Round is one pass through a tree.
type Round struct {
	Round  int     `json:"round"` // from 1
	Tree   string  `json:"tree"`  // name
	Steps  []Step  `json:"steps"`
	Result *Result `json:"result,omitempty"` // absent while the round runs
}

// Step is one step passed and why it led where it did.
type Step struct {
	ID    string `json:"id"`
	Title string `json:"title"`
	Kind  string `json:"kind"`
	At    string `json:"at"`    // RFC 3339, time of the answer that completed it
	Takes []int  `json:"takes"` // seq of the takes it used
	Why   *Why   `json:"why,omitempty"`

	Picture *Picture `json:"picture,omitempty"` // beside the step
}

// Picture is a picture beside a step: its file, and what it shows.
type Picture struct {
	File string `json:"file"`
	Text string `json:"text"`
}

// Why is the explanation of one branch, slot by slot. A slot with nothing to
// say is absent.
type Why struct {
	To          string       `json:"to"`               // id of the step or finding it led to
	Branch      string       `json:"branch,omitempty"` // the branch as its author wrote it
	Claim       string       `json:"claim,omitempty"`
	Facts       []Fact       `json:"facts"`
	Rules       []Comparison `json:"rules"`
	Foil        string       `json:"foil,omitempty"`    // nearest other branch and why not
	Flip        string       `json:"flip,omitempty"`    // smallest change that would have taken it
	Sure        string       `json:"sure,omitempty"`    // how sure
	Clears      []string     `json:"clears,omitempty"`  // titles of findings ruled out
	NotYet      string       `json:"not_yet,omitempty"` // what this says nothing about
	Next        string       `json:"next,omitempty"`
	Provisional bool         `json:"provisional"`
}

// Fact is a reading as an explanation used it.
type Fact struct {
	Reading string `json:"reading"`         // id
	Text    string `json:"text"`            // "12.21 V ± 0.08 V"
	Place   string `json:"place,omitempty"` // "at the battery posts"
	How     string `json:"how,omitempty"`
	Assumed bool   `json:"assumed"`
	Range
}

// Range is what can be true of a number; all three are absent for a choice.
type Range struct {
	Best *Quantity `json:"best,omitempty"`
	Low  *Quantity `json:"low,omitempty"`
	High *Quantity `json:"high,omitempty"`
}

// Comparison is a reading or sum held against a limit. Is says what is true of
// the best values; Holds says how far that can be relied on.
type Comparison struct {
	Left      string    `json:"left"`   // what was held against the limit, in words
	Value     string    `json:"value"`  // in words, with its doubt
	Is        string    `json:"is"`     // "is below", "is at or above", "is too close to", "is", "is not", ...; "" when not known
	Limit     string    `json:"limit"`  // in words
	Holds     string    `json:"holds"`  // "clear" for everything that can be true, "too close to call", "not known"
	Margin    string    `json:"margin"` // in words
	Source    string    `json:"source"` // of the limit
	Reading   string    `json:"reading,omitempty"`
	LimitLow  *Quantity `json:"limit_low,omitempty"` // present, as is Range, when both sides are numbers
	LimitHigh *Quantity `json:"limit_high,omitempty"`
	Range
}

// Result is the end of a round.
type Result struct {
	Finding   string      `json:"finding"` // id
	Title     string      `json:"title"`
	Faults    []string    `json:"faults"` // ids of the fault list
	Action    string      `json:"action,omitempty"`
	Stop      bool        `json:"stop"`      // nothing more may be done to this vehicle
	Certainty string      `json:"certainty"` // "firm" or "likely"
	Missing   []string    `json:"missing"`   // what it rests on and nobody read, and why; in words
	Cautions  []string    `json:"cautions"`
	Remedy    string      `json:"remedy,omitempty"`
	ProveBy   string      `json:"prove_by,omitempty"` // step or reading to take again after the work
	Open      string      `json:"open,omitempty"`     // what stays unproved
	Cleared   []string    `json:"cleared"`            // ids of findings ruled out on the way
	Close     []CloseCall `json:"close_calls"`
	NotTested []NotTested `json:"not_tested"` // findings neither reached nor cleared
}

// CloseCall is a decision that the doubt of the readings left open.
type CloseCall struct {
	Step    string    `json:"step"` // id
	How     string    `json:"how"`  // "same action", "better test", "safer side", "best value", "not sure"
	Text    string    `json:"text"`
	Margin  *Quantity `json:"margin,omitempty"` // distance to the limit
	Doubt   *Quantity `json:"doubt,omitempty"`  // of the comparison
	Matters bool      `json:"matters"`          // another side ends in another action
	Ends    string    `json:"ends,omitempty"`   // "unknown": another side needs an answer nobody gave
}

// NotTested is a finding that was neither reached nor cleared.
type NotTested struct {
	Finding string `json:"finding"` // id
	Title   string `json:"title"`
	Why     string `json:"why"`
}

// Take is one reading taken at one step.
type Take struct {
	Seq     int      `json:"seq"`     // of the answer in the job, from 1
	Reading string   `json:"reading"` // id
	Ask     string   `json:"ask"`     // the reading in words
	Step    string   `json:"step"`    // id; "" when no step used it
	Round   int      `json:"round"`
	At      string   `json:"at"`    // RFC 3339; "" when not known
	State   string   `json:"state"` // "taken", "skipped", "unable", "unsteady", "over range", "assumed"
	Stale   bool     `json:"stale"` // later work made it out of date
	Text    string   `json:"text"`  // with its doubt
	How     string   `json:"how"`   // how it was taken
	Red     string   `json:"red,omitempty"`
	Black   string   `json:"black,omitempty"`
	Clamp   string   `json:"clamp,omitempty"`
	Choice  []string `json:"choice,omitempty"` // what can be true of a choice; several when only those could be told apart
	Range
}

// Retake sets a stale take beside the one that followed it; both are seq
// numbers of takes.
type Retake struct {
	Reading string `json:"reading"` // id
	Before  int    `json:"before"`
	After   int    `json:"after"`
}

// Standing is where one reading of the tree stands now.
type Standing struct {
	Reading string `json:"reading"`        // id
	State   string `json:"state"`          // a Take's state, or "not asked on this way", "stale"
	Take    int    `json:"take,omitempty"` // seq of its latest take
}

// Next is what an unfinished walk needs.
type Next struct {
	Step     string   `json:"step"` // id
	Title    string   `json:"title"`
	Done     bool     `json:"done"` // it asks to be done: "STEP.done" for decide
	Readings []Wanted `json:"readings"`
	Cautions []string `json:"cautions"`
	Possible []string `json:"possible"` // ids of the findings that can still be reached
	Fewest   int      `json:"fewest"`   // steps with a question to come, at least
	Most     int      `json:"most"`     // and at most
}

// Wanted is a reading that is asked for.
type Wanted struct {
	Reading  string   `json:"reading"` // id
	Name     string   `json:"name"`    // what decide is given it under: "rest_voltage", "recheck.rest_voltage"
	Ask      string   `json:"ask"`
	Unit     string   `json:"unit,omitempty"`
	Choices  []string `json:"choices,omitempty"`
	Several  bool     `json:"several,omitempty"` // of the choices, one or more may be given
	Optional bool     `json:"optional"`
}

// Note is a remark that was made on the way.
type Note struct {
	At   string `json:"at"` // RFC 3339
	Step string `json:"step,omitempty"`
	Text string `json:"text"`
}

// Kit is the equipment that was at hand.
type Kit struct {
	Meter       string   `json:"meter"`                  // name of a meter profile
	MeterTitle  string   `json:"meter_title,omitempty"`  // what the profile says it is
	MeterSource string   `json:"meter_source,omitempty"` // where its accuracy comes from
	Has         []string `json:"has"`                    // null: everything
}
