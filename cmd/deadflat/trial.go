package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"sync/atomic"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"deadflat/internal/engine"
	"deadflat/internal/job"
	"deadflat/internal/source"
	"deadflat/internal/trial"
)

const trialHelp = `Try a tree on many virtual vehicles with hidden faults: how often it finds what is
wrong, how often it replaces a good battery, what it asks for that is unsafe, how
long it takes, and which faults it takes for which. What counts is the first finding
that leads to work: a wrong repair is wrong, whatever comes after it. Repairs are done
on the vehicle and the walk goes on over its rounds. Two rules of thumb and a skilled
person's way stand beside it.

Two sets of vehicles and people come with it. As found, faults begin where they can
hardly be measured, sound parts are worn, people err, and tools and probe points are
missing. On the bench, faults show, and everything is at hand, in reach and true.

How common faults are is a guess of the model: the shares say how the tree fares on
the model. Each vehicle has its own seed, and --vehicles 1 --seed N --job FILE keeps
the walk on one of them as a job, to be read with deadflat report.

With --bound the tree is held against the best that its readings allow: what is
likeliest among simulated vehicles that read alike. That shows what a better tree
could still find, and which faults are taken for others even so. It is an estimate.

The same options give the same bytes, whatever --workers says.`

const trialExamples = `  deadflat trial no-start --vehicles 2000
  deadflat trial no-start --vehicles 100000 --json > trial.json
  deadflat trial no-start --population bench
  deadflat trial no-start --html trial.html
  deadflat trial no-start --bound
  deadflat trial no-start --bound=100000
  deadflat trial no-start --vehicles 1 --seed 58 --job 58.job`

type trialFlags struct {
	own, meter, population, job string
	html                        output
	vehicles, workers, bound    int
	seed                        uint64
	json                        bool
}

func newTrial(s streams) *cobra.Command {
	var f trialFlags
	c := &cobra.Command{
		Use:               "trial TREE",
		Short:             "Try a tree on many virtual vehicles with hidden faults",
		Long:              trialHelp + "\n\n" + exitHelp,
		Example:           trialExamples,
		Args:              words(0, 1, "TREE"),
		ValidArgsFunction: completeTrees,
		RunE: func(c *cobra.Command, args []string) error {
			if err := apart(c, "job", "html", "json"); err != nil {
				return err
			}
			return f.run(s, args)
		},
	}
	c.Flags().IntVar(&f.vehicles, "vehicles", 2000, "how many vehicles: `N`, at most 10 million")
	c.Flags().Uint64Var(&f.seed, "seed", 1, "seed of the first vehicle: `N`; the next one has the next")
	c.Flags().StringVar(&f.population, "population", "as-found", "what `SET` of vehicles and people: as-found, bench, or a YAML file")
	c.Flags().StringVar(&f.meter, "meter", usualMeter, "the `METER` readings are taken with: basic, workshop, calibrated, or a YAML file")
	c.Flags().IntVar(&f.workers, "workers", 0, "how many vehicles at a time: `N` (default: one for each processor)")
	c.Flags().BoolVar(&f.json, "json", false, "write JSON")
	c.Flags().StringVar(&f.html.path, "html", "", "write a page with pictures to this `FILE` as well")
	c.Flags().StringVar(&f.job, "job", "", "with --vehicles 1: keep the walk as a job in this new `FILE`")
	c.Flags().IntVar(&f.bound, "bound", 0, fmt.Sprintf("hold the tree against the best that its readings allow, learnt from `N` vehicles, at most %d", mostLearnt))
	c.Flags().Lookup("bound").NoOptDefVal = "20000"
	c.Flags().StringVar(&f.own, "tree", "", ownHelp)
	return c
}

// mostVehicles bounds a trial to what a machine's memory holds.
const mostVehicles = 10_000_000

// mostLearnt bounds what is kept of the vehicles that the bound is learnt from: about a
// kilobyte of each.
const mostLearnt = 500_000

