package drill

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"deadflat/internal/text"
	"deadflat/internal/vehicle"
)

// amount reads a number of hours, minutes or seconds.
func amount(args []string, what string, most float64) (float64, error) {
	if len(args) == 0 {
		return 0, fmt.Errorf("expected: %s", what)
	}
	word := strings.TrimRight(args[0], "hmins")
	x, err := strconv.ParseFloat(word, 64)
	if err != nil || !(x > 0 && x <= most) {
		return 0, fmt.Errorf("%q is no amount of time: expected: %s, more than 0 and at most %g", args[0], what, most)
	}
	return x, nil
}

func (d *Drill) charged(line string, args []string) (*test, error) {
	hours, err := amount(args, "charge HOURS", 48)
	long := fmt.Sprintf("%g h", hours)
	guard := func(d *Drill) string { return d.mayLoad("charge") }
	return &test{line: line, minutes: 60 * hours, waits: true, changes: true, guard: guard, do: func(b *bay) shown {
		if b.v.Act("charge", long) != nil {
			return shown{none: true}
		}
		ended, _ := b.v.Observe("charge_end")
		return shown{words: "charge: " + ended}
	}}, err
}

func (d *Drill) wait(line string, args []string) (Reply, error) {
	minutes, err := amount(args, "wait MINUTES", 48*60)
	if err != nil {
		return Reply{}, err
	}
	return d.act("all_off", fmt.Sprintf("%g min", minutes), &test{line: line, minutes: minutes, waits: true}, "Everything is off, and the time has passed.")
}

func (d *Drill) lamps(line string, args []string) (Reply, error) {
	seconds := 60.0
	if len(args) > 0 {
		var err error
		if seconds, err = amount(args, "lamps SECONDS", 600); err != nil {
			return Reply{}, err
		}
	}
	return d.act("lamps_on", fmt.Sprintf("%g s", seconds), &test{line: line, minutes: lampsMinutes}, "The lamps were on, and then everything was off for three minutes.")
}

// act does what shows nothing, on the vehicle and on those of every suspect. What would
// have hurt somebody is stopped.
func (d *Drill) act(act, long string, x *test, says string) (Reply, error) {
	var h *vehicle.Hazard
	switch err := d.bay.v.Act(act, long); {
	case errors.As(err, &h):
		return Reply{Text: d.danger(h.Act + ": " + h.Why)}, nil
	case err != nil:
		return Reply{}, err
	}
	d.alike(func(b *bay) { _ = b.v.Act(act, long) })
	return d.note(x, says)
}

// lit is a reading with a lamp's current through the engine.
func (d *Drill) lit(line string, args []string) (*test, error) {
	if len(args) == 0 {
		return nil, errors.New("expected: lamp RED BLACK, such as lamp engine_block battery_negative_post")
	}
	x, err := d.measured(line, args)
	if err != nil {
		return nil, err
	}
	volts := x.do
	x.jolt, x.guard = false, nil
	x.minutes += lampMinutes
	x.do = func(b *bay) shown {
		if b.v.Act("lamp_through_engine", "") != nil {
			return shown{none: true}
		}
		s := volts(b)
		_ = b.v.Act("all_off", "1 s") // it cannot fail
		return s
	}
	return x, nil
}

func (d *Drill) boosted(line string, args []string) (*test, error) {
	guard := func(d *Drill) string {
		stopped, battery := d.mayCrank("boost"), d.bay.v.Params().Battery
		switch {
		case stopped != "":
			return stopped
		case battery.Reversed:
			return d.danger("boost: the battery is the wrong way round, and a booster on it is a short circuit")
		case battery.CellLoss > 1:
			return d.danger("boost: a battery with a shorted cell heats and gasses under a booster")
		}
		return ""
	}
	return &test{line: line, minutes: boostMinutes, guard: guard, do: func(b *bay) shown {
		if b.v.Act("boost", "") != nil {
			return shown{none: true}
		}
		result, _ := b.v.Observe("boost_result")
		_ = b.v.Act("all_off", "1 min") // it cannot fail
		return shown{words: "with a booster: " + result}
	}}, none(args, "boost")
}

func (d *Drill) off(line string, args []string) (Reply, error) {
	return d.lead(line, args, "off", "still on", (*vehicle.Vehicle).Leave)
}

func (d *Drill) on(line string, args []string) (Reply, error) {
	return d.lead(line, args, "on", "on already", (*vehicle.Vehicle).PutBack)
}

