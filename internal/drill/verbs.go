package drill

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/vehicle"
)

// Help lists what can be typed.
const Help = `look THING             look at it: battery_case, positive_terminal, vehicle, ...
ask                    what the customer tells
measure RED BLACK      volts between two points, in a state of your own:
                       measure battery_positive_post body key_on heavy_loads
                       add lowest or highest for a peak hold over a crank
clamp POINT            amperes by clamp, in a state of your own
crank [SECONDS]        hold the key and listen
load                   half the rating for 15 s, read at the posts
charge HOURS           on the bench charger
wait MINUTES           everything off
boost                  a booster on, and crank
off LEAD, on LEAD      take a battery lead off or put it on: negative or positive
neutral                lever to neutral, brake on, wheels chocked
repair WORD            renew or mend something: fit_strap, fit_battery, ...
find WORD [WORD]       your finding: the fault, or the finding of the tree
words KIND             what words there are: things, points, states, repairs, findings
hint                   what the tree would do next (levels 1 to 3)
time                   minutes so far
pause                  leave, and go on later`

var verbs map[string]func(d *Drill, line string, args []string) (string, error)

func init() {
	verbs = map[string]func(*Drill, string, []string) (string, error){
		"help": func(*Drill, string, []string) (string, error) { return Help, nil },
		"time": func(d *Drill, _ string, _ []string) (string, error) {
			return fmt.Sprintf("%.0f minutes so far.", d.Minutes), nil
		},
		"look": (*Drill).look, "ask": (*Drill).ask, "measure": (*Drill).measure, "clamp": (*Drill).clamp,
		"crank": (*Drill).crank, "load": (*Drill).load, "charge": (*Drill).charge, "wait": (*Drill).wait, "boost": (*Drill).boost,
		"off": (*Drill).off, "on": (*Drill).on, "neutral": (*Drill).neutral, "repair": (*Drill).repair,
		"find": (*Drill).find, "words": (*Drill).words, "hint": (*Drill).hint,
	}
}

// Minutes that things take. Modelling choices, after the minutes of the shipped
// trees.
const (
	lookMinutes   = 1
	probeMinutes  = 2
	crankMinutes  = 1
	loadMinutes   = 2
	boostMinutes  = 5
	leadMinutes   = 2
	repairMinutes = 30
)

func one(args []string, what string) (string, error) {
	if len(args) != 1 {
		return "", fmt.Errorf("expected: %s", what)
	}
	return args[0], nil
}

func (d *Drill) look(line string, args []string) (string, error) {
	thing, err := one(args, "look THING, such as look battery_case")
	if err != nil {
		return "", err
	}
	found := d.at.v.See(thing)
	if len(found) == 0 {
		return "", fmt.Errorf("there is no %q to look at; \"words things\" lists what there is", thing)
	}
	if thing == "crankshaft_bolt" && !d.leadOff {
		d.omit("the negative lead was on while hands were at the crankshaft")
	}
	d.checked[thing] = true
	shows := tell(found)
	d.test(Act{Line: line, Showed: shows, Minutes: lookMinutes}, func(s *suspect) bool {
		return slices.ContainsFunc(s.benches, func(b *bench) bool { return maps.Equal(b.v.See(thing), found) })
	})
	return shows, nil
}

// tell puts what was found into words, always in the same order.
func tell(found map[string]string) string {
	var parts []string
	for _, k := range slices.Sorted(maps.Keys(found)) {
		parts = append(parts, strings.ReplaceAll(k, "_", " ")+": "+found[k])
	}
	return strings.Join(parts, "; ")
}

// told are the readings that a customer answers.
var told = []string{"complaint", "when_flat", "days_standing", "recent_work", "time_to_spare"}

func (d *Drill) ask(line string, _ []string) (string, error) {
	found := map[string]string{}
	for _, name := range told {
		if a, ok := d.at.v.Observe(name); ok {
			found[name] = a
		}
	}
	shows := tell(found)
	d.book(Act{Line: line, Showed: shows, Minutes: lookMinutes})
	return shows, nil
}

// test books an act that could have told something, and weighs what it showed.
func (d *Drill) test(a Act, could func(*suspect) bool) {
	a.Test, a.Before = true, d.possible()
	d.weigh(could)
	a.After = d.possible()
	d.book(a)
}

// probing is what was asked to be measured.
func (d *Drill) probing(args []string) (r *engine.Reading, err error) {
	r = &engine.Reading{Vehicle: map[string]string{}, Hold: "settled", Meter: "volts_dc"}
	for _, w := range args {
		switch {
		case w == "lowest" || w == "highest" || w == "first" || w == "ripple":
			r.Hold = w
		case stateOf(w) != "":
			r.Vehicle[stateOf(w)] = w
		default:
			return nil, fmt.Errorf("there is no state %q; \"words states\" lists what there is", w)
		}
	}
	if r.Vehicle["engine"] == "cranking" {
		r.Vehicle["key"] = "key_start"
	}
	if r.Vehicle["key"] == "key_start" && r.Hold == "settled" {
		r.Hold = "plateau"
	}
	if r.Hold == "ripple" {
		r.Meter = "volts_ac"
	}
	for state, rest := range rest {
		if _, given := r.Vehicle[state]; !given && (state != "engine" || r.Vehicle["key"] != "key_start") {
			r.Vehicle[state] = rest
		}
	}
	return r, nil
}

// rest is the state in which nothing is switched on.
var rest = map[string]string{"key": "key_off", "doors": "closed", "loads": "loads_off", "engine": "still", "charger": "charger_off"}

