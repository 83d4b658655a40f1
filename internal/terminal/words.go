package terminal

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
	"deadflat/internal/unit"
)

// each is one text for each of a list.
func each[T any](list []T, as func(T) string) []string {
	out := make([]string, len(list))
	for i, x := range list {
		out[i] = as(x)
	}
	return out
}

func spokenAll(words []string) string { return strings.Join(each(words, text.Spoken), ", ") }

// echoed is how much of a typed line is said back.
const echoed = 40

// short cuts what was typed to a length that can be said back.
func short(typed string) string { return text.Shorten(text.Clean(typed), echoed) }

// probes says where the meter goes and what it is set to. A reading that is
// looked at or asked gives "".
func probes(r *engine.Reading) string {
	var s string
	switch {
	case r.Clamp != "" && r.Meter == "amps_dc":
		s = "in the " + text.Spoken(r.Clamp)
	case r.Clamp != "":
		s = "clamp round the " + text.Spoken(r.Clamp)
	case r.Red != "" && r.Black != "":
		s = fmt.Sprintf("red on the %s; black on the %s", text.Spoken(r.Red), text.Spoken(r.Black))
	case r.Red != "":
		s = "red on the " + text.Spoken(r.Red)
	}
	on, known := functions[r.Meter]
	if !known {
		on = text.Spoken(r.Meter)
	}
	if s != "" && on != "" {
		s += "; "
	}
	return text.Sentence(s + on)
}

// functions are the meter's, as it is set to them.
var functions = map[string]string{
	"volts_dc":   "meter on DC volts",
	"volts_ac":   "meter on AC volts",
	"amps_clamp": "clamp meter on DC amperes, zeroed first",
	"amps_dc":    "meter in series on DC amperes",
	"ohms":       "meter on ohms, nothing live",
	"none":       "",
}

// held says which figure of a moving display is wanted.
func held(hold string) string {
	if at, ok := strings.CutPrefix(hold, "at: "); ok {
		return "the figure at " + at
	}
	return cmp.Or(holds[hold], text.Spoken(hold))
}

var holds = map[string]string{
	"settled": "the figure once the display has settled",
	"plateau": "the figure the display keeps returning to; leave out the first second",
	"lowest":  "the lowest figure the meter held",
	"highest": "the highest figure the meter held",
	"ripple":  "the AC figure",
	"first":   "the first steady figure",
}

// vehicle says what state the vehicle must be in: "key off, doors closed".
func vehicle(states map[string]string) string {
	return strings.Join(each(slices.Sorted(maps.Keys(states)), func(key string) string {
		return inState(text.Spoken(key), text.Spoken(states[key]))
	}), ", ")
}

// inState joins a thing and its state, and says once what the end of the one and the
// beginning of the other both say: "wiper switch" and "switch on".
func inState(thing, state string) string {
	if strings.Contains(state, thing) {
		return state
	}
	words := strings.Fields(thing)
	for i := range words {
		if strings.HasPrefix(state, strings.Join(words[i:], " ")+" ") {
			words = words[:i]
			break
		}
	}
	return strings.Join(append(words, state), " ")
}

// asks is the question with its unit and the word it can be typed under.
func asks(r *engine.Reading) string {
	s := r.Ask
	if r.Number() && r.Unit.Name != "1" {
		s += ", in " + r.Unit.Name
	}
	if r.Short != "" && r.Short != r.Ask {
		s += " (" + r.Short + ")"
	}
	return s
}

// inOneList joins titles after a label, all with a small letter; "" for none.
func inOneList(titles []string) string {
	if len(titles) == 0 {
		return ""
	}
	return strings.Join(each(titles, text.Lower), "; ") + "."
}

func titles(findings []*engine.Finding) []string {
	return each(findings, func(f *engine.Finding) string { return f.Title })
}

// given is an answer as it was meant: "24.80 V", "corroded".
func given(a *engine.Answer) string {
	u, known := unit.Lookup(a.Unit)
	switch {
	case a.Unsure:
		return "not sure"
	case len(a.Choice) > 0:
		return strings.Join(a.Choice, " or ")
	case !known:
		return a.Typed
	}
	s := unit.Format(u.Base(a.Value), u, -1)
	if full := unit.Format(u.Base(a.Value), u, 2); u.Name == "V" && len(full) > len(s) {
		return full // as a meter shows it
	}
	return s
}
