package mechanic

import (
	"cmp"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/vehicle"
)

// People say how often those at a vehicle slip, and what they have not got: all as
// shares, of the times that it can happen. The nought of it never errs and has all.
type People struct {
	Slips   map[string]float64 // by the words of Slips
	Missing map[string]float64 // equipment, by the words of the trees, and Thermometer
	Blocked map[string]float64 // points, leads and things that cannot be reached
}

// The slips of people.
const (
	misheard     = "misheard"       // what the engine did is taken for something that sounds alike
	customer     = "customer"       // what the customer says, likewise
	lamps        = "lamps"          // bright lamps called dim, or dim ones bright
	joint        = "joint"          // a bad clamp called clean and tight
	look         = "look"           // anything else that is looked at or felt
	label        = "label"          // a label misread
	warmEar      = "warm_ear"       // the sound of a warm engine is what a cold one is held against
	clampForPost = "clamp_for_post" // the probe on the clamp in place of the post
	paint        = "paint"          // the probe on paint or rust
	leadsChanged = "leads_changed"  // red and black changed over
	ampereSocket = "ampere_socket"  // the red lead in the socket for amperes
	coarseRange  = "coarse_range"   // a range that shows tenths of a volt only
	forgotten    = "forgotten_load" // a door left open at a reading with everything off
	peakHold     = "peak_hold"      // the meter holds its lowest or highest while cranking
	clampZero    = "clamp_zero"     // the clamp not set to nought
)

// Slips lists the words for them.
var Slips = []string{misheard, customer, lamps, joint, look, label, warmEar, clampForPost, paint, leadsChanged, ampereSocket, coarseRange, forgotten, peakHold, clampZero}

// AsFound are people in a workshop, with what is at hand there. Every share is a guess.
func AsFound() People {
	return People{
		Slips: map[string]float64{
			misheard: 0.06, customer: 0.12, lamps: 0.08, joint: 0.10, look: 0.04, label: 0.03, warmEar: 0.3,
			clampForPost: 0.03, paint: 0.02, leadsChanged: 0.01, ampereSocket: 0.003, coarseRange: 0.01, forgotten: 0.02, peakHold: 0.04, clampZero: 0.08,
		},
		Missing: map[string]float64{
			"clamp": 0.35, "load_tester": 0.75, "charger": 0.1, "booster": 0.25, "helper": 0.25, "lamp": 0.2,
			"series_meter": 0.1, "millivolt_meter": 0.1, "hydrometer": 0.6, Thermometer: 0.5,
		},
		Blocked: map[string]float64{
			"starter_feed_stud": 0.35, "starter_motor_stud": 0.45, "starter_case": 0.15, "trigger_terminal": 0.4, "starter_lead": 0.4, "trigger_lead": 0.4,
			"relay_feed": 0.25, "relay_output": 0.25, "relay_coil_supply": 0.25, "relay_coil_earth": 0.25,
			"start_switch_input": 0.35, "start_switch_output": 0.3, "start_fuse": 0.05, "start_fuse_input": 0.05, "gear_switch_input": 0.4,
			"alternator_output": 0.2, "alternator_case": 0.1, "alternator_lead": 0.25, "crankshaft_bolt": 0.25, "engine_strap": 0.2,
		},
	}
}

// Thermometer is the equipment that no tree needs: a guess will do in its place.
const Thermometer = "thermometer"

// Person is one of them, at one job.
type Person struct {
	rng     *rand.Rand
	slips   map[string]float64
	lacks   map[string]bool
	blocked map[string]bool
	ear     vehicle.Ear
	looked  map[string][2]string // by reading: what was there, and what it was called
}

// Draw picks somebody. What a starter hides, it hides together: of two points in one
// place, the one that is harder to reach is blocked whenever the other is.
func (p *People) Draw(rng *rand.Rand) *Person {
	x := &Person{rng: rng, slips: p.Slips, lacks: map[string]bool{}, blocked: map[string]bool{}, looked: map[string][2]string{}}
	for _, tool := range slices.Sorted(maps.Keys(p.Missing)) {
		x.lacks[tool] = rng.Float64() < p.Missing[tool]
	}
	places := map[string]float64{}
	for _, point := range slices.Sorted(maps.Keys(p.Blocked)) {
		place, _, _ := strings.Cut(strings.Replace(point, "trigger", "starter", 1), "_")
		if _, known := places[place]; !known {
			places[place] = rng.Float64()
		}
		x.blocked[point] = places[place] < p.Blocked[point]
	}
	if p.Slips[misheard] > 0 {
		x.ear.Dull = earSpread * rng.NormFloat64()
	}
	if x.slip(warmEar) {
		x.ear.Warm = 0.3 + 0.7*rng.Float64()
	}
	return x
}