// states are the words for a state, by what they are states of.
var states = map[string][]string{
	"key": {"key_off", "key_on", "key_start"}, "doors": {"closed", "open"}, "loads": {"loads_off", "small_loads", "heavy_loads"},
	"engine": {"still", "cranking", "idling", "revving"}, "charger": {"charger_off", "charger_on"},
}

func stateOf(word string) string {
	for name, list := range states {
		if slices.Contains(list, word) {
			return name
		}
	}
	return ""
}

func (d *Drill) measure(line string, args []string) (string, error) {
	if len(args) < 2 {
		return "", errors.New("expected: measure RED BLACK [STATE ...], such as measure battery_positive_post battery_negative_post")
	}
	r, err := d.probing(args[2:])
	if err != nil {
		return "", err
	}
	r.Red, r.Black = args[0], args[1]
	if err := d.at.v.Has(r.Red, r.Black); err != nil {
		return "", err
	}
	return d.read(line, r, "V")
}

func (d *Drill) clamp(line string, args []string) (string, error) {
	if len(args) < 1 {
		return "", errors.New("expected: clamp POINT [STATE ...], such as clamp battery_negative_lead cranking")
	}
	r, err := d.probing(args[1:])
	if err != nil {
		return "", err
	}
	r.Clamp, r.Meter = args[0], "amps_clamp"
	if err := d.at.v.HasLead(r.Clamp); err != nil {
		return "", err
	}
	return d.read(line, r, "A")
}

// read takes a reading on the vehicle and on those of every suspect.
func (d *Drill) read(line string, r *engine.Reading, unit string) (string, error) {
	if r.Vehicle["key"] == "key_start" {
		if stopped := d.mayCrank("measure while cranking"); stopped != "" {
			return stopped, nil
		}
	}
	if d.leadOff && r.Vehicle["charger"] != "charger_on" && r.Clamp == "" && r.Vehicle["key"] != "key_off" {
		d.omit("the negative lead was off while something was switched on")
	}
	a, err := d.at.m.Take(r)
	d.at.m.LetGo()
	if err != nil {
		shows := "That cannot be read: the engine does not run."
		d.book(Act{Line: line, Showed: shows, Minutes: probeMinutes})
		return shows, nil
	}
	shows := strconv.FormatFloat(a.Value, 'f', -1, 64) + " " + unit
	if a.State != "" {
		shows = a.State
	}
	act := Act{Line: line, Showed: shows, Minutes: probeMinutes, Cannot: d.cannot(r)}
	d.test(act, func(s *suspect) bool {
		var reads []float64
		for _, b := range s.benches {
			if x, err := b.m.Take(r); err == nil && x.State == "" {
				reads = append(reads, x.Value)
			}
			b.m.LetGo()
		}
		return len(reads) > 0 && couldRead(a.Value, reads)
	})
	return shows, nil
}

// cannot is what the tree says that such a reading cannot tell.
func (d *Drill) cannot(r *engine.Reading) string {
	for _, t := range d.Tree.Readings {
		if t.Red == r.Red && t.Black == r.Black && t.Clamp == r.Clamp && (t.Vehicle["key"] == "key_start") == (r.Vehicle["key"] == "key_start") {
			if says := t.Cannot.Raw(); says != "" && !strings.Contains(says, "{") {
				return says
			}
		}
	}
	return ""
}

func (d *Drill) crank(line string, args []string) (string, error) {
	seconds := 3.0
	if len(args) > 0 {
		x, err := strconv.ParseFloat(args[0], 64)
		if err != nil || !(x >= 0.5 && x <= 600) {
			return "", fmt.Errorf("%q is no number of seconds to crank: expected 0.5 to 600", args[0])
		}
		seconds = x
	}
	if stopped := d.mayCrank("crank"); stopped != "" {
		return stopped, nil
	}
	for_ := fmt.Sprintf("%g s", seconds)
	heard, _ := d.at.v.Observe("engine_turned")
	if err := d.at.v.Act("crank", for_); err != nil {
		return d.stopped(err)
	}
	if seconds > 15 {
		d.omit("cranked for more than 15 s at once, which heats starter and cables")
	}
	shows := "engine turned: " + heard
	d.test(Act{Line: line, Showed: shows, Minutes: crankMinutes}, func(s *suspect) bool {
		could := false
		for _, b := range s.benches {
			x, _ := b.v.Observe("engine_turned")
			could = could || x == heard
			_ = b.v.Act("crank", for_)
		}
		return could
	})
	return shows, nil
}

func (d *Drill) load(line string, _ []string) (string, error) {
	if stopped := d.mayLoad("load"); stopped != "" {
		return stopped, nil
	}
	r := &engine.Reading{Red: "battery_positive_post", Black: "battery_negative_post", Hold: "at: 15 s", Meter: "volts_dc"}
	if err := d.at.v.Act("half_rating_load", ""); err != nil {
		return d.stopped(err)
	}
	a, err := d.at.m.Take(r)
	if err != nil {
		return "", err
	}
	shows := strconv.FormatFloat(a.Value, 'f', -1, 64) + " V at the end of 15 s"
	d.test(Act{Line: line, Showed: shows, Minutes: loadMinutes}, func(s *suspect) bool {
		var reads []float64
		for _, b := range s.benches {
			if b.v.Act("half_rating_load", "") != nil {
				continue
			}
			if x, err := b.m.Take(r); err == nil {
				reads = append(reads, x.Value)
			}
		}
		return len(reads) > 0 && couldRead(a.Value, reads)
	})
	return shows, nil
}

// stopped is what is said of an act that failed or would have hurt somebody.
func (d *Drill) stopped(err error) (string, error) {
	var h *vehicle.Hazard
	if errors.As(err, &h) {
		return d.danger(h.Act + ": " + h.Why), nil
	}
	return "", err
}
