package drill

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/mechanic"
	"deadflat/internal/vehicle"
)

// way is what the tree would do on the same vehicle, to its first finding.
type way struct {
	steps   []engine.Visit // those that ask for something
	finding *engine.Finding
	minutes float64
	waits   float64 // of them on the charger, or of waiting
}

// theWay walks the tree on the same vehicle. A walk that cannot end has no finding.
func (d *Drill) theWay() (*way, error) {
	w := engine.NewWalk(d.Tree, d.Meter, engine.Kit{})
	m := d.asItCameIn().m // out of gear: the tree asks before it cranks
	out := &way{}
	r, err := m.Walk(w, mostPrompts)
	var stuck *mechanic.Stuck
	var unsafe *mechanic.Unsafe
	switch {
	case err == nil:
		out.finding = r.Finding
	case !errors.As(err, &stuck) && !errors.As(err, &unsafe):
		return nil, err
	}
	for _, visit := range w.Record().Rounds[0].Steps {
		if line := actOf(visit.Step); strings.HasPrefix(line, "charge") || strings.HasPrefix(line, "wait") {
			out.waits += visit.Step.Minutes
		}
		if len(visit.Takes) > 0 {
			out.steps = append(out.steps, visit)
		}
	}
	out.minutes = m.Minutes
	return out, nil
}

// mostPrompts is the greatest number of prompts of a walk.
const mostPrompts = 300

// linesOf is what would be typed in a drill for the readings of a step.
func linesOf(visit engine.Visit) []string {
	lines := []string{actOf(visit.Step)}
	for _, t := range visit.Takes {
		if line := lineOf(visit.Step, t.Reading); !slices.Contains(lines, line) {
			lines = append(lines, line)
		}
	}
	return slices.DeleteFunc(lines, func(line string) bool { return line == "" })
}

// actOf is what is typed in a drill to do what a step does before anything is read;
// empty where it does nothing that a drill has words for.
func actOf(st *engine.Step) string {
	seconds, err := vehicle.Seconds(st.For)
	if err != nil {
		seconds = map[string]float64{"charge": 8 * 3600, "keep_charging": 8 * 3600, "lamps_on": 60}[st.Act]
	}
	switch st.Act {
	case "charge", "keep_charging":
		return fmt.Sprintf("charge %g", seconds/3600)
	case "lamps_on":
		return fmt.Sprintf("lamps %g", seconds)
	case "all_off", "wait":
		if seconds > 0 {
			return fmt.Sprintf("wait %g", seconds/60)
		}
	}
	return ""
}

// lineOf is what is typed in a drill to take a tree's reading; empty where a drill
// has no words for it.
func lineOf(st *engine.Step, r *engine.Reading) string {
	state := ""
	for _, s := range states {
		if w := s.on(r.Vehicle); w != "" {
			state += " " + w
		}
	}
	switch {
	case r.ID == "engine_turned":
		return "crank"
	case slices.Contains(asked, r.ID):
		return "ask"
	case st.Act == "half_rating_load" && r.Red != "":
		return "load"
	case st.Act == "boost":
		return "boost"
	case st.Act == "lamp_through_engine" && r.Red != "":
		return "lamp " + r.Red + " " + r.Black
	case r.Meter == "amps_dc", r.Hold == "ripple":
		return ""
	case r.Red != "":
		hold := ""
		if r.Hold == "first" {
			hold = " first"
		}
		return "measure " + r.Red + " " + r.Black + state + hold
	case r.Clamp != "":
		return "clamp " + r.Clamp + state
	case r.Sees != "":
		return "look " + r.Sees
	}
	return ""
}

// next is the first step of the tree's way of which something has not been done;
// nil when it has come to its finding.
func (d *Drill) next() *engine.Visit {
	from := 0 // acts before a charge do not count after it
	at := func(line string) int {
		return slices.IndexFunc(d.Acts[from:], func(a Act) bool { return d.canonical(a.line) == d.canonical(line) })
	}
	for i := range d.way.steps {
		s := &d.way.steps[i]
		for _, l := range linesOf(*s) {
			k := at(l)
			if k < 0 {
				return s
			}
			if strings.HasPrefix(l, "charge") {
				from += k
			}
		}
	}
	return nil
}

// canonical is a line in the words of the trees, whatever was typed for it.
func (d *Drill) canonical(line string) string {
	words := wordsOf(line)
	v, err := d.verb(words[0])
	if err != nil || v == nil {
		return line
	}
	args := words[1:]
	switch v.word {
	case "measure", "lamp", "clamp":
		x, err := v.test(d, line, args)
		if err != nil {
			return line
		}
		r := x.reading
		if v.word == "clamp" {
			return fmt.Sprint(v.word, r.Clamp, heldInStart(r))
		}
		return fmt.Sprint(v.word, r.Red, r.Black, heldInStart(r), r.Vehicle["loads"], r.Vehicle["doors"], r.Vehicle["engine"] == "running", r.Hold)
	case "look":
		if thing, _, err := phrase(args, vehicle.Things(), "", ""); err == nil {
			return "look " + thing
		}
	}
	return v.word
}

// tree shows what the tree does now.
func (d *Drill) tree(string, []string) (Reply, error) {
	return Reply{Text: strings.Join(d.TreeNow(), "\n"), Long: true}, nil
}

// TreeNow is what the tree does now, at the level that shows it.
func (d *Drill) TreeNow() []string {
	if d.Level != treeShown {
		return nil
	}
	s := d.next()
	if s == nil {
		return []string{"The tree has come to its finding by now."}
	}
	text := []string{"The tree does this now: " + title(s.Step) + "."}
	if do := s.Step.Do.Raw(); do != "" && !strings.Contains(do, "{") {
		text = append(text, "  "+do)
	}
	return append(text, "  Here: "+strings.Join(linesOf(*s), "; "))
}
