package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"deadflat/internal/drill"
	"deadflat/internal/engine"
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
		levels += fmt.Sprintf("  %d  %s\n", i+1, l)
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
	c.Flags().StringVar(&f.resume, "resume", "", "go on with the drill in this `FILE`, or with the last one")
	c.Flags().StringVar(&f.talk, "debrief", "", "talk over the drill in this `FILE`, or the last one, whether it is finished or not")
	c.Flags().BoolVar(&f.sheet, "sheet", false, "for the trainer: what is hidden in the vehicle of this level and seed, or the answers")
	c.Flags().IntVar(&f.class, "class", 1, "with --sheet: sheets of `N` seeds, this one and the next ones")
	c.Flags().BoolVar(&f.plain, "plain", false, "plain lines in place of a screen")
	completeFlag(c, "family", drill.Families())
	return c
}

func (f *drillFlags) run(s streams) error {
	for _, named := range []*string{&f.talk, &f.resume} {
		path, err := drillNamed(*named)
		if err != nil {
			return err
		}
		*named = path
	}
	switch {
	case f.talk != "":
		d, _, err := openDrill(s, f.talk)
		if err != nil {
			return err
		}
		return terminal.Tell(s.out, strings.Split(d.Debrief(), "\n"), terminal.Options{Err: s.err})
	case f.resume != "":
		d, whole, err := openDrill(s, f.resume)
		if err != nil {
			return err
		}
		file, err := os.OpenFile(f.resume, os.O_RDWR, 0)
		if err != nil {
			return err
		}
		if err := cutTo(file, whole); err != nil {
			return errors.Join(err, file.Close())
		}
		return takeDrill(s, d, file, f.plain)
	}
	if f.sheet {
		return f.sheets(s)
	}
	d, err := newDrillOf(s, f.level, f.family, f.seed)
	if err != nil {
		return usageError{err}
	}
	path := f.file
	if path == "" {
		if path, err = drillPath(time.Now()); err != nil {
			return err
		}
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%q is there already: go on with it by --resume, or name a new file", path)
	}
	if err != nil {
		return err
	}
	if err := appendLine(file, d.Header()); err != nil {
		return errors.Join(err, file.Close())
	}
	return takeDrill(s, d, file, f.plain)
}

// sheets prints the sheet of one seed, or of as many as the class has members.
func (f *drillFlags) sheets(s streams) error {
	if f.class < 1 || f.class > mostOfClass {
		return usage("--class is %d: expected 1 to %d", f.class, mostOfClass)
	}
	for i := range uint64(f.class) {
		d, err := newDrillOf(s, f.level, f.family, f.seed+i)
		if err != nil {
			return usageError{err}
		}
		text := strings.Split(d.Sheet(), "\n")
		if i > 0 {
			text = append([]string{""}, text...)
		}
		if err := terminal.Tell(s.out, text, terminal.Options{Err: s.err}); err != nil {
			return err
		}
	}
	return nil
}

// mostOfClass bounds a class.
const mostOfClass = 100

// drillFolder is where drills are kept unless something else is said, drillEnding what
// their names end in.
func drillFolder() (string, error) {
	folder, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("no folder for the drill: %w", err)
	}
	return filepath.Join(folder, "deadflat", "drills"), nil
}

const drillEnding = ".drill"

// drillPath is a new name in that folder. Names sort by their time.
func drillPath(now time.Time) (string, error) {
	folder, err := drillFolder()
	return filepath.Join(folder, now.Format("2006-01-02-150405.000")+drillEnding), err
}

// lastDrill is the word for the drill that was begun last.
const lastDrill = "last"

// drillNamed is the file of a drill that was named.
func drillNamed(typed string) (string, error) {
	if typed != lastDrill {
		return typed, nil
	}
	folder, err := drillFolder()
	if err != nil {
		return "", err
	}
	all, err := filepath.Glob(filepath.Join(folder, "*"+drillEnding))
	if err != nil || len(all) == 0 {
		return "", fmt.Errorf("there is no last drill: none is kept in %q", folder)
	}
	return all[len(all)-1], nil // in the order of their names
}

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

// openDrill reads a drill's file and does its lines again; whole is how much of the
// file is not torn.
func openDrill(s streams, path string) (*drill.Drill, int, error) {
	data, err := readBoundedFile(path)
	if err != nil {
		return nil, 0, err
	}
	h, lines, whole, err := drill.Parse(data)
	if err != nil {
		return nil, 0, fmt.Errorf("%q: %w", path, err)
	}
	if whole < len(data) {
		fmt.Fprintf(s.err, "the last line of %q was cut off and is left out\n", path)
	}
	d, err := newDrillOf(s, h.Level, h.Family, h.Seed)
	if err == nil {
		err = d.Replay(lines)
	}
	if err != nil {
		return nil, 0, fmt.Errorf("%q: %w", path, err)
	}
	if d.Header().Hash != h.Hash {
		fmt.Fprintln(s.err, "The tree has changed since this drill was begun: its way is shown as it is now.")
	}
	return d, whole, nil
}

// cutTo cuts a torn last line off and goes to the end.
func cutTo(file *os.File, whole int) error {
	if err := file.Truncate(int64(whole)); err != nil {
		return err
	}
	_, err := file.Seek(0, io.SeekEnd)
	return err
}

// appendLine puts one line on disk.
func appendLine(file *os.File, v any) error {
	line, err := json.Marshal(v)
	if err != nil {
		return err
	}
	if _, err := file.Write(append(line, '\n')); err != nil {
		return err
	}
	return file.Sync()
}

// takeDrill carries the drill on until it is over, or left, and talks it over.
func takeDrill(s streams, d *drill.Drill, file *os.File, plain bool) error {
	defer file.Close()
	// A signal leaves the drill; whatever was typed is on disk by then.
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	o := terminal.Options{In: s.in, Out: s.out, Err: s.err, Plain: plain || terminal.WantsPlain(s.in, s.err, os.Getenv)}
	end, err := file.Seek(0, io.SeekEnd)
	if err != nil {
		return err
	}
	err = terminal.Converse(ctx, &drillDialog{Drill: d, file: file, end: end}, o)
	if err == nil && !d.Done {
		fmt.Fprintf(s.err, "The drill is kept: deadflat drill --resume %s\n", shownJob(file.Name()))
		return errFaults
	}
	if err == nil {
		err = terminal.Tell(s.out, strings.Split(d.Debrief(), "\n"), o)
	}
	if err == nil && !d.Passed() {
		err = errFaults
	}
	return err
}
