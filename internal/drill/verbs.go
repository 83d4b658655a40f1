package drill

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/source"
	"deadflat/internal/text"
	"deadflat/internal/vehicle"
)

// verb is one thing that can be typed.
type verb struct {
	word, args string
	also       []string // other words for it
	means      string
	examples   []string
	on         func(level int) bool // nil: at every level
	do         func(d *Drill, line string, args []string) (Reply, error)
	test       func(d *Drill, line string, args []string) (*test, error) // of a test, in place of do
}

func practice(level int) bool { return !asks(level) }

// verbs are all of them, in the order in which help lists them.
var verbs []verb

func init() {
	verbs = []verb{
		{"look", "THING", nil, "look at a thing", []string{"look battery_case", "look positive terminal"}, practice, nil, (*Drill).looked},
		{"ask", "", nil, "what the customer tells", []string{"ask"}, practice, (*Drill).ask, nil},
		{"measure", "RED BLACK [STATE ...]", []string{"volts", "m"}, "volts between two points, in a state of your own: what you do not name is off, and key_start or cranking turns the engine. Add lowest or highest for a peak hold over a crank",
			[]string{"measure battery_positive_post battery_negative_post", "measure starter case, battery negative post, cranking", "measure battery_positive_post body key_on heavy_loads", "measure battery_positive_post battery_negative_post cranking lowest"}, practice, nil, (*Drill).measured},
		{"clamp", "LEAD [STATE ...]", []string{"amps"}, "amperes by clamp, in a state of your own", []string{"clamp battery_negative_lead cranking", "clamp battery negative lead"}, practice, nil, (*Drill).clamped},
		{"crank", "[SECONDS]", nil, "hold the key and listen, 3 s unless you say otherwise", []string{"crank", "crank 5"}, practice, nil, (*Drill).cranked},
		{"trace", "[RED BLACK]", nil, "crank and record what a display cannot follow: the true voltage, what a meter shows of it, and what its holds keep; at the battery's posts unless you name two points", []string{"trace", "trace starter_feed_stud starter_case"}, practice, (*Drill).trace, nil},
		{"slow", "", nil, "the beginning of the last trace again, slowed down", []string{"slow"}, practice, (*Drill).slow, nil},
		{"load", "", nil, "half the rating for 15 s, read at the posts", []string{"load"}, practice, nil, (*Drill).loaded},
		{"lamps", "[SECONDS]", nil, "dipped lamps, blower and screen on, then three minutes' rest: takes surface charge off", []string{"lamps 60"}, practice, (*Drill).lamps, nil},
		{"lamp", "RED BLACK", nil, "a fused lamp from the positive post to the engine block, and volts between two points while it is lit: current without a crank", []string{"lamp engine_block battery_negative_post"}, practice, nil, (*Drill).lit},
		{"charge", "HOURS", nil, "on the bench charger", []string{"charge 8"}, practice, nil, (*Drill).charged},
		{"wait", "MINUTES", nil, "everything off", []string{"wait 240"}, practice, (*Drill).wait, nil},
		{"boost", "", []string{"jump"}, "a booster on, and crank", []string{"boost"}, practice, nil, (*Drill).boosted},
		{"off", "LEAD", nil, "take a battery lead off: negative or positive", []string{"off negative"}, practice, (*Drill).off, nil},
		{"on", "LEAD", nil, "put a battery lead on", []string{"on negative"}, practice, (*Drill).on, nil},
		{"neutral", "", nil, "lever to neutral, brake on, wheels chocked", []string{"neutral"}, practice, (*Drill).neutral, nil},
		{"repair", "WORD", []string{"renew", "fit", "mend"}, "renew or mend something", []string{"repair fit_strap", "repair clean positive joint"}, practice, (*Drill).repair, nil},
		{"find", "WORD [and WORD]", []string{"finding"}, "your finding, which ends the drill: the fault, or the finding of the tree; two of them where there are two", []string{"find engine_strap", "find positive joint and battery worn out"}, practice, (*Drill).find, nil},
		{"tree", "", []string{"hint"}, "what the tree would do next", []string{"tree"}, func(level int) bool { return level == treeShown }, (*Drill).tree, nil},
		{"words", "KIND", nil, "what words there are: things, points, leads, states, repairs, findings", []string{"words points"}, func(level int) bool { return level != badRecord && level != readAndName }, (*Drill).words, nil},
		{"time", "", nil, "minutes so far", []string{"time"}, practice, (*Drill).clock, nil},
		{"help", "[WORD]", []string{"?", "h"}, "this list, or more about one word of it", []string{"help", "help measure"}, nil, (*Drill).help, nil},
	}
}