// lead takes a lead of the battery off, or puts it on.
func (d *Drill) lead(line string, args []string, verb, stands string, do func(*vehicle.Vehicle, string) error) (Reply, error) {
	lead, left, err := phrase(args, []string{"negative", "positive"}, "lead", "leads")
	switch {
	case err != nil || len(left) > 0 && left[0] != "lead":
		return Reply{}, fmt.Errorf("expected: %s negative, or %s positive", verb, verb)
	case lead == "positive" && !d.leadOff:
		return Reply{Text: d.danger(verb + " positive: the negative lead is " + stands + ", and a spanner that slips from the positive post to the body is a short circuit of the whole battery. Negative first off, last on")}, nil
	case lead == "negative":
		if err := do(d.bay.v, "negative_lead_off"); err != nil {
			return Reply{}, err
		}
		d.alike(func(b *bay) { _ = do(b.v, "negative_lead_off") })
		d.leadOff = verb == "off"
	}
	return d.note(&test{line: line, minutes: leadMinutes}, fmt.Sprintf("The %s lead is %s.", lead, verb))
}

func (d *Drill) neutral(line string, _ []string) (Reply, error) {
	d.bay.v.PutInGear(false)
	d.checked["vehicle"] = true
	return d.note(&test{line: line, minutes: lookMinutes}, "It is in neutral, the brake is on and the wheels are chocked.")
}

// bare are the repairs of what carries the battery's current without a fuse.
var bare = []string{"fit_battery", "fit_second_battery", "clean_positive_joint", "fit_positive_cable", "clean_positive_feed", "fit_starter", "fit_main_fuse", "fit_alternator", "mend_charge_cable"}

func (d *Drill) repair(line string, args []string) (Reply, error) {
	word, _, err := phrase(args, repairWords(), "repair", "repairs")
	if err != nil {
		return Reply{}, err
	}
	if slices.Contains(bare, word) && !d.leadOff {
		return Reply{Text: d.danger(text.Spoken(word) + ": the negative lead is still on, and what is worked at is live and not fused. Negative first off")}, nil
	}
	acts := len(d.Acts)
	r, err := d.act(word, "", &test{line: line, minutes: repairMinutes, changes: true}, "It is done. Whether it has helped, a test says.")
	if len(d.Acts) > acts {
		d.Repaired = append(d.Repaired, word)
	}
	return r, err
}

func repairWords() []string {
	return slices.DeleteFunc(ofKinds(func(k vehicle.Kind) string { return vehicle.Mends(k.ID) }), func(r string) bool { return r == "" })
}

// find takes the finding, and ends the drill.
func (d *Drill) find(line string, args []string) (Reply, error) {
	known := d.findings()
	words, err := named(args, known)
	if err != nil {
		return Reply{}, err
	}
	most, expected := 1, "one is expected: what is wrong"
	if d.Level == clocked {
		most, expected = 2, "two are expected"
	}
	if len(words) > most {
		return Reply{}, fmt.Errorf("these are %d findings, and %s", len(words), expected)
	}
	for _, w := range words {
		d.Named = append(d.Named, known[w].faults...)
	}
	d.Done = true
	return d.note(&test{line: line}, "That is your finding.")
}

// named are the findings that were typed: by their words, or each by words of its title.
func named(args []string, known map[string]finding) ([]string, error) {
	all := slices.Sorted(maps.Keys(known))
	if len(args) > 0 && args[0] == "and" {
		return nil, errors.New("expected a finding before \"and\"")
	}
	var words []string
	typed := strings.TrimSuffix(strings.Join(args, " "), " and")
	for _, part := range strings.Split(typed, " and ") {
		before, left := len(words), strings.Fields(part)
		for first := true; first || len(left) > 0; first = false {
			word, rest, err := phrase(left, all, "finding", "findings")
			if err != nil {
				if word = titled(part, known); word == "" {
					return nil, err
				}
				words, rest = words[:before], nil
			}
			words, left = append(words, word), rest
		}
	}
	return words, nil
}

// A finding is one that find takes.
type finding struct {
	title  string
	faults []string // that it names
}

// findings are the words that find takes: faults, and the findings of every tree.
func (d *Drill) findings() map[string]finding {
	out := map[string]finding{}
	for _, t := range d.Library.Trees() {
		for _, f := range t.Findings {
			if _, known := out[f.ID]; !known && len(f.Faults) > 0 {
				out[f.ID] = finding{f.Title, f.Faults}
			}
		}
	}
	for _, k := range d.Library.FaultKinds() {
		out[k.ID] = finding{k.Title, []string{k.ID}}
	}
	return out
}

func (d *Drill) words(_ string, args []string) (Reply, error) {
	lists := map[string]func() []string{"things": vehicle.Things, "points": d.pointsHere, "leads": leads, "states": stateWords, "repairs": repairWords, "findings": d.findingWords}
	kind, _, err := phrase(args, slices.Sorted(maps.Keys(lists)), "kind of words", "points")
	if err != nil {
		return Reply{}, fmt.Errorf("expected: words things, words points, words leads, words states, words repairs, or words findings")
	}
	return Reply{Text: strings.Join(lists[kind](), "\n"), Long: true}, nil
}

// findingWords are the words that find takes, with their titles.
func (d *Drill) findingWords() []string {
	var out []string
	known := d.findings()
	for _, w := range slices.Sorted(maps.Keys(known)) {
		out = append(out, w+": "+text.Lower(known[w].title))
	}
	return out
}
