package drill

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"deadflat/internal/source"
	"deadflat/internal/text"
	"deadflat/internal/vehicle"
)

// wordsOf takes a typed line apart. Commas, hyphens and full stops at the end of a
// word are how people write, and mean nothing.
func wordsOf(line string) []string {
	line = strings.ToLower(strings.ReplaceAll(line, ",", " "))
	var out []string
	for _, w := range strings.Fields(line) {
		if w = strings.TrimRight(w, ".:;!"); w != "" {
			out = append(out, w[:1]+strings.ReplaceAll(w[1:], "-", "_"))
		}
	}
	return out
}

// longestPhrase is how many words a name may have that is typed with blanks.
const longestPhrase = 5

// The battery's posts.
const (
	positivePost = "battery_positive_post"
	negativePost = "battery_negative_post"
)

// short are the marks on a battery, for its posts.
var short = map[string]string{"+": positivePost, "-": negativePost}

// phrase finds which word of a list the first of some typed words mean, and gives
// what is typed after it. A name may be typed with blanks, and cut short as long as
// it can be told from the others.
func phrase(args, list []string, what, kind string) (word string, rest []string, err error) {
	if len(args) == 0 {
		return "", nil, fmt.Errorf("%s is missing; \"words %s\" lists what there is", what, kind)
	}
	if post := short[args[0]]; slices.Contains(list, post) {
		return post, args[1:], nil
	}
	for _, fits := range []func(word, typed string) bool{strings.HasPrefix, inside} {
		for n := min(len(args), longestPhrase); n > 0; n-- {
			typed := strings.Join(args[:n], "_")
			if slices.Contains(list, typed) {
				return typed, args[n:], nil
			}
			var found []string
			for _, w := range list {
				if fits(w, typed) {
					found = append(found, w)
				}
			}
			switch w := stem(found); {
			case w != "":
				return w, args[n:], nil
			case len(found) > 1:
				return "", nil, fmt.Errorf("%q can be %s", typed, eitherOf(found))
			}
		}
	}
	return "", nil, fmt.Errorf("%q is no %s%s; \"words %s\" lists what there is", args[0], what, source.DidYouMean(strings.Join(args, "_"), list), kind)
}

// stem is the word that all of some words begin with, empty when none of them is.
func stem(words []string) string {
	for _, w := range words {
		if !slices.ContainsFunc(words, func(x string) bool { return !strings.HasPrefix(x, w) }) {
			return w
		}
	}
	return ""
}

// inside reports whether a typed word is one or more whole parts of a name.
func inside(word, typed string) bool { return strings.Contains("_"+word+"_", "_"+typed+"_") }

// eitherOf lists words of which one is meant, the first few of many.
func eitherOf(words []string) string {
	const most = 6
	if len(words) > most {
		words = append(slices.Clone(words[:most]), "others")
	}
	return text.List(words, "or")
}

// titled finds which finding is meant by some words of its title: the one that has all
// of them, in whatever order, and no others if there is such a one. It is empty when none
// has, or several that do not begin with the same.
func titled(typed string, known map[string]finding) string {
	alone := func(s string) []string { return wordsOf(strings.NewReplacer("-", " ", "_", " ").Replace(s)) }
	words := alone(typed)
	if len(words) < 2 {
		return "" // one word is too little to end a drill by
	}
	var found, whole []string
	for id, f := range known {
		has := alone(f.title)
		if !slices.ContainsFunc(words, func(w string) bool { return !slices.Contains(has, w) }) {
			found = append(found, id)
			if len(has) == len(words) {
				whole = append(whole, id)
			}
		}
	}
	if len(whole) > 0 {
		found = whole
	}
	slices.Sort(found)
	return stem(found)
}

// degrees is a temperature in whole ones; that of ice has no sign.
func degrees(celsius float64) string { return fmt.Sprintf("%.0f °C", math.Round(celsius)+0) }