// run does what a verb says.
func (v *verb) run(d *Drill, line string, args []string) (Reply, error) {
	if v.test == nil {
		return v.do(d, line, args)
	}
	x, err := v.test(d, line, args)
	if err != nil {
		return Reply{}, err
	}
	s, stopped := d.run(x)
	if stopped != "" {
		return Reply{Text: stopped}, nil
	}
	return Reply{Text: s.text()}, nil
}

// verb finds what the first word of a line means: nil for an answer to a question.
func (d *Drill) verb(word string) (*verb, error) {
	var all []string
	var begins []*verb
	for i := range verbs {
		v := &verbs[i]
		if v.on != nil && !v.on(d.Level) {
			if v.word == word {
				return nil, fmt.Errorf("%q is not for level %d; \"help\" lists what can be done", word, d.Level)
			}
			continue
		}
		if v.word == word || slices.Contains(v.also, word) {
			return v, nil
		}
		if strings.HasPrefix(v.word, word) {
			begins = append(begins, v)
		}
		all = append(all, v.word)
	}
	switch {
	case asks(d.Level):
		return nil, nil
	case len(begins) == 1:
		return begins[0], nil
	case len(begins) > 1:
		return nil, fmt.Errorf("%q can be %s or %s; type a letter more", word, begins[0].word, begins[1].word)
	}
	return nil, fmt.Errorf("%q is nothing that can be done here%s; \"help\" lists what can be", word, source.DidYouMean(word, all))
}

func (d *Drill) help(_ string, args []string) (Reply, error) {
	if len(args) > 0 {
		v, err := d.verb(args[0])
		if err != nil || v == nil {
			return Reply{}, fmt.Errorf("there is no %q to be explained; \"help\" lists what there is", args[0])
		}
		text := strings.TrimSpace(v.word+" "+v.args) + "\n  " + v.means + ".\nFor example:\n  " + strings.Join(v.examples, "\n  ")
		if len(v.also) > 0 {
			text += "\nThe same: " + strings.Join(v.also, ", ")
		}
		return Reply{Text: text, Long: true}, nil
	}
	text := ""
	if asks(d.Level) {
		text = "An answer\n  " + Levels[d.Level-1].answers + "\n"
	}
	for _, v := range verbs {
		if v.on == nil || v.on(d.Level) {
			text += strings.TrimSpace(v.word+" "+v.args) + "\n  " + v.means + "\n"
		}
	}
	text += "pause\n  leave, and go on later (also: quit)\n"
	if practice(d.Level) {
		text += "Names may be typed with blanks and cut short. \"help measure\" shows examples, \"words points\" where the probes go."
	}
	return Reply{Text: strings.TrimSpace(text), Long: true}, nil
}

// Minutes that things take. Modelling choices, after the minutes of the shipped
// trees.
const (
	lookMinutes   = 1
	probeMinutes  = 2
	underMinutes  = 3 // more, for a probe that does not reach its point at the battery
	crankMinutes  = 1
	loadMinutes   = 2
	lampsMinutes  = 5
	lampMinutes   = 2 // a lamp clipped on
	boostMinutes  = 5
	leadMinutes   = 2
	repairMinutes = 30
)

// longLooks are the looks that take longer: an engine turned by hand; fuses, found and tried
// with a lamp.
var longLooks = map[string]float64{"crankshaft_bolt": 10, "start_fuse": 4, "fuse_box": 4}

func (d *Drill) clock(string, []string) (Reply, error) {
	text := d.Elapsed() + "."
	if d.Level == clocked {
		text += " Charging and waiting do not count."
	}
	return Reply{Text: text, Long: true}, nil
}

