package main

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"deadflat/internal/drill"
	"deadflat/internal/engine"
	"deadflat/internal/journal"
	"deadflat/internal/source"
	"deadflat/internal/terminal"
)

const drillHelp = `Look for a hidden fault on a virtual vehicle, with nobody saying what to do next:
look, measure between any two points in any state, crank, charge, repair, and give
your finding. What would hurt somebody is stopped and explained. At the end it is
talked over: safety first, then what each reading showed, what would have told
more, the tree's way and the best one. Levels 1, 2 and 7 ask questions in place of
that. "help" lists what can be typed.

Every line is on disk before its answer shows. Leave with "pause", with Ctrl-C or
by the end of the input, and go on with --resume. deadflat report FILE writes a
drill up, with the crank drawn as a meter shows it.

Levels:
`

const drillExamples = `  deadflat drill --level 3
  deadflat drill --level 4 --family control --seed 12
  deadflat drill --resume my.drill
  deadflat drill --level 4 --seed 12 --sheet
  deadflat drill --level 1 --seed 12 --class 8 --sheet
  deadflat report my.drill --as html -o drill.html`

type drillFlags struct {
	level              int
	family             string
	seed               uint64
	file, resume, talk string
	sheet, plain       bool
	class              int
}

func newDrill(s streams) *cobra.Command {
	var f drillFlags
	levels := ""
	for i, l := range drill.Levels {
		levels += fmt.Sprintf("  %d  %s\n", i+1, l.Title)
	}
	c := &cobra.Command{
		Use:     "drill",
		Short:   "Practise on a virtual vehicle with a hidden fault",
		Long:    drillHelp + levels + "\n" + exitHelp,
		Example: drillExamples,
		Args:    words(0, 0, ""),
		RunE: func(c *cobra.Command, _ []string) error {
			for _, other := range []string{"resume", "debrief"} {
				if err := apart(c, other, "level", "family", "seed", "job", "sheet", "class"); err != nil {
					return err
				}
			}
			if err := apart(c, "resume", "debrief"); err != nil {
				return err
			}
			if c.Flags().Changed("class") && !f.sheet {
				return usage("--class is for --sheet: expected both")
			}
			if !c.Flags().Changed("seed") {
				f.seed = uint64(time.Now().UnixNano() % 1_000_000)
			}
			return f.run(s)
		},
	}
	c.Flags().IntVar(&f.level, "level", 1, "how hard: `LEVEL` 1 to 7")
	c.Flags().StringVar(&f.family, "family", "", "only faults of this `FAMILY`: "+strings.Join(drill.Families(), ", "))
	c.Flags().Uint64Var(&f.seed, "seed", 0, "the vehicle, so that a class has the same one: `N` (default: by the clock)")
	c.Flags().StringVar(&f.file, "job", "", "keep the drill in this new `FILE` (default: among your drills)")
	c.Flags().StringVar(&f.resume, "resume", "", "go on with a `DRILL`: a name, the beginning of one, last, or a file")
	c.Flags().StringVar(&f.talk, "debrief", "", "talk over a `DRILL`, named as for --resume, whether it is finished or not")
	c.Flags().BoolVar(&f.sheet, "sheet", false, "for the trainer: what is hidden in the vehicle of this level and seed, or the answers")
	c.Flags().IntVar(&f.class, "class", 1, "with --sheet: sheets of `N` seeds, this one and the next ones")
	c.Flags().BoolVar(&f.plain, "plain", false, "plain lines in place of a screen")
	completeFlag(c, "family", drill.Families())
	completeKept(c, "resume", drill.Kind)
	completeKept(c, "debrief", drill.Kind)
	return c
}

func (f *drillFlags) run(s streams) error {
	switch {
	case f.talk != "":
		path, err := find(drill.Kind, f.talk)
		if err != nil {
			return err
		}
		d, err := readDrill(s, path)
		if err != nil {
			return err
		}
		return terminal.Tell(s.out, strings.Split(d.Debrief(), "\n"), terminal.Options{Err: s.err})
	case f.resume != "":
		t, err := resumeDrill(s, f.resume)
		if err != nil {
			return err
		}
		return t.take(s, f.plain)
	case f.sheet:
		return f.sheets(s)
	}
	d, err := newDrillOf(s, f.level, f.family, f.seed)
	if err != nil {
		return usageError{err}
	}
	now := time.Now()
	file, err := createKept(drill.Kind, f.file, fmt.Sprintf("level-%d", f.level), now, d.Header(now))
	if err != nil {
		return err
	}
	return (&drillDialog{Drill: d, file: file, begun: now}).take(s, f.plain)
}

// sheets prints the sheet of one seed, or of as many as the class has members.
func (f *drillFlags) sheets(s streams) error {
	if f.class < 1 || f.class > mostOfClass {
		return usage("--class is %d: expected 1 to %d", f.class, mostOfClass)
	}
	between := ""
	for i := range uint64(f.class) {
		d, err := newDrillOf(s, f.level, f.family, f.seed+i)
		if err != nil {
			return usageError{err}
		}
		if err := terminal.Tell(s.out, strings.Split(between+d.Sheet(), "\n"), terminal.Options{Err: s.err}); err != nil {
			return err
		}
		between = "\n"
	}
	return nil
}

// mostOfClass bounds a class.
const mostOfClass = 100

// newDrillOf begins a drill on the shipped trees.
func newDrillOf(s streams, level int, family string, seed uint64) (*drill.Drill, error) {
	lib, tree, err := loadTree(firstTree, "", "", s.err)
	if err != nil {
		return nil, err
	}
	all := drill.Families()
	if family != "" && !slices.Contains(all, family) {
		return nil, fmt.Errorf("there is no family %q%s: it is one of %s", family, source.DidYouMean(family, all), strings.Join(all, ", "))
	}
	return drill.New(drill.Options{Level: level, Family: family, Seed: seed, Library: lib, Tree: tree, Meter: engine.FindMeter(usualMeter)})
}

// readDrill reads a drill's file and does its lines again.
func readDrill(s streams, path string) (*drill.Drill, error) {
	l, err := drill.Kind.Read(path)
	if err != nil {
		return nil, err
	}
	t, err := replayDrill(s, path, l)
	if err != nil {
		return nil, fmt.Errorf("%q: %w", path, err)
	}
	return t.Drill, nil
}

// resumeDrill takes a drill's file for writing and does its lines again.
func resumeDrill(s streams, typed string) (t *drillDialog, err error) {
	path, err := find(drill.Kind, typed)
	if err != nil {
		return nil, err
	}
	file, err := drill.Kind.Open(path, func(l *journal.Lines) error {
		t, err = replayDrill(s, path, l)
		return err
	})
	if err != nil {
		return nil, err
	}
	t.file = file
	return t, nil
}

// replayDrill does the lines of a file again.
func replayDrill(s streams, path string, l *journal.Lines) (*drillDialog, error) {
	h, typed, err := drill.Decode(l)
	if err != nil {
		return nil, err
	}
	sayWhole(s.err, drill.Kind, path, l.Torn, l.Summed)
	d, err := newDrillOf(s, h.Level, h.Family, h.Seed)
	if err == nil {
		err = d.Replay(drill.Lines(typed))
	}
	if err != nil {
		return nil, err
	}
	for _, what := range d.Changed(h) {
		fmt.Fprintf(s.err, "The %s has changed since this drill was begun: what comes of it is shown as it is now.\n", what)
	}
	return &drillDialog{Drill: d, begun: h.Begun, typed: typed}, nil
}
