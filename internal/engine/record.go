package engine

import "time"

// Record is a whole walk laid out for reading: the one source of every report,
// of `decide`'s results and of the review page. It holds no new judgement.
type Record struct {
	Tree      *Tree
	Rounds    []RoundRecord
	Kit       Kit
	Meter     *Meter
	Notes     []Note
	Takes     []Take // every take of the job in order, stale ones included
	Dropped   []Take // answers that no step asked for
	Cranks    int
	PutBack   []string          // still open
	Back      map[string]string // by temporary change of the whole job: how it is put back
	Begun     time.Time
	Ended     time.Time  // of the last event
	Undone    int        // answers taken back
	Suspected []*Finding // findings somebody went straight to the test of, in order
	Paused    int
	Next      *Prompt // what is asked now; its Result is set when the walk has ended
	Readings  []ReadingState
}

// RoundRecord is one pass through a tree.
type RoundRecord struct {
	Tree   *Tree
	Steps  []Visit
	Result *Result // nil while it runs
}

// Visit is one step passed, with the takes it used and why it led where it did.
type Visit struct {
	Step        *Step
	Takes       []Take
	Explanation *Explanation
	At          time.Time // of the event that completed it
}

// Note is a remark kept for the report.
type Note struct {
	At   time.Time
	Step string
	Text string
}

// ReadingState is where one reading of the tree stands now.
type ReadingState struct {
	Reading *Reading
	State   string // "not asked on this way" "taken" "stale" "skipped" "unable" "unsteady" "over range" "assumed"
	Take    *Take
}
