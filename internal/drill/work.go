package drill

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"deadflat/internal/source"
	"deadflat/internal/vehicle"
)

// hours reads a number of hours or minutes.
func amount(args []string, what string, most float64) (float64, error) {
	word, err := one(args, what)
	if err != nil {
		return 0, err
	}
	x, err := strconv.ParseFloat(word, 64)
	if err != nil || !(x > 0 && x <= most) {
		return 0, fmt.Errorf("%q is no amount of time: expected: %s, more than 0 and at most %g", word, what, most)
	}
	return x, nil
}

func (d *Drill) charge(line string, args []string) (string, error) {
	hours, err := amount(args, "charge HOURS", 48)
	if err != nil {
		return "", err
	}
	if stopped := d.mayLoad("charge"); stopped != "" {
		return stopped, nil
	}
	long := fmt.Sprintf("%g h", hours)
	if err := d.at.v.Act("charge", long); err != nil {
		return d.stopped(err)
	}
	ended, _ := d.at.v.Observe("charge_end")
	d.test(Act{Line: line, Showed: "charge: " + ended, Minutes: 60 * hours}, func(s *suspect) bool {
		could := false
		for _, b := range s.benches {
			if b.v.Act("charge", long) != nil {
				continue
			}
			x, _ := b.v.Observe("charge_end")
			could = could || x == ended
		}
		return could
	})
	return "charge: " + ended, nil
}

func (d *Drill) wait(line string, args []string) (string, error) {
	minutes, err := amount(args, "wait MINUTES", 48*60)
	if err != nil {
		return "", err
	}
	long := fmt.Sprintf("%g min", minutes)
	if err := d.at.v.Act("all_off", long); err != nil {
		return "", err
	}
	d.alike(func(b *bench) { _ = b.v.Act("all_off", long) })
	d.book(Act{Line: line, Showed: "Everything is off.", Minutes: minutes})
	return "Everything is off.", nil
}

func (d *Drill) boost(line string, _ []string) (string, error) {
	if stopped := d.mayCrank("boost"); stopped != "" {
		return stopped, nil
	}
	if err := d.at.v.Act("boost", ""); err != nil {
		return d.stopped(err)
	}
	result, _ := d.at.v.Observe("boost_result")
	_ = d.at.v.Act("all_off", "1 min")
	d.test(Act{Line: line, Showed: "with a booster: " + result, Minutes: boostMinutes}, func(s *suspect) bool {
		could := false
		for _, b := range s.benches {
			if b.v.Act("boost", "") != nil {
				continue
			}
			x, _ := b.v.Observe("boost_result")
			could = could || x == result
			_ = b.v.Act("all_off", "1 min")
		}
		return could
	})
	return "with a booster: " + result, nil
}

func (d *Drill) off(line string, args []string) (string, error) {
	lead, err := one(args, "off negative, or off positive")
	switch {
	case err != nil:
		return "", err
	case lead == "negative":
		return d.negative(line, true)
	case lead == "positive" && !d.leadOff:
		return d.danger("off positive: the negative lead is still on, and a spanner that slips from the positive post to the body is a short circuit of the whole battery. Negative first off, last on"), nil
	case lead == "positive":
		d.book(Act{Line: line, Showed: "The positive lead is off.", Minutes: leadMinutes})
		return "The positive lead is off.", nil
	}
	return "", fmt.Errorf("%q is no lead: expected negative or positive", lead)
}

func (d *Drill) on(line string, args []string) (string, error) {
	lead, err := one(args, "on negative, or on positive")
	switch {
	case err != nil:
		return "", err
	case lead == "negative":
		return d.negative(line, false)
	case lead == "positive" && !d.leadOff:
		return d.danger("on positive: the negative lead is on already, and a spanner that slips is a short circuit of the whole battery. Negative first off, last on"), nil
	case lead == "positive":
		d.book(Act{Line: line, Showed: "The positive lead is on.", Minutes: leadMinutes})
		return "The positive lead is on.", nil
	}
	return "", fmt.Errorf("%q is no lead: expected negative or positive", lead)
}