// earSpread is how far people differ in what they call slow, as a share of the speed.
// Modelling choice.
const earSpread = 0.04

// Kit is what of some equipment is at hand, never nil.
func (p *Person) Kit(equipment []string) []string {
	return slices.DeleteFunc(append([]string{}, equipment...), func(tool string) bool { return p.lacks[tool] })
}

// slip is true in the share of times that a slip happens.
func (p *Person) slip(kind string) bool {
	share := p.slips[kind]
	return share > 0 && p.rng.Float64() < share
}

// cannot reports whether a reading is out of reach, or wants what is not there.
func (p *Person) cannot(r *engine.Reading) bool {
	return p.blocked[r.Red] || p.blocked[r.Black] || p.blocked[r.Clamp] || p.blocked[r.Sees] ||
		slices.ContainsFunc(r.Needs, func(tool string) bool { return p.lacks[tool] })
}

// alike are answers that people take for one another; nobody calls a tight clamp loose.
var alike = []struct {
	slip     string
	readings []string
	answers  []string
}{
	{misheard, []string{"engine_turned"}, []string{"one clunk", "jerked once", "silence lamps fade"}},
	{misheard, []string{"engine_turned"}, []string{"rattle", "one clunk"}},
	{misheard, []string{"engine_turned"}, []string{"starter spins alone", "too easily", "grinds"}},
	{misheard, []string{"engine_turned"}, []string{"kicked back", "jerked once"}},
	{lamps, []string{"engine_turned"}, []string{"silence lamps bright", "silence lamps fade"}},
	{customer, []string{"complaint"}, []string{"silent lamps bright", "silent lamps die", "one clunk"}},
	{customer, []string{"complaint"}, []string{"groans slowly", "one clunk", "rattle", "turns no fire"}},
	{customer, []string{"complaint"}, []string{"whirrs only", "spins too easily", "grinds"}},
	{customer, []string{"complaint"}, []string{"turns no fire", "fires and dies"}},
	{customer, []string{"complaint"}, []string{"after standing", "hot or damp only", "fine after jump", "groans slowly"}},
	{customer, []string{"complaint"}, []string{"groans slowly", "slow in the cold"}},
	{customer, []string{"known_drain"}, []string{"yes", "no"}},
	{customer, []string{"found_on"}, []string{"owned up to", "nothing known"}},
	{customer, []string{"when_flat"}, []string{"overnight", "after standing", "once or not known"}},
	{customer, []string{"when_flat"}, []string{"on the road", "after short trips", "once or not known"}},
	{customer, []string{"charge_signs"}, []string{"charge lamp", "lamps follow the revs", "none"}},
	{customer, []string{"fails_when"}, []string{"shaken", "hot", "cold or after standing", "no pattern"}},
	{joint, []string{"positive_terminal", "negative_terminal"}, []string{"clean and tight", "corroded"}},
	{joint, []string{"positive_terminal", "negative_terminal"}, []string{"loose", "clean and tight"}},
	{look, []string{"start_look"}, []string{"immobiliser lamp on", "none"}},
	{look, []string{"charge_lamp"}, []string{"lights and goes out", "stays on", "never lights"}},
	{look, []string{"start_fuse"}, []string{"whole and live", "blown"}},
	{look, []string{"start_fuse"}, []string{"dead on both sides", "blown"}},
	{look, []string{"hand_turn_feel"}, []string{"freely", "stiff"}},
	{look, []string{"hand_turn_feel"}, []string{"stiff", "locked"}},
	{look, []string{"earth_lands"}, []string{"body", "engine", "both"}},
	{look, []string{"belt_look"}, []string{"sound", "loose or glazed"}},
	{look, []string{"boost_result"}, []string{"cranks normally", "still slow"}},
	{look, []string{"boost_result"}, []string{"clunk or jerk", "nothing"}},
	{look, []string{"jump_turned"}, []string{"turns well no fire", "slowly"}},
	{look, []string{"wiggle"}, []string{"positive joint", "negative joint", "main feed", "nothing"}},
	{look, []string{"collapse_read_at"}, []string{"on the posts", "on the clamps"}},
	{look, []string{"belt_noise", "bypass_helps", "relay_fitted"}, []string{"yes", "no"}},
	{label, []string{"chemistry"}, []string{"flooded", "efb"}},
	{label, []string{"chemistry"}, []string{"efb", "agm", "gel"}},
	{label, []string{"rating_standard"}, []string{"EN", "SAE", "DIN"}},
	{label, []string{"engine_class"}, []string{"small petrol", "medium petrol", "large petrol"}},
	{label, []string{"engine_class"}, []string{"small diesel", "large diesel"}},
	{label, []string{"battery_fitted"}, []string{"as asked", "smaller or lesser"}},
}

