package drill

import (
	"fmt"

	"deadflat/internal/text"
)

// Sheet is what a trainer needs to give a class the same vehicle, or the same
// questions.
func (d *Drill) Sheet() string {
	s := Section{Title: "Class sheet, for the trainer only"}
	s.say("Level %d: %s Seed %d.", d.Level, text.Stop(Levels[d.Level-1].Title), d.Seed)
	out := []Section{s}
	for i, q := range d.Questions {
		s := Section{Title: fmt.Sprintf("Question %d", i+1)}
		for _, t := range q.Text {
			s.say("%s", t)
		}
		for k, c := range q.Choices {
			s.say("%d %s", k+1, c)
		}
		s.say("The answer: %s", text.Stop(q.answer))
		out = append(out, s)
	}
	if asks(d.Level) {
		return written(out)
	}
	for _, t := range d.Told {
		s.say("%s", t)
	}
	s.say("Hidden in the vehicle: %s.", d.titles(d.Hidden))
	if d.trap != nil {
		s.say("The trap: %s. %s", d.trap.name, d.trap.why)
	}
	if d.bay.v.Moves() {
		s.say("It stands in gear: a crank before looking is stopped.")
	}
	if why := d.bay.v.Unsafe(); why != "" {
		s.say("Dangerous: %s.", why)
	}
	way := d.beside()
	for i := range way.Lines {
		way.Lines[i].Under = nil
	}
	way.say("It takes %s.", took(d.way.minutes, d.way.waits))
	return written([]Section{s, way})
}