func (d *Drill) negative(line string, off bool) (string, error) {
	do := func(v *vehicle.Vehicle) error {
		if off {
			return v.Leave("negative_lead_off")
		}
		return v.PutBack("negative_lead_off")
	}
	if err := do(d.at.v); err != nil {
		return "", err
	}
	d.alike(func(b *bench) { _ = do(b.v) })
	d.leadOff = off
	shows := "The negative lead is on."
	if off {
		shows = "The negative lead is off."
	}
	d.book(Act{Line: line, Showed: shows, Minutes: leadMinutes})
	return shows, nil
}

func (d *Drill) neutral(line string, _ []string) (string, error) {
	d.at.v.PutInGear(false)
	d.checked["vehicle"] = true
	d.book(Act{Line: line, Showed: "It is in neutral, the brake is on and the wheels are chocked.", Minutes: lookMinutes})
	return "It is in neutral, the brake is on and the wheels are chocked.", nil
}

// bare are the repairs of what carries the battery's current without a fuse.
var bare = []string{"fit_battery", "fit_second_battery", "clean_positive_joint", "fit_positive_cable", "clean_positive_feed", "fit_starter", "fit_main_fuse", "fit_alternator", "mend_charge_cable"}

func (d *Drill) repair(line string, args []string) (string, error) {
	word, err := one(args, "repair WORD, such as repair fit_strap")
	if err != nil {
		return "", err
	}
	all := repairWords()
	if !slices.Contains(all, word) {
		return "", fmt.Errorf("there is no repair %q%s; \"words repairs\" lists them", word, source.DidYouMean(word, all))
	}
	if slices.Contains(bare, word) && !d.leadOff {
		return d.danger(word + ": the negative lead is still on, and what is worked at is live and not fused. Negative first off"), nil
	}
	if err := d.at.v.Act(word, ""); err != nil {
		return d.stopped(err)
	}
	d.alike(func(b *bench) { _ = b.v.Act(word, "") })
	d.Repaired = append(d.Repaired, word)
	d.book(Act{Line: line, Showed: "It is done.", Minutes: repairMinutes})
	return "It is done. Whether it has helped, a test says.", nil
}

func repairWords() []string {
	var out []string
	for _, k := range vehicle.Kinds() {
		if r := vehicle.Mends(k.ID); r != "" && !slices.Contains(out, r) {
			out = append(out, r)
		}
	}
	return out
}

// find takes the finding, and ends the drill.
func (d *Drill) find(line string, args []string) (string, error) {
	if len(args) == 0 {
		return "", fmt.Errorf("expected: find WORD; \"words findings\" lists them")
	}
	known := d.findings()
	var named []string
	for _, w := range args {
		faults, ok := known[w]
		if !ok {
			var all []string
			for k := range known {
				all = append(all, k)
			}
			slices.Sort(all)
			return "", fmt.Errorf("there is no finding %q%s; \"words findings\" lists them", w, source.DidYouMean(w, all))
		}
		named = append(named, faults...)
	}
	d.Named, d.Done = named, true
	d.book(Act{Line: line, Showed: "That is your finding."})
	return "That is your finding.", nil
}

// findings are the words that find takes: faults, and the findings of every tree
// with the faults that they name.
func (d *Drill) findings() map[string][]string {
	out := map[string][]string{}
	for _, t := range d.Library.Trees() {
		for _, f := range t.Findings {
			if len(f.Faults) > 0 && out[f.ID] == nil {
				out[f.ID] = f.Faults
			}
		}
	}
	for _, k := range vehicle.Kinds() {
		out[k.ID] = []string{k.ID}
	}
	return out
}

func (d *Drill) words(_ string, args []string) (string, error) {
	kind, err := one(args, "words things, points, states, repairs or findings")
	if err != nil {
		return "", err
	}
	var all []string
	switch kind {
	case "things":
		all = vehicle.Things()
	case "points":
		all = vehicle.Points()
	case "states":
		for _, s := range []string{"key", "doors", "loads", "engine", "charger"} {
			all = append(all, states[s]...)
		}
	case "repairs":
		all = repairWords()
	case "findings":
		for _, k := range vehicle.Kinds() {
			all = append(all, k.ID)
		}
	default:
		return "", fmt.Errorf("%q is no kind of words: expected things, points, states, repairs or findings", kind)
	}
	return strings.Join(all, "\n"), nil
}
