package drill

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"deadflat/internal/text"
	"deadflat/internal/vehicle"
)

// Section is one part of what is talked over at the end.
type Section struct {
	Title  string
	Lines  []Line
	Traces []*Trace
}

// Line is one thing said, and what is said under it.
type Line struct {
	Text  string
	Under []string
}

func (s *Section) say(format string, args ...any) {
	s.Lines = append(s.Lines, Line{Text: fmt.Sprintf(format, args...)})
}

// under puts a remark under the last line.
func (s *Section) under(format string, args ...any) {
	l := &s.Lines[len(s.Lines)-1]
	l.Under = append(l.Under, fmt.Sprintf(format, args...))
}

// caveat ends every debrief.
const caveat = "This is a virtual vehicle. What its readings mean holds for the model; on a real one the vehicle's instructions come first."

// Right reports whether the finding names every hidden fault, or every answer was
// right.
func (d *Drill) Right() bool {
	if asks(d.Level) {
		return d.Done && d.rights() == len(d.Questions)
	}
	return !slices.ContainsFunc(d.Hidden, func(f string) bool { return !d.names(f) })
}

// names reports whether the finding names a fault.
func (d *Drill) names(fault string) bool {
	return slices.Contains(d.Named, fault) || slices.Contains(d.Named, alias[fault])
}

// ruledOut reports whether every fault that the finding names was possible at the
// beginning, as far as any of them were, and had been cleared.
func (d *Drill) ruledOut() bool {
	named := slices.DeleteFunc(slices.Clone(d.all()), func(s *suspect) bool { return !d.names(s.fault) })
	return len(named) > 0 && !slices.ContainsFunc(named, func(s *suspect) bool { return !s.cleared })
}

// alias are faults that are another word for a flat battery.
var alias = map[string]string{"surface_charge": "battery_discharged", "battery_discharged": "surface_charge"}

// Passed reports whether it was right and nobody could have been hurt.
func (d *Drill) Passed() bool { return d.Right() && len(d.Dangers) == 0 }

// Sections are what is talked over at the end: safety first.
func (d *Drill) Sections() []Section {
	if asks(d.Level) {
		return d.questionSections()
	}
	r := d.newReckoning()
	all := d.regrets(r)
	out := []Section{d.safety(), d.verdict(), d.course(), d.told(all), d.beside(), d.time(r, all)}
	if s := d.studied(); len(s.Traces) > 0 {
		out = append(out, s)
	}
	out[len(out)-1].say(caveat)
	return out
}

// Debrief is the same as text, one paragraph a line.
func (d *Drill) Debrief() string { return written(d.Sections()) }

func written(sections []Section) string {
	var b strings.Builder
	for i, s := range sections {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(s.Title + "\n")
		for _, l := range s.Lines {
			b.WriteString("  " + l.Text + "\n")
			for _, u := range l.Under {
				b.WriteString("     " + u + "\n")
			}
		}
	}
	return b.String()
}

func (d *Drill) safety() Section {
	s := Section{Title: "Safety"}
	if len(d.Dangers)+len(d.Omitted) == 0 {
		s.say("Nothing was done that could have hurt somebody.")
	}
	times := map[string]int{}
	for _, x := range d.Dangers {
		times[x]++
	}
	for _, x := range d.Dangers {
		switch {
		case times[x] > 1:
			s.say("Stopped %d times. %s.", times[x], text.Capital(x))
		case times[x] == 1:
			s.say("Stopped. %s.", text.Capital(x))
		}
		delete(times, x)
	}
	for _, x := range d.Omitted {
		s.say("Not safe: %s.", x)
	}
	return s
}

