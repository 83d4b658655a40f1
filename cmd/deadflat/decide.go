package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"deadflat/internal/batch"
	"deadflat/internal/report"
)

const decideHelp = `Decide from readings that are there already, without asking anybody.

Readings come from --set, from the YAML or JSON file of one vehicle, or from a
table of many: CSV with a header line, or JSON lines, in a file or on standard
input ("-"). A name is a reading, "rest_voltage"; or the take at one step,
"recheck.rest_voltage"; or "charge.done" for a step that was carried out; or
"earth.unable" for why one could not be; or "vehicle", a label for the result.
"deadflat trees TREE" lists the names. A value is what you would type in a walk:
"12.6", "12550 mV", "slowly". What --set gives wins over the file.

Of a table each line is one vehicle and gives one result, in the same order. A
line that cannot be read gives an error result, and the next line is read.

` + exitHelp + `
Here 0 means that a finding was reached for every vehicle.`

const decideExamples = `  deadflat decide no-start --set complaint="silent lamps bright" --set rest_voltage=12.6
  deadflat decide no-start van.yaml --json
  deadflat decide no-start fleet.csv --csv > findings.csv
  cat fleet.jsonl | deadflat decide no-start - --json`

// decideFlags are the choices of one run of decide.
type decideFlags struct {
	set        []string
	own        string
	meter      string
	json, csv  bool
	rawCells   bool
	workers    int
	tree, file string
}

func newDecide(s streams) *cobra.Command {
	var f decideFlags
	c := &cobra.Command{
		Use:               "decide TREE [FILE|-]",
		Short:             "Decide from readings in a file, a table or on the command line",
		Long:              decideHelp,
		Example:           decideExamples,
		Args:              words(1, 2, "TREE [FILE|-]"),
		ValidArgsFunction: completeTrees,
		RunE: func(c *cobra.Command, args []string) error {
			if err := apart(c, "json", "csv"); err != nil {
				return err
			}
			if f.rawCells && !f.csv {
				return usage("--raw-cells is for --csv: expected both")
			}
			f.tree, f.file = args[0], strings.Join(args[1:], "")
			return f.run(s)
		},
	}
	c.Flags().StringArrayVar(&f.set, "set", nil, "a reading, as `NAME=VALUE`; may be repeated")
	c.Flags().BoolVar(&f.json, "json", false, "write JSON, for tables one object a line")
	c.Flags().BoolVar(&f.csv, "csv", false, "write CSV, in short")
	c.Flags().BoolVar(&f.rawCells, "raw-cells", false, "with --csv: no apostrophe before a text that a spreadsheet would run as a formula")
	c.Flags().StringVar(&f.own, "tree", "", ownHelp)
	c.Flags().StringVar(&f.meter, "meter", "", meterHelp)
	c.Flags().IntVar(&f.workers, "workers", runtime.GOMAXPROCS(0), "vehicles decided at the same time")
	return c
}

func (f *decideFlags) run(s streams) error {
	if f.workers < 1 {
		return usage("--workers is %d: expected 1 or more", f.workers)
	}
	_, tree, err := loadTree(f.tree, f.own, "", s.err)
	if err != nil {
		return err
	}
	var known account
	if f.meter == "" {
		if known = recall(); known.lost != nil {
			fmt.Fprintln(s.err, known.lost)
		}
	}
	meter, err := chooseMeter(f.meter, &known.kit)
	if err != nil {
		return err
	}
	d := &batch.Decider{Tree: tree, Meter: meter, RawCells: f.rawCells}
	fixed := batch.NewRow(tree)
	for _, assignment := range f.set {
		if err := fixed.Fix(assignment); err != nil {
			return usage("--set %w", err)
		}
	}
	if f.file == "" || slices.Contains([]string{".yaml", ".yml", ".json"}, filepath.Ext(f.file)) {
		return f.one(s, d, fixed)
	}
	return f.many(s, d, fixed)
}

// one decides a single vehicle.
func (f *decideFlags) one(s streams, d *batch.Decider, row *batch.Row) error {
	if f.file != "" {
		data, err := readWholeFile(f.file)
		if err != nil {
			return err
		}
		if faults := row.ReadFile(f.file, data); !faults.Empty() {
			return faultsError{faults}
		}
	}
	r := d.Decide(row)
	if err := f.print(s.out, d, r); err != nil {
		return err
	}
	if r.State() != batch.Found {
		return errFaults
	}
	return nil
}

func (f *decideFlags) print(w io.Writer, d *batch.Decider, r *batch.Result) (err error) {
	switch {
	case f.json:
		_, err = fmt.Fprintf(w, "%s\n", r.JSON())
	case f.csv:
		_, err = w.Write(d.CSV(r))
	case r.State() == batch.Bad:
		_, err = fmt.Fprintln(w, r.Summary())
	default:
		err = report.Text(w, r.Record(), reportColumns)
		if err == nil && r.State() == batch.More {
			_, err = fmt.Fprintf(w, "\nGive next:\n%s", r.Needs())
		}
	}
	return err
}

// many decides a table.
func (f *decideFlags) many(s streams, d *batch.Decider, fixed *batch.Row) error {
	in := io.Reader(s.in)
	if f.file != "-" {
		file, err := os.Open(f.file)
		if err != nil {
			return err
		}
		defer file.Close()
		in = file
	}
	totals, err := d.Stream(in, s.out, f.form(), fixed, f.workers)
	var header *batch.HeaderError
	if errors.As(err, &header) {
		fmt.Fprintf(s.err, "%q: %s\n", f.file, header)
		return errFaults
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(s.err, "findings: %d; more readings needed: %d; lines with errors: %d\n", totals.Found, totals.More, totals.Bad)
	if totals.More+totals.Bad > 0 {
		return errFaults
	}
	return nil
}

func (f *decideFlags) form() batch.Form {
	switch {
	case f.json:
		return batch.AsJSON
	case f.csv:
		return batch.AsCSV
	}
	return batch.AsText
}