func none(args []string, what string) error {
	if len(args) > 0 {
		return fmt.Errorf("%q is too much: expected: %s", strings.Join(args, " "), what)
	}
	return nil
}

// sameOnAll are the things seen that no fault changes: they tell nothing.
var sameOnAll = []string{
	"chemistry", "rating", "rating_standard", "made_year", "high_cause", "charge_control", "earth_lands", "odometer",
	"fuse_rating", "battery_place", "engine_class", "crank_danger", "meter_check",
}

// seen is the test of a look.
func seen(thing string) procedure {
	return func(b *bay) shown {
		found := b.v.See(thing)
		also := maps.Clone(found)
		maps.DeleteFunc(found, func(name, _ string) bool { return slices.Contains(sameOnAll, name) })
		maps.DeleteFunc(also, func(name, _ string) bool { return found[name] != "" })
		return shown{words: tell(found), also: tell(also)}
	}
}

func (d *Drill) looked(line string, args []string) (*test, error) {
	thing, left, err := phrase(args, vehicle.Things(), "thing", "things")
	if err == nil {
		err = none(left, "look THING")
	}
	guard := func(d *Drill) string {
		if thing == "crankshaft_bolt" && !d.leadOff {
			d.omit("the negative lead was on while hands were at the crankshaft")
		}
		d.checked[thing] = true
		if thing == "start_fuse" {
			return d.mayCrank("key in start for the lamp at the fuse")
		}
		return ""
	}
	return &test{line: line, minutes: cmp.Or(longLooks[thing], lookMinutes), do: seen(thing), guard: guard}, err
}

// tell puts what was found into words, always in the same order.
func tell(found map[string]string) string {
	var parts []string
	for _, k := range slices.Sorted(maps.Keys(found)) {
		name := seenAs[k]
		if name == "" {
			name = text.Spoken(k)
		}
		parts = append(parts, name+": "+told(found[k]))
	}
	return strings.Join(parts, "; ")
}

// seenAs says what was looked at where the word of the reading does not say it well.
var seenAs = map[string]string{
	"found_on": "left switched on", "battery_fitted": "the battery beside what the vehicle asks for", "made_year": "year of make",
	"high_cause": "lithium on the label, or a charger connected", "chemistry": "type", "case_feel": "case to the hand", "danger": "danger at the battery", "crank_danger": "danger at the crank", "start_look": "the dash",
	"when_flat": "when it has been flat", "rating": "rating in A", "hand_turn_feel": "turned by hand", "earth_lands": "the earth lead ends at", "meter_check": "meter on a known voltage",
	"charge_control": "charging", "charge_signs": "signs of poor charging", "fuses_show": "fuses with a drop over them", "fuse_pulled": "the draw as fuses are pulled",
}

// asked are the readings that a customer answers.
var asked = []string{"complaint", "when_flat", "days_standing", "recent_work", "time_to_spare"}

func (d *Drill) ask(line string, _ []string) (Reply, error) {
	found := map[string]string{}
	for _, name := range asked {
		if a, ok := d.bay.v.Observe(name); ok {
			found[name] = a
		}
	}
	return d.note(&test{line: line, minutes: lookMinutes}, tell(found))
}

// reach is how long it takes to read between two points.
func reach(points ...string) float64 {
	minutes := float64(probeMinutes)
	for _, p := range points {
		if !strings.HasPrefix(p, "battery_") && p != "body" && p != "engine_block" && p != "jump_post" {
			minutes += underMinutes
		}
	}
	return minutes
}

func (d *Drill) measured(line string, args []string) (*test, error) {
	if len(args) == 0 {
		return nil, errors.New("expected: measure RED BLACK [STATE ...], such as measure battery_positive_post battery_negative_post")
	}
	r, err := d.bay.between(args)
	if err != nil {
		return nil, err
	}
	return &test{line: line, minutes: reach(r.Red, r.Black), do: read(r, "V"), guard: mayRead(r), cannot: d.cannot(r), jolt: peak(r), reading: r}, nil
}

