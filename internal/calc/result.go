package calc

import "deadflat/internal/unit"

// Result is what came out.
type Result struct {
	Values     []Value
	Says       []string  // what it means, in sentences
	Opinions   []Opinion // what each source says, where there are several
	Candidates []Candidate
	Inputs     []Input // what was put in, in the order of the parameters
}

// Value is a number that came out.
type Value struct {
	Name, Title, Unit string
	Range             unit.Range
	Decimals          int // how many are worth showing
}

// Opinion is what one source says of the Value called Of.
type Opinion struct {
	Of     string
	Says   string // what it is: "table for a battery of 1.280 when full"
	Range  unit.Range
	Source Source
}

// Candidate is one of several things to choose from, judged.
type Candidate struct {
	Name   string
	Fits   unit.Verdict
	Checks []Check
}

// Check is one thing that a Candidate has to be right in.
type Check struct {
	What string // "box", "rating"
	Fits unit.Verdict
	Why  string
}

// Input is a parameter with the value it had; Assumed when nobody gave it.
type Input struct {
	Param   Param
	Arg     Arg
	Assumed bool
}
