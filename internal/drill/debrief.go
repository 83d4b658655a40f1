package drill

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"deadflat/internal/vehicle"
)

// begun is when every drill begins: no clock comes into it.
var begun = time.Time{}

// Right reports whether the finding names every hidden fault.
func (d *Drill) Right() bool {
	for _, f := range d.Hidden {
		if f == "surface_charge" {
			f = "battery_discharged"
		}
		if !slices.Contains(d.Named, f) && !slices.Contains(d.Named, d.asHidden(f)) {
			return false
		}
	}
	return true
}

// asHidden is the other word for a battery that is flat and hides it.
func (d *Drill) asHidden(f string) string {
	if f == "battery_discharged" {
		return "surface_charge"
	}
	return f
}

// Debrief is what is talked over at the end: safety first.
func (d *Drill) Debrief() string {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	d.safety(line)
	d.verdict(line)
	d.course(line)
	d.beside(line)
	d.time(line)
	line("\nThis is a virtual vehicle. What its readings mean holds for the model; on a real one the vehicle's instructions come first.")
	return b.String()
}

func (d *Drill) safety(line func(string, ...any)) {
	line("Safety")
	if len(d.Dangers)+len(d.Omitted) == 0 {
		line("  Nothing was done that could have hurt somebody.")
	}
	for _, x := range d.Dangers {
		line("  Stopped: %s.", x)
	}
	for _, x := range d.Omitted {
		line("  Left out: %s.", x)
	}
}

func (d *Drill) verdict(line func(string, ...any)) {
	line("\nThe finding")
	line("  Hidden in the vehicle: %s.", d.titles(d.Hidden))
	switch {
	case len(d.Named) == 0:
		line("  No finding was given.")
	case d.Right():
		line("  You found it.")
	default:
		line("  Your finding names %s, and that is not all of it.", d.titles(d.Named))
	}
	for _, r := range d.Repaired {
		if !slices.ContainsFunc(d.Hidden, func(f string) bool { return vehicle.Mends(f) == r }) {
			line("  Renewed without need: %s.", r)
		}
	}
	if d.Late() {
		line("  The clock of this level allows %d minutes, and it took longer.", clockMinutes)
	}
}

// titles gives the faults by their titles.
func (d *Drill) titles(ids []string) string {
	var out []string
	for _, id := range ids {
		title := id
		for _, k := range d.Library.FaultKinds() {
			if k.ID == id {
				title = strings.ToLower(k.Title[:1]) + k.Title[1:]
			}
		}
		out = append(out, title)
	}
	return strings.Join(out, "; ")
}

// course goes through what was done.
func (d *Drill) course(line func(string, ...any)) {
	line("\nYour way")
	for i, a := range d.Acts {
		line("  %d. %s", i+1, a.Line)
		line("     showed: %s", a.Showed)
		switch {
		case a.Test && a.After == a.Before:
			line("     told nothing new: as many faults were possible after it as before, %d", a.After)
		case a.Test:
			line("     faults still possible: %d of %d", a.After, a.Before)
		}
		if a.Cannot != "" {
			line("     could not show: %s", a.Cannot)
		}
	}
}

// beside sets the tree's way next to theirs.
func (d *Drill) beside(line func(string, ...any)) {
	line("\nThe tree's way on the same vehicle")
	for i, s := range d.way.steps {
		line("  %d. %s", i+1, s)
	}
	if f := d.way.finding; f != nil {
		line("  Its first finding: %s", f.Title)
	}
}

// time sets the minutes of both ways side by side.
func (d *Drill) time(line func(string, ...any)) {
	idle := 0
	for _, a := range d.Acts {
		if a.Test && a.After == a.Before {
			idle++
		}
	}
	line("\nTime")
	line("  You: %.0f minutes, %d tests, %d of them told nothing new.", d.Minutes, d.tests(), idle)
	line("  The tree: %.0f minutes, %d steps with a question.", d.way.minutes, len(d.way.steps))
}

func (d *Drill) tests() int {
	n := 0
	for _, a := range d.Acts {
		if a.Test {
			n++
		}
	}
	return n
}

// Sheet is what a trainer needs to give a class the same vehicle.
func (d *Drill) Sheet() string {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("Class sheet, for the trainer only")
	line("  Level %d: %s. Seed %d.", d.Level, Levels[d.Level-1], d.Seed)
	for _, s := range d.Told {
		line("  %s", s)
	}
	line("  Hidden in the vehicle: %s.", d.titles(d.Hidden))
	if d.at.v.Moves() {
		line("  It stands in gear: a crank before looking is stopped.")
	}
	if why := d.at.v.Unsafe(); why != "" {
		line("  Dangerous: %s.", why)
	}
	d.beside(line)
	line("  It takes %.0f minutes.", d.way.minutes)
	return b.String()
}