func (d *Drill) verdict() Section {
	s := Section{Title: "The finding"}
	s.say("Hidden in the vehicle: %s.", d.titles(d.Hidden))
	switch {
	case len(d.Named) == 0:
		s.say("No finding was given.")
	case d.Right() && d.Level == clocked:
		s.say("You found both. Whether they are proved is not reckoned where there are two.")
	case d.Right() && d.proved():
		s.say("You found it, and proved it: no other finding fits what you read.")
	case d.Right():
		s.say("You found it, but it is not proved: what you read fits other faults as well.")
		var others []string
		for _, x := range d.others() {
			others = append(others, x.fault)
		}
		s.under("%s", d.titles(others))
	case slices.ContainsFunc(d.Hidden, d.names):
		s.say("Your finding names %s, and that is not all of it.", d.titles(d.Named))
	default:
		s.say("Your finding names %s, and that is not what is wrong.", d.titles(d.Named))
		if d.ruledOut() {
			s.under("what you read had ruled it out")
		}
	}
	for _, r := range d.Repaired {
		if !slices.ContainsFunc(d.Hidden, func(f string) bool { return vehicle.Mends(f) == r }) {
			s.say("Done without need: %s.", text.Spoken(r))
		}
	}
	if d.Late() {
		s.say("The clock of this level allows %d minutes of work, and it took %.0f.", clockMinutes, d.Worked)
	}
	if d.trap != nil {
		s.say("The trap: %s. %s", d.trap.name, d.trap.why)
		if d.trap.through != nil && !d.sawThrough() {
			s.under("nothing that you did sees through it")
		}
	}
	return s
}

// others are the faults that nothing has cleared and that are named by other findings
// otherwise than those that are hidden.
func (d *Drill) others() []*suspect {
	return slices.DeleteFunc(d.possible(), func(s *suspect) bool {
		return slices.ContainsFunc(d.Hidden, func(f string) bool { return d.findingOf(f) == s.finding })
	})
}

// proved reports whether the others are too few and too rare to count.
func (d *Drill) proved() bool { return weight(d.others()) <= (1-settled)*weight(d.possible()) }

func weight(suspects []*suspect) float64 {
	sum := 0.0
	for _, s := range suspects {
		sum += s.weight
	}
	return sum
}

// titles gives the faults by their titles.
func (d *Drill) titles(ids []string) string {
	var out []string
	known := d.findings()
	for _, id := range ids {
		out = append(out, text.Lower(known[id].title))
	}
	return strings.Join(out, "; ")
}

// course goes through what was done.
func (d *Drill) course() Section {
	s := Section{Title: "Your way"}
	for i, a := range d.Acts {
		s.say("%d. %s", i+1, a.line)
		if !a.tells() {
			s.under("%s", a.Showed)
			continue
		}
		s.under("showed: %s", a.Showed)
		switch {
		case a.idle() && a.safetyLook():
			s.under("a look for safety, whatever it tells")
		case a.idle():
			s.under("told nothing new: as many faults were possible after it as before, %d", a.After)
		default:
			s.under("faults still possible: %d of %d", a.After, a.Before)
		}
		if a.cannot != "" {
			s.under("could not show: %s", a.cannot)
		}
	}
	if len(d.Acts) == 0 {
		s.say("Nothing was done.")
	}
	return s
}

// mostTold is how many tests are named that something better stood beside.
const mostTold = 4

// told names what would have told more.
func (d *Drill) told(all []regret) Section {
	s := Section{Title: "What would have told more"}
	worst := slices.Clone(all)
	slices.SortStableFunc(worst, func(a, b regret) int { return cmp.Compare(b.minutes, a.minutes) })
	for _, x := range worst {
		if x.minutes < worthSaying || x.better == "" || len(s.Lines) == mostTold {
			continue
		}
		s.say("%d. %s: reckoned %s longer than the best.", x.act+1, d.Acts[x.act].line, counted(x.minutes, "minute"))
		s.under("better: %s (%s), which parts %s", x.better, counted(x.betterMinutes, "minute"), x.parts)
	}
	if len(s.Lines) == 0 {
		s.say("Nothing by much, as far as it can be reckoned.")
	}
	if d.Level == clocked {
		s.say("With two faults at once it is reckoned until one of them is known.")
	}
	return s
}

// counted is a number, to the nearest whole one, with its word.
func counted(n float64, word string) string { return text.Count(int(math.Round(n)), word) }

