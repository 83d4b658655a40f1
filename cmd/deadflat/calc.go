package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"deadflat/internal/calc"
	"deadflat/internal/leadacid"
	"deadflat/internal/source"
	"deadflat/internal/unit"
)

const calcHelp = `Work one thing out by the trade's arithmetic, without a walk.

"deadflat calc" lists what there is. A name alone says what it takes. A value is
typed as in a walk, with or without its unit, and with its doubt if it has one:
12.4, "12.4 V", "12.4 ± 0.05", 12.3..12.5. The answer is a range that covers the
doubt of the values and what the sources disagree about. A name, a key or a word
may be cut short as long as only one begins so.

` + exitHelp + `
Here 1 means that the numbers put in cannot be true together.`

const calcExamples = `  deadflat calc
  deadflat calc charge_from_voltage
  deadflat calc charge_from_voltage rest_voltage=12.45 chemistry=agm battery_temp=5
  deadflat calc internal_resistance first_voltage=12.6±0.01 second_voltage=10.4±0.01 second_current=200±2 --explain
  deadflat calc replacement list=stock.csv chem=agm box=LN3 layout=right hold=B13 cap=70 rating=760 standard=en`

// calcFlags are the choices of one run of calc.
type calcFlags struct{ explain, json bool }

func newCalc(s streams) *cobra.Command {
	var f calcFlags
	c := &cobra.Command{
		Use:               "calc [NAME [KEY=VALUE]...]",
		Short:             "Work one thing out: state of charge, load test, drops, charging, draw",
		Long:              calcHelp,
		Example:           calcExamples,
		ValidArgsFunction: completeCalc,
		RunE: func(c *cobra.Command, args []string) error {
			if err := apart(c, "explain", "json"); err != nil {
				return err
			}
			switch {
			case len(args) == 0 && f.json:
				return usage("--json prints a result: name what is to be worked out")
			case len(args) == 0:
				return listFunctions(s.out)
			}
			return f.run(s, args[0], args[1:])
		},
	}
	c.Flags().BoolVar(&f.explain, "explain", false, "print the formula, what was put in, and every number it rests on with its source")
	c.Flags().BoolVar(&f.json, "json", false, "write JSON")
	return c
}

func (f *calcFlags) run(s streams, name string, words []string) error {
	fn, err := functionNamed(name)
	if err != nil {
		return err
	}
	args, err := readArgs(fn, words)
	if err != nil {
		return err
	}
	result, err := fn.Run(args.values)
	var missing *calc.MissingError
	switch {
	case errors.As(err, &missing) && len(words) == 0 && !f.json:
		return describe(s.out, fn)
	case errors.As(err, &missing):
		return usage("%w", err)
	case err != nil:
		sayImpossible(s.err, args.file, err)
		return errFaults
	}
	if f.json {
		return writeCalcJSON(s.out, fn, result)
	}
	var b strings.Builder
	writeResult(&b, result)
	if f.explain {
		writeGrounds(&b, fn, result)
	}
	_, err = io.WriteString(s.out, b.String())
	return err
}

// sayImpossible prints why nothing was worked out; faults of a list one a line,
// with their place.
func sayImpossible(w io.Writer, file string, err error) {
	var faults leadacid.ListFaults
	if !errors.As(err, &faults) {
		fmt.Fprintf(w, "deadflat: %s\n", err)
		return
	}
	for _, f := range faults {
		fmt.Fprintf(w, "%s:%d: %s\n", file, f.Line, f.Message)
	}
}

// functionNamed finds a function by its name or an unmistakable beginning of it.
func functionNamed(name string) (*calc.Function, error) {
	full, hint := pick(name, functionNames())
	if full == "" {
		return nil, usage("there is no calculation %q%s; \"deadflat calc\" lists them", name, hint)
	}
	return leadacid.Find(full), nil
}

// pick finds the known word that was meant: the word itself, whatever its case
// and whether it is written with - or _, or the only one that begins so. Without
// one it gives "", and what to say of it.
func pick(word string, known []string) (full, hint string) {
	plain := strings.ReplaceAll(strings.ToLower(word), "-", "_")
	var begin []string
	for _, k := range known {
		low := strings.ToLower(k)
		if low == plain {
			return k, ""
		}
		if plain != "" && strings.HasPrefix(low, plain) {
			begin = append(begin, k)
		}
	}
	switch len(begin) {
	case 0:
		return "", source.DidYouMean(word, known)
	case 1:
		return begin[0], ""
	}
	return "", fmt.Sprintf(": it can be %s", strings.Join(begin, " or "))
}

// given is what stands on the command line for a function.
type given struct {
	values calc.Args
	file   string // path of the file among them
}

// readArgs reads KEY=VALUE words. A word without "=" goes on with the value
// before it, so that "battery_temp=5 C" needs no quotation marks.
func readArgs(fn *calc.Function, words []string) (given, error) {
	g := given{values: calc.Args{}}
	for len(words) > 0 {
		key, value, ok := strings.Cut(words[0], "=")
		if !ok {
			return g, usage("%q is no KEY=VALUE; %s takes %s", words[0], fn.Name, strings.Join(paramNames(fn), ", "))
		}
		for words = words[1:]; len(words) > 0 && !strings.Contains(words[0], "="); words = words[1:] {
			value += " " + words[0]
		}
		if err := g.take(fn, key, value); err != nil {
			return g, err
		}
	}
	return g, nil
}

func (g *given) take(fn *calc.Function, key, value string) error {
	name, hint := pick(key, paramNames(fn))
	if name == "" {
		return usage("%s takes no %q%s; it takes %s", fn.Name, key, hint, strings.Join(paramNames(fn), ", "))
	}
	if _, twice := g.values[name]; twice {
		return usage("%s is given twice", name)
	}
	var arg calc.Arg
	var err error
	p := fn.Params[slices.IndexFunc(fn.Params, func(p calc.Param) bool { return p.Name == name })]
	switch {
	case p.File:
		var text []byte
		text, err = readWholeFile(value)
		arg, g.file = calc.Word(string(text)), value
	case p.Number():
		arg.Range, err = unit.ParseRange(value, p.Measure())
		if err != nil {
			err = usage("%s: %w", name, err)
		}
	default:
		word, hint := pick(value, p.Choices)
		if arg = calc.Word(word); word == "" {
			err = usage("%s is %q%s; expected one of %s", name, value, hint, strings.Join(p.Choices, ", "))
		}
	}
	g.values[name] = arg
	return err
}

func functionNames() []string {
	return names(leadacid.All(), func(f *calc.Function) string { return f.Name })
}

func paramNames(fn *calc.Function) []string {
	return names(fn.Params, func(p calc.Param) string { return p.Name })
}

func listFunctions(w io.Writer) error {
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	topic := ""
	for _, f := range leadacid.All() {
		if f.Topic != topic {
			if topic != "" {
				fmt.Fprintln(table)
			}
			topic = f.Topic
			fmt.Fprintln(table, topic)
		}
		fmt.Fprintf(table, "  %s\t%s\n", f.Name, f.Title)
	}
	return table.Flush()
}

// completeCalc offers names, then keys. It prints nothing.
func completeCalc(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) == 0 {
		return functionNames(), cobra.ShellCompDirectiveNoFileComp
	}
	var keys []string
	if fn := leadacid.Find(args[0]); fn != nil {
		keys = names(fn.Params, func(p calc.Param) string { return p.Name + "=" })
	}
	return keys, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}