// told is what is seen, heard or said, in words of people: the choices of the trees are
// short.
func told(choice string) string {
	if s := inWords[choice]; s != "" {
		return s
	}
	return choice
}

var inWords = map[string]string{
	"silence lamps bright": "silence, and the lamps stay bright", "silence lamps fade": "silence, and the lamps fade",
	"silent lamps bright": "nothing is heard, and the lamps stay bright", "silent lamps die": "nothing is heard, and the lamps die",
	"one clunk": "one clunk, and nothing more", "rattle": "it only rattles", "groans slowly": "it groans and turns slowly", "whirrs only": "it only whirrs",
	"spins too easily": "it spins too easily", "grinds": "it grinds", "kicks back": "it kicks back", "keeps running": "the starter keeps running", "turns no fire": "it turns and does not fire",
	"agm": "AGM", "efb": "EFB",
	"starts now": "it would not start, and now it does",
}

// ofSecondBattery begins the points that few vehicles have.
const ofSecondBattery = "second_"

// jumpPost is there where the battery is not under the bonnet.
const jumpPost = "jump_post"

// points are the places for a probe on this vehicle.
func (b *bay) points() []string {
	p := b.v.Params()
	return slices.DeleteFunc(vehicle.Points(), func(point string) bool {
		return b.v.Has(point) != nil || !p.Second.Fitted && strings.HasPrefix(point, ofSecondBattery) || !p.Rear && point == jumpPost
	})
}

// pointsHere are the points of the drill's vehicle, or of the question's.
func (d *Drill) pointsHere() []string {
	if d.bay == nil {
		return d.open().bay.points()
	}
	return d.bay.points()
}

// leads are the places for a clamp, on every vehicle.
func leads() []string {
	var any vehicle.Vehicle
	return slices.DeleteFunc(vehicle.Points(), func(p string) bool { return any.HasLead(p) != nil })
}

// states are the states of a vehicle in the order in which they are told: what each is
// of, and its words, the one for nothing switched on first.
var states = []state{
	{"key", []string{"key_off", "key_on", "key_start"}},
	{"doors", []string{"closed", "open"}},
	{"loads", []string{"loads_off", "small_loads", "heavy_loads"}},
	{"engine", []string{"still", "cranking", "running", "idling", "revving"}},
	{"charger", []string{"charger_off", "charger_on"}},
}

type state struct {
	kind  string
	words []string
}

func (s *state) off() string { return s.words[0] }

// on is the word for a state in which something is switched on; empty where nothing is. A
// cranking engine says enough of the key.
func (s *state) on(all map[string]string) string {
	if w := all[s.kind]; w != s.off() && (s.kind != "key" || w != "key_start" || all["engine"] != "cranking") {
		return w
	}
	return ""
}

// holds are the words for how a display is read.
var holds = []string{"settled", "plateau", "lowest", "highest", "first", "ripple"}

func stateOf(word string) string {
	i := slices.IndexFunc(states, func(s state) bool { return slices.Contains(s.words, word) })
	return states[i].kind
}

// stateWords lists all words of states, and the holds.
func stateWords() []string {
	var all []string
	for _, s := range states {
		all = append(all, s.words...)
	}
	return append(all, holds...)
}

// toldState says a state in words, leaving out what is at rest unless all of it is.
func toldState(all map[string]string) string {
	var out []string
	for _, s := range states {
		if w := s.on(all); w != "" {
			out = append(out, stateText[w])
		}
	}
	if len(out) == 0 {
		return "everything off"
	}
	return strings.Join(out, ", ")
}

// stateText are states as people say them.
var stateText = map[string]string{
	"key_on": "ignition on", "key_start": "key held in start", "open": "a door open", "small_loads": "small loads on", "heavy_loads": "heavy loads on",
	"cranking": "cranking", "running": "engine running", "idling": "engine idling", "revving": "engine at 2,000 rpm", "charger_on": "charger on",
}