func (f *trialFlags) run(s streams, args []string) error {
	switch {
	case f.vehicles < 1 || f.vehicles > mostVehicles:
		return usage("--vehicles is %d: expected 1 to %d", f.vehicles, mostVehicles)
	case f.workers < 0 || f.workers > 1024:
		return usage("--workers is %d: expected 1 to 1024, or 0 for one each processor", f.workers)
	case f.bound < 0 || f.bound > mostLearnt:
		return usage("--bound is %d: expected 1 to %d vehicles to learn from", f.bound, mostLearnt)
	case f.job != "" && f.vehicles != 1:
		return usage("--job keeps one walk: give --vehicles 1 and the --seed of the vehicle")
	}
	lib, tree, err := loadTree(strings.Join(args, ""), f.own, "", s.err)
	if err != nil {
		return err
	}
	var kit engine.Kit
	meter, err := chooseMeter(f.meter, &kit)
	if err != nil {
		return err
	}
	o := trial.Options{Tree: tree, Meter: meter, Kit: kit, Vehicles: f.vehicles, Seed: f.seed, Workers: f.workers, Learn: f.bound, Library: lib}
	if o.Population, err = f.readPopulation(o.Equipment()); err != nil {
		return err
	}
	if f.job != "" {
		return f.keep(s, lib, o)
	}
	f.html.mode, f.html.reads = forAll, append(sourceNames(lib), f.meter)
	if o.Population.Name == f.population { // it is a file
		f.html.reads = append(f.html.reads, f.population)
	}
	if err := f.html.check(); err != nil {
		return err
	}
	ctx, stop := untilSignal()
	defer stop()
	clear := showProgress(s.err, &o)
	report, err := trial.Run(ctx, o)
	clear()
	stop()
	if errors.Is(err, context.Canceled) {
		return fmt.Errorf("stopped before all vehicles were tried: nothing is reported")
	}
	if err != nil {
		return err
	}
	return f.write(s, report)
}

// readPopulation gives one of the two sets by its name, or what a file says.
func (f *trialFlags) readPopulation(equipment []string) (trial.Population, error) {
	switch strings.ReplaceAll(f.population, "-", " ") {
	case "", trial.AsFound().Name:
		return trial.AsFound(), nil
	case trial.Bench().Name:
		return trial.Bench(), nil
	}
	data, err := readBoundedFile(f.population)
	if err != nil {
		return trial.Population{}, err
	}
	faults := &source.Faults{}
	pop := trial.ReadPopulation(f.population, data, equipment, faults)
	if pop == nil {
		return trial.Population{}, faultsError{faults}
	}
	return *pop, nil
}

// write gives the report in the form asked for.
func (f *trialFlags) write(s streams, r *trial.Report) error {
	if f.html.path != "" {
		if err := f.html.write(s, r.HTML); err != nil {
			return err
		}
	}
	if f.json {
		return writeJSON(s.out, r)
	}
	return r.Text(s.out)
}

// keep walks one vehicle and keeps the walk as a job.
func (f *trialFlags) keep(s streams, lib *engine.Library, o trial.Options) error {
	w, c, err := trial.Walk(&o, f.seed)
	if err != nil {
		return err
	}
	begin := job.Begin{Library: lib, Tree: o.Tree, Meter: o.Meter, Kit: w.Record().Kit, At: trial.Begun}
	file, err := job.Kind.Create(f.job, begin.Lines(w.Next(), w.Events()...)...)
	if err == nil {
		err = file.Close()
	}
	if err != nil {
		return err
	}
	_, err = io.WriteString(s.out, c.Text()+"The walk is kept: deadflat report "+shown(job.Kind, f.job)+"\n")
	return err
}

// showProgress lets a trial say on a terminal how far it is, and gives what clears
// that away.
func showProgress(errs *os.File, o *trial.Options) func() {
	if !term.IsTerminal(int(errs.Fd())) || os.Getenv("TERM") == "dumb" {
		return func() {}
	}
	var shown atomic.Int64
	o.Progress = func(done int) {
		percent := int64(done) * 100 / int64(o.Total())
		if was := shown.Load(); percent > was && shown.CompareAndSwap(was, percent) {
			fmt.Fprintf(errs, "\r%3d %% of %d vehicles", percent, o.Total())
		}
	}
	return func() { fmt.Fprint(errs, "\r\x1b[K") }
}