// calls gives what a thing is called that is so. A sound is heard anew each time; what
// was looked at and is still so is called the same again. What is dangerous is seen
// truly: a tree is not to blame for what it was not told.
func (p *Person) calls(r *engine.Reading, truth string) string {
	was, looked := p.looked[r.ID]
	if looked && was[0] == truth {
		return was[1]
	}
	said, heard := truth, false
	for _, a := range alike {
		if r.Hazard || a.slip == joint && truth == "clean and tight" || !slices.Contains(a.readings, r.ID) || !slices.Contains(a.answers, truth) {
			continue
		}
		heard = heard || a.slip == misheard || a.slip == lamps
		if said != truth || !p.slip(a.slip) {
			continue
		}
		others := slices.DeleteFunc(slices.Clone(a.answers), func(x string) bool {
			return x == truth || len(r.Choices) > 0 && !slices.Contains(r.Choices, x)
		})
		if len(others) > 0 {
			said = others[p.rng.IntN(len(others))]
		}
	}
	if !heard {
		p.looked[r.ID] = [2]string{truth, said}
	}
	return said
}

// misread gives what is read of a number on a label: another number stands beside it.
func (p *Person) misread(r *engine.Reading, x float64) float64 {
	if r.ID == "rating" && p.slip(label) {
		return math.Round(x*(0.6+0.6*p.rng.Float64())/10) * 10
	}
	return x
}

// places gives where the probes end up, and how the display is held.
func (p *Person) places(r *engine.Reading) (red, black, hold string) {
	red, black, hold = r.Red, r.Black, r.Hold
	if p.slip(clampForPost) {
		red, black = cmp.Or(clampOf[red], red), cmp.Or(clampOf[black], black)
	}
	// Alone, with nobody to watch the display, one leaves it to the meter more often.
	if hold == "plateau" && (p.slip(peakHold) || p.lacks["helper"] && p.slip(peakHold)) {
		hold = "highest"
		if r.Red == "battery_positive_post" && r.Black == "battery_negative_post" {
			hold = "lowest"
		}
	}
	return red, black, hold
}

// clampOf are the clamps that stand in for the posts.
var clampOf = map[string]string{"battery_positive_post": "battery_positive_clamp", "battery_negative_post": "battery_negative_clamp"}

// painted are the points that may be painted, or rusty.
var painted = map[string]bool{"starter_case": true, "engine_block": true, "body": true, "alternator_case": true}

// shown gives what is read of a voltage that the meter would show.
func (p *Person) shown(r *engine.Reading, x float64) float64 {
	switch {
	case (painted[r.Red] || painted[r.Black]) && p.slip(paint):
		x += 0.1 + 0.9*p.rng.Float64() // from memory
	case p.slip(ampereSocket):
		return 0 // and the meter's fuse is blown
	case p.slip(coarseRange):
		x = math.Round(10*x) / 10
	}
	if p.slip(leadsChanged) {
		x = -x
	}
	return x
}

// clamped gives what a clamp shows of a current: one that was not set to nought is out
// by one to five amperes on its wide range, and by hundredths on its fine one. Source:
// from memory.
func (p *Person) clamped(amps float64) float64 {
	if !p.slip(clampZero) {
		return amps
	}
	off := 1 + 4*p.rng.Float64()
	if math.Abs(amps) < fineAmps {
		off /= 50
	}
	if p.rng.Float64() < 0.5 {
		off = -off
	}
	return amps + off
}

// fineAmps is up to where a clamp's fine range is used, A. Modelling choice.
const fineAmps = 10

// guessed is a temperature without a thermometer: the air's, as known from the weather
// now. Of the night nobody thinks who is not asked.
func (p *Person) guessed(r *engine.Reading, v *vehicle.Vehicle) float64 {
	celsius, _ := v.Air()
	if r.ID != "battery_temp" {
		celsius += underBonnet
	}
	return math.Round(celsius + 2*p.rng.NormFloat64())
}

// guessOutBy is how far people think that such a guess may be out, and underBonnet how
// much warmer they take it to be there, K. Modelling choices.
const (
	guessOutBy  = 8
	underBonnet = 10
)

// Lacks reports whether somebody has not got a tool.
func (m *Mechanic) Lacks(tool string) bool { return m.person.lacks[tool] }