// between is a reading between two typed points in a typed state.
func (b *bay) between(words []string) (*engine.Reading, error) {
	red, words, err := phrase(words, b.points(), "point for red", "points")
	if err != nil {
		return nil, err
	}
	black, words, err := phrase(words, b.points(), "point for black", "points")
	if err != nil {
		return nil, err
	}
	r, err := reading(words)
	if err != nil {
		return nil, err
	}
	r.Red, r.Black = red, black
	return r, nil
}

// mayRead is what must be thought of before a reading in a state.
func mayRead(r *engine.Reading) func(*Drill) string {
	return func(d *Drill) (stopped string) {
		if heldInStart(r) || runs(r.Vehicle) {
			stopped = d.mayCrank("measurement while cranking")
		}
		switch charger := r.Vehicle["charger"] == "charger_on"; {
		case stopped != "":
		case charger:
			stopped = d.mayLoad("charge")
		case d.leadOff && r.Clamp == "" && r.Vehicle["key"] != "key_off":
			d.omit("the negative lead was off while something was switched on")
		}
		return stopped
	}
}

func (d *Drill) clamped(line string, args []string) (*test, error) {
	lead, args, err := phrase(args, leads(), "lead for a clamp", "leads")
	if err != nil {
		return nil, err
	}
	r, err := reading(args)
	if err != nil {
		return nil, err
	}
	if peak(r) {
		return nil, errors.New("the clamp has no peak hold here: leave lowest and highest out")
	}
	r.Clamp, r.Meter = lead, "amps_clamp"
	return &test{line: line, minutes: probeMinutes, do: read(r, "A"), guard: mayRead(r), cannot: d.cannot(r), reading: r}, nil
}

// peakCannot is what a peak hold cannot tell.
const peakCannot = "A peak hold keeps the first jolt, which goes far below the plateau on a sound battery too: it convicts nobody."

// cannot is what the tree says that such a reading cannot tell.
func (d *Drill) cannot(r *engine.Reading) string {
	if peak(r) {
		return peakCannot
	}
	for _, t := range d.Tree.Readings {
		if t.Red == r.Red && t.Black == r.Black && t.Clamp == r.Clamp && heldInStart(t) == heldInStart(r) {
			if says := t.Cannot.Raw(); says != "" && !strings.Contains(says, "{") {
				return says
			}
		}
	}
	return ""
}

// Seconds of a crank. Sources: the starter's 30 s, TM 10-3930-671-24, Volt Drop
// Tests; 15 s: common practice, no source.
const (
	atOnce  = 15
	longest = 30
)

func (d *Drill) cranked(line string, args []string) (*test, error) {
	seconds := 3.0
	if len(args) > 0 {
		x, err := strconv.ParseFloat(strings.TrimSuffix(args[0], "s"), 64)
		if err != nil || !(x >= 0.5 && x <= 600) {
			return nil, fmt.Errorf("%q is no number of seconds to crank: expected 0.5 to 600", args[0])
		}
		seconds = x
	}
	guard := func(d *Drill) string {
		stopped := d.mayCrank("crank")
		switch {
		case stopped != "":
		case seconds > longest:
			return d.danger(fmt.Sprintf("crank: a starter that is cranked for more than %d s at once overheats. Let go, and let it cool", longest))
		case seconds > atOnce:
			d.omit(fmt.Sprintf("cranked for more than %d s at once, which heats starter and cables", atOnce))
		}
		return stopped
	}
	return &test{line: line, minutes: crankMinutes, guard: guard, do: func(b *bay) shown { return heard(b, seconds) }}, nil
}

func (d *Drill) loaded(line string, args []string) (*test, error) {
	r := &engine.Reading{Red: positivePost, Black: negativePost, Hold: "at: 15 s", Meter: "volts_dc"}
	guard := func(d *Drill) string { return d.mayLoad("load") }
	return &test{line: line, minutes: loadMinutes, guard: guard, do: func(b *bay) shown {
		if b.v.Act("half_rating_load", "") != nil {
			return shown{none: true}
		}
		return read(r, "V")(b)
	}}, none(args, "load")
}
