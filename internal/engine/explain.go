package engine

// Explanation says why one branch was taken. Every word of it comes from the
// trace of the decision: nothing is written by hand for a branch but the
// author's own claim. The slots are always in this order.
type Explanation struct {
	Step   *Step
	Branch *Branch
	Round  int

	Claim       string       // "Charge first."
	Facts       []Fact       // what was read
	Rules       []Comparison // what it was held against
	Foil        string       // nearest other branch and why not
	Flip        string       // smallest change that would have taken the other branch
	FlipTo      *Flip        // the same as data; nil when no change of one answer would have
	Sure        string       // how sure: clear, close and how it was settled
	Clears      []string     // finding titles ruled out, only by the author's `clears`
	NotYet      string       // what this says nothing about
	Next        string       // what comes next and why
	Provisional bool
}

// Flip is the smallest change of one answer that would have led to another
// branch, all other answers at their best values.
type Flip struct {
	Reading *Reading
	Value   float64 // base units, for a number
	Choice  string  // for a choice
	Branch  *Branch
}

// Fact is one reading as the explanation shows it.
type Fact struct {
	Reading      *Reading
	Ask          string
	Text         string  // "12.21 V ± 0.08 V"
	Place        string  // "at the battery posts", from the probe points
	How          string  // "settled display, workshop meter"
	Best, Lo, Hi float64 // base units
	Assumed      bool
}

// Comparison is one limit and the verdict that it gave.
type Comparison struct {
	Left   string // "battery voltage at rest"
	Value  string // "12.21 V ± 0.08 V"
	Is     string // "is below", "is at or above", "is", "is not"
	Limit  string // "12.40 V (charged enough to test)"
	Holds  string // "clear", "too close to call" or "not known"
	Margin string // "0.19 V, 2.4 times the doubt"
	Source string
	// For drawing: base units of Unit, valid when Drawn.
	Drawn            bool
	Best, Lo, Hi     float64
	LimitLo, LimitHi float64
	UnitName         string
	Reading          *Reading // nil when the left side is a sum
}
