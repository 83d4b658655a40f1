package terminal

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// heading names the step and says how far it is to the end.
func heading(p *engine.Prompt) (name, where string) {
	where = fmt.Sprintf("round %d", p.Round)
	if p.Result != nil {
		return "Finding: " + p.Result.Finding.Title, where
	}
	name = p.Step.Title
	if p.Gate != nil {
		name = "Safety check before: " + name
	}
	switch {
	case p.Most == 0:
	case p.Fewest == p.Most:
		where += fmt.Sprintf(", %s to go", text.Count(p.Most, "step"))
	default:
		where += fmt.Sprintf(", %d to %d steps to go", p.Fewest, p.Most)
	}
	return name, where
}

// few is how many findings are named without being asked for.
const few = 2

// likely orders what can still be found, the likelier first. What only stops the
// walk is no guess at what is wrong and left out.
func likely(possible []*engine.Finding) []*engine.Finding {
	out := slices.DeleteFunc(slices.Clone(possible), func(f *engine.Finding) bool { return f.Stop })
	names := func(f *engine.Finding) int { return min(len(f.Faults), 1) } // a fault, rather than "not judged"
	slices.SortStableFunc(out, func(a, b *engine.Finding) int {
		return cmp.Or(cmp.Compare(names(b), names(a)), cmp.Compare(b.Weight, a.Weight))
	})
	return out
}

// possible counts what can still be found and names the likeliest, n of them at
// most.
func possible(p *engine.Prompt, n int) string {
	all := likely(p.Possible)
	named := titles(all[:min(n, len(all))])
	if len(named) == 0 {
		return fmt.Sprintf("Still possible: %d (list)", len(p.Possible))
	}
	if rest := len(p.Possible) - len(named); rest > 0 {
		named = append(named, fmt.Sprintf("+%d (list)", rest))
	}
	return fmt.Sprintf("Still possible %d: %s", len(p.Possible), strings.Join(named, "; "))
}

// stillChanged leads the list of temporary changes that have not been put back.
const stillChanged = "Still changed on the vehicle"

// toPutBack says of temporary changes how each is put back.
func toPutBack(lead string, words []string, back map[string]string) []Part {
	var parts []Part
	for _, w := range words {
		how := back[w]
		if how == "" {
			how = "as it was before"
		}
		parts = append(parts, Part{Kind: Caution, Label: lead + " (" + text.Spoken(w) + ")", Text: text.Sentence(how)})
	}
	return parts
}

// putBackHere says how to put back what this step puts back.
func putBackHere(p *engine.Prompt) []Part {
	if p.Step == nil || p.Gate != nil || p.Stuck != "" {
		return nil
	}
	here := slices.DeleteFunc(slices.Clone(p.PutBack), func(w string) bool { return !slices.Contains(p.Step.Restores, w) })
	return toPutBack("Put back now", here, p.Back)
}

// kept is what must not be forgotten: changes to put back, crank attempts.
func kept(p *engine.Prompt) []Part {
	var parts []Part
	if len(p.PutBack) > 0 {
		parts = append(parts, Part{Kind: State, Label: stillChanged, Text: spokenAll(p.PutBack)})
	}
	if p.Cranks > 0 {
		parts = append(parts, Part{Kind: State, Label: "Crank attempts so far", Text: fmt.Sprint(p.Cranks)})
	}
	return parts
}

func cautions(list []string) []Part {
	var parts []Part
	for _, c := range list {
		parts = append(parts, say(Caution, "Caution", text.Sentence(c))...)
	}
	return parts
}

// longWait is how long somebody may be expected to stand beside a countdown.
// Source: common practice, no source.
const longWait = 15 * time.Minute

// instruction is what to do at the step, before any of its readings.
func (s *session) instruction(p *engine.Prompt) []Part {
	if s.o.Brief {
		return inShort(p, !s.o.Plain)
	}
	return instructed(p, text.Sentence(p.Do), !s.o.Plain)
}