// took is a time in minutes, and how much of it nobody worked.
func took(minutes, waits float64) string {
	if waits < 1 {
		return counted(minutes, "minute")
	}
	return fmt.Sprintf("%s (%.0f of them on the charger or waiting)", counted(minutes, "minute"), waits)
}

// worthSaying is the least loss that is named, minutes. Modelling choice.
const worthSaying = 1

// beside sets the tree's way next to theirs.
func (d *Drill) beside() Section {
	s := Section{Title: "The tree's way on the same vehicle"}
	for i, x := range d.way.steps {
		s.say("%d. %s", i+1, title(x.Step))
		if lines := linesOf(x); len(lines) > 0 {
			s.under("here: %s", strings.Join(lines, "; "))
		}
		if x.Explanation != nil && x.Explanation.Claim != "" {
			s.under("%s", x.Explanation.Claim)
		}
	}
	if f := d.way.finding; f != nil {
		s.say("Its first finding: %s", f.Title)
	}
	return s
}

// time sets the minutes of the ways side by side, and scores.
func (d *Drill) time(r *reckoning, all []regret) Section {
	s := Section{Title: "Time"}
	idle, tests := 0, 0
	for _, a := range d.Acts {
		if a.tells() {
			tests++
		}
		if a.idle() && !a.safetyLook() {
			idle++
		}
	}
	learnt := fmt.Sprintf("%d of them told nothing new", idle)
	if idle == 0 {
		learnt = "each of which told something new"
	}
	many := fmt.Sprintf("%d tests, %s", tests, learnt)
	if tests < 2 {
		many = [...]string{"no test", "one test"}[tests]
	}
	s.say("You: %s, %s.", took(d.Minutes, d.Minutes-d.Worked), many)
	s.say("The tree: %s, %s with a question.", took(d.way.minutes, d.way.waits), counted(float64(len(d.way.steps)), "step"))
	d.bestWay(&s, r)
	s.say("%s", d.scored(all))
	return s
}

// studied are the cranks that were recorded, or one on the vehicle as it came in.
func (d *Drill) studied() Section {
	s := Section{Title: "The crank, as the meter shows it"}
	for _, a := range d.Acts {
		if a.Trace != nil {
			s.Traces = append(s.Traces, a.Trace)
		}
	}
	if len(s.Traces) == 0 {
		if t := d.posted(); t != nil {
			s.Traces = append(s.Traces, t)
			s.say("Nothing was recorded; this is a crank at the battery's posts as the vehicle came in.")
		}
	}
	for _, t := range s.Traces {
		s.Lines = append(s.Lines, Line{t.Words()[0], t.Words()[1:]})
	}
	return s
}

// Traces are the cranks that a report draws.
func (d *Drill) Traces() []*Trace {
	if asks(d.Level) {
		return nil
	}
	return d.studied().Traces
}

// posted is the crank at the posts as the vehicle came in; nil where it must not be
// cranked.
func (d *Drill) posted() *Trace {
	b := d.asItCameIn()
	if b.v.Unsafe() != "" || d.start.said == tooEasily {
		return nil
	}
	t, _ := record(b, positivePost, negativePost) // every vehicle has these points
	return t
}

func (d *Drill) rights() int {
	return len(slices.DeleteFunc(slices.Clone(d.Questions), func(q *Question) bool { return !q.Right }))
}

// questionSections talk the answers over.
func (d *Drill) questionSections() []Section {
	sum := Section{Title: "The answers"}
	sum.say("%d of %d were right; %d were answered.", d.rights(), len(d.Questions), d.at)
	out := []Section{sum}
	for i, q := range d.Questions[:d.at] {
		s := Section{Title: fmt.Sprintf("Question %d", i+1)}
		for _, t := range q.Text {
			s.say("%s", strings.TrimSpace(t))
		}
		for k, c := range q.Choices {
			s.under("%d %s", k+1, c)
		}
		s.say("You: %s. %s", q.Typed, verdict(q.Right))
		s.say("%s", q.Comment)
		out = append(out, s)
	}
	out[len(out)-1].say(caveat)
	return out
}
