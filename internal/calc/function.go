package calc

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"deadflat/internal/unit"
)

// Function is one piece of arithmetic, with all that is to be said of it.
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
	Unit    *unit.Unit // of its first value, in which Work gives it, when an expression may call it

	// Work is given what Run has checked: every parameter that is not optional, or
	// for which something is assumed.
	Work func(Args) (Result, error)
}

// Param is one thing that a Function takes: a number that measures a Quantity, a
// word of Choices, or the text of a file.
type Param struct {
	Name, Doc string
	*Quantity          // of a number
	Choices   []string // the words
	File      bool     // the value is the text of a file
	Optional  bool
	Assume    *Arg // stands in when an optional one is not given
}

// Number reports whether the parameter is a number.
func (p Param) Number() bool { return p.Quantity != nil }

// Arg is what can be true of an argument: a range, in the unit of the parameter,
// or some of its words. A file's text is one word.
type Arg struct {
	Range unit.Range
	Words []string
}

// Number is an argument in numbers.
func Number(r unit.Range) Arg { return Arg{Range: r} }

// Word is an argument that is one word, or the text of a file.
func Word(w string) Arg { return Arg{Words: []string{w}} }

// Word is the word that is left, when it is only one.
func (a Arg) Word() string {
	if len(a.Words) != 1 {
		return ""
	}
	return a.Words[0]
}

// Args are the arguments, by the names of the parameters.
type Args map[string]Arg

// Num is the range given for a number.
func (a Args) Num(name string) unit.Range { return a[name].Range }

// Word is the word given.
func (a Args) Word(name string) string { return a[name].Word() }

// Has reports whether an optional parameter is given.
func (a Args) Has(name string) bool { _, ok := a[name]; return ok }

// MissingError says that a function was not given what it needs.
type MissingError struct {
	Function *Function
	Params   []string
}

func (e *MissingError) Error() string {
	return fmt.Sprintf("%s also needs %s", e.Function.Name, strings.Join(e.Params, ", "))
}

// Run works the function out for arguments of one word each. The error is a
// [*MissingError] when something it needs is not given, an [*Impossible] when what
// is given cannot be, and another one for a name or a word that the function does
// not know.
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
			missing.Params = append(missing.Params, p.Name)
			continue
		case len(p.Choices) > 0 && !slices.Contains(p.Choices, arg.Word()):
			return Result{}, fmt.Errorf("%s is %q: expected one of %s", p.Name, arg.Word(), strings.Join(p.Choices, ", "))
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
	for _, in := range inputs {
		if in.Param.Number() {
			if err := in.Param.Check(in.Arg.Range); err != nil {
				return Result{}, err
			}
		}
	}
	result, err := f.Work(args)
	if err != nil {
		return Result{}, err
	}
	result.Inputs = inputs
	return result, nil
}

// Positional lists the parameters in the order in which an expression gives them:
// the optional ones last.
func (f *Function) Positional() []Param {
	var must, may []Param
	for _, p := range f.Params {
		if p.Optional {
			may = append(may, p)
		} else {
			must = append(must, p)
		}
	}
	return append(must, may...)
}

// Over is the first value, in its base unit, over everything that the arguments
// can be. They stand in the order of Positional, their ranges in base units.
func (f *Function) Over(args []Arg) (unit.Range, error) {
	given := Args{}
	params := f.Positional()[:len(args)]
	for i, p := range params {
		if p.Number() {
			r, u := args[i].Range, p.Measure()
			given[p.Name] = Number(unit.Range{Lo: u.From(r.Lo), Best: u.From(r.Best), Hi: u.From(r.Hi)})
		}
	}
	all := unit.Range{Lo: math.Inf(1), Hi: math.Inf(-1)}
	err := eachWord(params, args, given, func() error {
		r, err := f.Run(given)
		if err != nil {
			return err
		}
		v := r.Values[0].Range
		all.Lo, all.Hi = min(all.Lo, f.Unit.Base(v.Lo)), max(all.Hi, f.Unit.Base(v.Hi))
		all.Best = f.Unit.Base(v.Best)
		return nil
	})
	if err == nil && !all.Contains(all.Best) {
		all.Best = (all.Lo + all.Hi) / 2
	}
	return all, err
}

// eachWord calls do with every combination of the words left put into given.
func eachWord(params []Param, args []Arg, given Args, do func() error) error {
	for i, p := range params {
		if p.Number() {
			continue
		}
		for _, w := range args[i].Words {
			given[p.Name] = Word(w)
			if err := eachWord(params[i+1:], args[i+1:], given, do); err != nil {
				return err
			}
		}
		return nil
	}
	return do()
}