// inShort is the instruction for somebody who knows the tests: whole where the
// step asks only to be done, in a line or two where doing it wrong hurts or
// where it names a figure worked out for this vehicle, else left out.
func inShort(p *engine.Prompt, timed bool) []Part {
	switch {
	case p.Ack || p.Gate != nil || p.Stuck != "":
		return instructed(p, text.Sentence(p.Do), timed)
	case doneRight(p.Step.Kind) || strings.Contains(p.Step.Do.Raw(), "{"):
		return instructed(p, twoLines(p.Do, p.Step.Do.Raw()), timed)
	}
	return nil
}

// doneRight reports whether a step of this kind loads, charges or changes the
// vehicle: then how it is done is said to everybody.
func doneRight(k engine.Kind) bool {
	return slices.Contains([]engine.Kind{engine.LoadTest, engine.Jump, engine.Charge, engine.Repair, engine.Wait}, k)
}

// twoLines keeps the sentences of an instruction that hold a worked-out figure,
// and as many of the others, first ones first, as two lines have room for.
func twoLines(do, raw string) string {
	room := 2 * widest
	told, written := sentences(do), sentences(raw)
	if len(do) <= room || len(told) != len(written) {
		return text.Sentence(do)
	}
	figure := func(i int) bool { return strings.Contains(written[i], "{") }
	for i, s := range told {
		if figure(i) {
			room -= len(s) + 1
		}
	}
	var out []string
	fits := true
	for i, s := range told {
		if fits = fits && (figure(i) || len(s) <= room); fits || figure(i) {
			out = append(out, s)
		}
		if fits && !figure(i) {
			room -= len(s) + 1
		}
	}
	return strings.Join(out, " ") + " Type how for the rest."
}

// sentences splits running text after each full stop.
func sentences(s string) []string {
	return each(strings.SplitAfter(text.Sentence(s), ". "), strings.TrimSpace)
}

func instructed(p *engine.Prompt, do string, timed bool) []Part {
	switch {
	case p.Stuck != "":
		return say(Trouble, "", text.Sentence(p.Stuck))
	case p.Gate != nil:
		return say(Plain, "", text.Sentence(p.Gate.Why))
	}
	parts := say(Plain, "", do)
	if pic := p.Step.Picture; pic != nil {
		parts = append(parts, say(Plain, "Picture", text.Sentence(pic.Text))...)
	}
	if d, ok := stepTime(p.Step); ok {
		s := spell(d)
		switch {
		case d > longWait:
			s += "; type pause, and come back to it later"
		case timed:
			s += "; type timer to count it down"
		}
		parts = append(parts, say(Plain, "Time", text.Sentence(s))...)
	}
	return parts
}

// placing is where the meter goes for a field and how the vehicle must stand.
func placing(f engine.Field) []Part {
	r := f.Reading
	label := "Meter"
	if r.Red == "" && r.Clamp == "" {
		label = "Use"
	}
	parts := say(Plain, label, probes(r))
	parts = append(parts, say(Plain, "Vehicle", text.Sentence(vehicle(r.Vehicle)))...)
	return append(parts, say(Plain, "Take", text.Sentence(held(r.Hold)))...)
}

// expected is what a good one reads here, and what it read before.
func expected(f engine.Field) []Part {
	parts := say(Plain, "A good one reads", text.Sentence(f.Good))
	if f.Before != nil {
		parts = append(parts, Part{Label: "Before", Text: text.Sentence(f.Before.Text)})
	}
	return parts
}

// passing says how a reading may be passed over.
func passing(p *engine.Prompt, f engine.Field) []Part {
	s := ""
	switch {
	case decidesNothing(p, f.Reading):
		s = "For the report only; Enter leaves it out"
	case f.Optional:
		s = "Optional; skip or + leaves it out"
	}
	if s != "" && p.CanSkip && len(p.Fields) > 1 {
		s += ", done leaves out the rest as well"
	}
	return say(Plain, "", text.Sentence(s))
}

// then names the other open readings of the step, for whoever types several on
// one line.
func then(p *engine.Prompt, but *engine.Reading) []Part {
	others := slices.DeleteFunc(slices.Clone(p.Fields), func(f engine.Field) bool { return f.Reading == but })
	return say(Plain, "Then", strings.Join(each(others, func(f engine.Field) string { return f.Reading.Short }), ", "))
}
