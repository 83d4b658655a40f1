package leadacid

import (
	"fmt"
	"slices"
	"strings"
)

// Function is one piece of arithmetic, as a command offers it by name.
type Function struct {
	Name    string // "load_floor"
	Title   string // "Lowest voltage at the end of a load test"
	Topic   string // what it is listed under
	Doc     string // when to use it, and what it cannot tell
	Params  []Param
	Formula string
	Source  Source   // of the formula
	Figures []Figure // the numbers in it, each with its own source
	Tables  []*Table

	work func(Args) (Result, error)
}

// Param is one thing that a Function takes: a number, a word of Choices, or the
// text of a file.
type Param struct {
	Name     string
	Unit     string     // of the number; "" for a word or a file
	Span     [2]float64 // least and most, in Unit
	Only     []float64  // when set, the only numbers there are
	Doc      string
	Choices  []string // the words
	File     bool     // the value is the text of a file
	Optional bool
	Assume   *Arg // stands in when an optional one is not given
}

// Number reports whether the parameter is a number.
func (p Param) Number() bool { return !p.File && len(p.Choices) == 0 }

// Arg is what is given for a parameter.
type Arg struct {
	Range Range  // for a number, in the unit of the parameter
	Word  string // for a word or the text of a file
}

// Args are the values given, by the names of the parameters.
type Args map[string]Arg

func (a Args) num(name string) Range   { return a[name].Range }
func (a Args) word(name string) string { return a[name].Word }
func (a Args) has(name string) bool    { _, ok := a[name]; return ok }

// Result is what came out.
type Result struct {
	Values     []Value
	Says       []string // what it means, in sentences
	Opinions   []Said   // what each source says, where there are several
	Candidates []Judged // for the choice of a replacement
	Inputs     []Input  // what was put in, in the order of the parameters
}

// Value is a number that came out.
type Value struct {
	Name, Title, Unit string
	Range             Range
	Decimals          int // how many are worth showing
}

// Said is one source's opinion of the Value called Of.
type Said struct {
	Of string
	Opinion
}

// Input is a parameter with the value it had; Assumed when nobody gave it.
type Input struct {
	Param   Param
	Arg     Arg
	Assumed bool
}

// MissingError says that a function was not given what it needs.
type MissingError struct {
	Function *Function
	Params   []Param
}

func (e *MissingError) Error() string {
	var names []string
	for _, p := range e.Params {
		names = append(names, p.Name)
	}
	return fmt.Sprintf("%s also needs %s", e.Function.Name, strings.Join(names, ", "))
}

// Run works the function out. The error is a [*MissingError] when something it
// needs is not given, an [*Impossible] when what is given cannot be, and another
// one for a name or a word that the function does not know.
func (f *Function) Run(given Args) (Result, error) {
	args := Args{}
	var inputs []Input
	missing := &MissingError{Function: f}
	for _, p := range f.Params {
		arg, ok := given[p.Name]
		assumed := !ok && p.Assume != nil
		switch {
		case assumed:
			arg = *p.Assume
		case !ok && p.Optional:
			continue
		case !ok:
			missing.Params = append(missing.Params, p)
			continue
		case len(p.Choices) > 0 && !slices.Contains(p.Choices, arg.Word):
			return Result{}, fmt.Errorf("%s is %q: expected one of %s", p.Name, arg.Word, strings.Join(p.Choices, ", "))
		}
		args[p.Name] = arg
		inputs = append(inputs, Input{p, arg, assumed})
	}
	if len(missing.Params) > 0 {
		return Result{}, missing
	}
	for name := range given {
		if !slices.ContainsFunc(f.Params, func(p Param) bool { return p.Name == name }) {
			return Result{}, fmt.Errorf("%s takes no %q", f.Name, name)
		}
	}
	result, err := f.work(args)
	result.Inputs = inputs
	return result, err
}

// All lists every function there is, topic by topic. The list is made anew for
// each caller; what it points to is not to be changed.
func All() []*Function {
	return slices.Concat(
		chargeFunctions, loadFunctions, ratingFunctions, capacityFunctions, resistanceFunctions,
		dropFunctions, crankCurrentFunctions, chargingFunctions, alternatorFunctions, drawFunctions,
		replacementFunctions,
	)
}

// Find gives the function of that name, or nil.
func Find(name string) *Function {
	for _, f := range All() {
		if f.Name == name {
			return f
		}
	}
	return nil
}

// The topics that functions are listed under.
const (
	topicCharge       = "State of charge"
	topicLoad         = "Load test and crank"
	topicRating       = "Cold-crank ratings"
	topicCapacity     = "Capacity"
	topicResistance   = "Resistance"
	topicDrop         = "Cables and voltage drops"
	topicCrankCurrent = "Cranking current without a clamp"
	topicCharging     = "Charging"
	topicAlternator   = "Alternator"
	topicDraw         = "Key-off draw"
	topicReplacement  = "Choosing a replacement"
)

// number is a parameter that measures q.
func number(name string, q quantity, doc string) Param {
	return Param{Name: name, Unit: q.unit, Span: [2]float64{q.lo, q.hi}, Only: q.only, Doc: doc}
}

// choice is a parameter that is one of some words.
func choice(name, doc string, words ...string) Param {
	return Param{Name: name, Doc: doc, Choices: words}
}

// optional makes a parameter that may be left out.
func optional(p Param) Param { p.Optional = true; return p }

// assuming is a number that stands in when it is not given.
func assuming(p Param, r Range) Param {
	p.Optional, p.Assume = true, &Arg{Range: r}
	return p
}

// assumingWord is a word that stands in when it is not given.
func assumingWord(p Param, word string) Param {
	p.Optional, p.Assume = true, &Arg{Word: word}
	return p
}

// The parameters that stand in many functions.
var (
	chemistryParam = assumingWord(choice("chemistry", "type on the label", chemistryNames...), string(Unsure))
	tempParam      = assuming(number("battery_temp", batteryTemp, "temperature of the battery itself, not of the air"), roomTemp)
)

// one is the result that is a single value.
func one(v Value, err error) (Result, error) {
	if err != nil {
		return Result{}, err
	}
	return Result{Values: []Value{v}}, nil
}

// told is the result that is a single value of which several sources speak.
func told(name, title, unit string, decimals int, a Agreed, err error) (Result, error) {
	r, err := one(Value{name, title, unit, a.Range, decimals}, err)
	if err == nil {
		r.Opinions = saidOf(name, a)
	}
	return r, err
}

// saidOf lists opinions of a value, when there is more than one.
func saidOf(name string, a Agreed) []Said {
	if len(a.Opinions) < 2 {
		return nil
	}
	var all []Said
	for _, o := range a.Opinions {
		all = append(all, Said{name, o})
	}
	return all
}
