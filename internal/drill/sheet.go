package drill

import (
	"fmt"
	"strings"
)

// Sheet is what a trainer needs to give a class the same vehicle, or the same
// questions.
func (d *Drill) Sheet() string {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("Class sheet, for the trainer only")
	line("  Level %d: %s Seed %d.", d.Level, dotted(Levels[d.Level-1]), d.Seed)
	for i, q := range d.Questions {
		line("\nQuestion %d", i+1)
		for _, t := range q.Text {
			line("  %s", t)
		}
		for k, c := range q.Choices {
			line("  %d %s", k+1, c)
		}
		line("  The answer: %s", dotted(q.answer))
	}
	if asks(d.Level) {
		return b.String()
	}
	for _, s := range d.Told {
		line("  %s", s)
	}
	line("  Hidden in the vehicle: %s.", d.titles(d.Hidden))
	if d.trap != nil {
		line("  The trap: %s. %s", d.trap.name, d.trap.why)
	}
	if d.bench.v.Moves() {
		line("  It stands in gear: a crank before looking is stopped.")
	}
	if why := d.bench.v.Unsafe(); why != "" {
		line("  Dangerous: %s.", why)
	}
	s := d.beside()
	line("\n%s", s.Title)
	for _, l := range s.Lines {
		line("  %s", l.Text)
	}
	line("  It takes %s.", took(d.way.minutes, d.way.waits))
	return b.String()
}
