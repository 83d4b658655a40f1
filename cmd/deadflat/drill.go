package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"deadflat/internal/drill"
	"deadflat/internal/engine"
	"deadflat/internal/source"
)

const drillHelp = `Look for a hidden fault on a virtual vehicle, with nobody saying what to do next:
look, measure between any two points in any state, crank, charge, repair, and give
your finding. What would hurt somebody is stopped and explained. At the end it is
talked over: safety first, then what each reading showed, and the tree's way.

Levels:
`

const drillExamples = `  deadflat drill --level 3
  deadflat drill --level 4 --family control --seed 12
  deadflat drill --resume my.drill
  deadflat drill --level 4 --seed 12 --sheet`

type drillFlags struct {
	level              int
	family             string
	seed               uint64
	file, resume, talk string
	sheet              bool
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
				if err := apart(c, other, "level", "family", "seed", "job", "sheet"); err != nil {
					return err
				}
			}
			if err := apart(c, "resume", "debrief"); err != nil {
				return err
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
	c.Flags().StringVar(&f.resume, "resume", "", "go on with the drill in this `FILE`")
	c.Flags().StringVar(&f.talk, "debrief", "", "talk over the drill in this `FILE`, whether it is finished or not")
	c.Flags().BoolVar(&f.sheet, "sheet", false, "for the trainer: what is hidden in the vehicle of this level and seed")
	completeFlag(c, "family", drill.Families())
	return c
}

func (f *drillFlags) run(s streams) error {
	switch {
	case f.talk != "":
		d, _, err := openDrill(s, f.talk)
		if err != nil {
			return err
		}
		return say(s.out, d.Debrief())
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
		return takeDrill(s, d, file)
	}
	d, err := newDrillOf(s, f.level, f.family, f.seed)
	if err != nil {
		return usageError{err}
	}
	if f.sheet {
		return say(s.out, d.Sheet())
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
	if err != nil {
		return err
	}
	if err := appendLine(file, d.Header()); err != nil {
		return errors.Join(err, file.Close())
	}
	return takeDrill(s, d, file)
}

// drillPath is where a drill is kept unless something else is said.
func drillPath(now time.Time) (string, error) {
	folder, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("no folder for the drill: %w", err)
	}
	return filepath.Join(folder, "deadflat", "drills", now.Format("2006-01-02-150405.000")+".drill"), nil
}

// newDrillOf begins a drill on the shipped trees.
func newDrillOf(s streams, level int, family string, seed uint64) (*drill.Drill, error) {
	lib, tree, err := loadTree(firstTree, "", "", s.err)
	if err != nil {
		return nil, err
	}
	all := drill.Families()
	if family != "" && !contains(all, family) {
		return nil, fmt.Errorf("there is no family %q%s: it is one of %s", family, source.DidYouMean(family, all), strings.Join(all, ", "))
	}
	return drill.New(drill.Options{Level: level, Family: family, Seed: seed, Library: lib, Tree: tree, Meter: engine.FindMeter(usualMeter)})
}

func contains(list []string, word string) bool {
	for _, x := range list {
		if x == word {
			return true
		}
	}
	return false
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

func say(w io.Writer, text string) error {
	_, err := io.WriteString(w, strings.TrimRight(text, "\n")+"\n")
	return err
}

// takeDrill reads lines until there is a finding, or the drill is left.
func takeDrill(s streams, d *drill.Drill, file *os.File) error {
	defer file.Close()
	if err := say(s.err, fmt.Sprintf("Level %d, seed %d: %s.\n%s\nType help for what can be done, find when you know it.", d.Level, d.Seed, drill.Levels[d.Level-1], strings.Join(d.Told, "\n"))); err != nil {
		return err
	}
	typed := term.IsTerminal(int(s.in.Fd()))
	in := bufio.NewScanner(s.in)
	for !d.Done {
		if _, err := fmt.Fprint(s.err, "What next: "); err != nil {
			return err
		}
		if !in.Scan() || strings.TrimSpace(in.Text()) == "pause" {
			if err := in.Err(); err != nil {
				return err
			}
			fmt.Fprintf(s.err, "\nThe drill is kept: deadflat drill --resume %s\n", file.Name())
			return errFaults
		}
		if !typed {
			fmt.Fprintln(s.err, harmless(in.Text()))
		}
		if err := takeLine(s, d, file, in.Text()); err != nil {
			return err
		}
	}
	if err := say(s.out, d.Debrief()); err != nil {
		return err
	}
	if !d.Right() || len(d.Dangers) > 0 {
		return errFaults
	}
	return nil
}

// takeLine does one line; what was taken is on disk before it shows.
func takeLine(s streams, d *drill.Drill, file *os.File, line string) error {
	shows, err := d.Do(line)
	if err != nil {
		return say(s.err, harmless(err.Error()))
	}
	if err := appendLine(file, drill.Line{Do: line}); err != nil {
		return fmt.Errorf("the line is not saved: %w", err)
	}
	return say(s.err, shows)
}

// harmless takes the control codes out of what was typed.
func harmless(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 {
			return '\uFFFD'
		}
		return r
	}, s)
}
