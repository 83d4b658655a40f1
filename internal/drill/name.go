package drill

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/mechanic"
	"deadflat/internal/text"
	"deadflat/internal/vehicle"
)

// askName shows what the meter shows at a step of the tree's walk on a vehicle, and
// asks what that says. The tree's own words for its branches are the choices, and
// the branch that it takes is the answer.
func (d *Drill) askName(rng *rand.Rand) *Question {
	v := vehicle.Draw(rng, vehicle.Practice())
	visits, known := d.walked(v, rng)
	visits = slices.DeleteFunc(visits, func(x engine.Visit) bool { return !nameable(x) })
	if len(visits) == 0 {
		return nil
	}
	visit := visits[rng.IntN(len(visits))]
	right := visit.Explanation.Claim
	choices := claims(visit.Step, right)
	if len(choices) < 2 {
		return nil
	}
	rng.Shuffle(len(choices)-1, func(i, k int) { choices[i+1], choices[k+1] = choices[k+1], choices[i+1] })
	choices = choices[:min(len(choices), mostChoices)]
	rng.Shuffle(len(choices), func(i, k int) { choices[i], choices[k] = choices[k], choices[i] })
	q := &Question{Choices: choices, answer: answered(visit.Step.Title, right)}
	q.Text = append([]string{known, fmt.Sprintf("The step is %q.", visit.Step.Title)}, meterShows(visit)...)
	q.Text = append(q.Text, "What does that say?")
	q.judge = func(words []string) (bool, string, error) {
		at, err := choose(words, choices)
		if err != nil {
			return false, "", err
		}
		return choices[at] == right, strings.Join(because(visit.Explanation), " "), nil
	}
	return q
}

// title is a step's, without the mark of a question.
func title(st *engine.Step) string { return strings.TrimSuffix(st.Title, "?") }

// answered puts an answer behind a step's title, which may be a question.
func answered(title, right string) string {
	if strings.HasSuffix(title, "?") {
		return title + " " + right
	}
	return title + ": " + right
}

// mostChoices is how many choices a question has at most.
const mostChoices = 5

// walked walks the tree on a vehicle, to its first finding or as far as it goes, and
// gives the steps and what was known of the vehicle at the beginning.
func (d *Drill) walked(v *vehicle.Vehicle, rng *rand.Rand) ([]engine.Visit, string) {
	p := v.Params()
	v.PutInGear(false)
	w := engine.NewWalk(d.Tree, d.Meter, engine.Kit{})
	_, _ = mechanic.New(v, d.Meter, rng, begun).Walk(w, mostPrompts) // a walk that is stuck has steps as well
	return w.Record().Rounds[0].Steps, fmt.Sprintf("The engine is a %s, the battery is %s, the air is at %s.", p.Class, told(p.Battery.Chemistry.String()), degrees(p.Celsius))
}

// firm begins what an explanation says of a decision that is not close.
const firm = "It holds for everything"

// nameable reports whether a step decided on what a meter shows, and not closely.
func nameable(v engine.Visit) bool {
	x := v.Explanation
	if x == nil || x.Provisional || x.Claim == "" || !strings.HasPrefix(x.Sure, firm) {
		return false
	}
	return slices.ContainsFunc(v.Takes, metered)
}

// claims are the author's words for the branches of a step, the right one as it was
// said; those with names to be filled in are left out, and so are those that only
// say more or less of the same.
func claims(st *engine.Step, right string) []string {
	all := []string{right}
	for _, b := range st.Branches {
		if says := b.Say.Raw(); says != "" && !strings.Contains(says, "{") && !slices.ContainsFunc(all, func(x string) bool { return alike(x, says) }) {
			all = append(all, says)
		}
	}
	return all
}

// alike reports whether two claims begin alike, and so cannot be told apart by what
// was read.
func alike(a, b string) bool {
	a, b = strings.TrimRight(a, "."), strings.TrimRight(b, ".")
	return strings.HasPrefix(a, b) || strings.HasPrefix(b, a)
}

// meterShows are the readings of a step as they are taken.
func meterShows(v engine.Visit) []string {
	var out []string
	for _, t := range v.Takes {
		if kept(t.Reading) {
			out = append(out, line(v.Step, t, ""))
		}
	}
	return out
}

// line is a reading of a step as it is taken, or as how says that it was.
func line(st *engine.Step, t engine.Take, how string) string {
	if how == "" && metered(t) {
		how = placed(t.Reading)
		if st.Act == "half_rating_load" {
			how = strings.Replace(how, toldState(nil), "the load still on", 1)
		}
	}
	if how != "" {
		how = ", " + how
	}
	return strings.TrimSuffix(t.Reading.Ask, "?") + how + ": " + onDisplay(t)
}

// metered reports whether a reading is taken with probes or a clamp.
func metered(t engine.Take) bool { return t.Reading.Red != "" || t.Reading.Clamp != "" }

// placed says where and in which state a reading is taken.
func placed(r *engine.Reading) string {
	where := "clamp round the " + text.Spoken(r.Clamp)
	if r.Red != "" {
		where = fmt.Sprintf("red on the %s, black on the %s", text.Spoken(r.Red), text.Spoken(r.Black))
	}
	if len(r.Vehicle) > 0 {
		where += ", " + toldState(r.Vehicle)
	}
	if peak(r) {
		where += ", " + r.Hold + " hold"
	}
	return where
}

// because is the tree's explanation in short.
func because(x *engine.Explanation) []string {
	out := []string{x.Claim}
	for _, c := range x.Rules {
		if c.Limit != "" && strings.ContainsAny(c.Value, "0123456789") {
			out = append(out, fmt.Sprintf("%s: %s, %s %s.", text.Capital(c.Left), c.Value, c.Is, c.Limit))
		}
	}
	return out
}
