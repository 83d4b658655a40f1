package leadacid

import (
	"cmp"
	_ "embed"
	"fmt"
	"slices"
	"strings"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// battery is a battery by its label: the one that a vehicle asks for, or a
// candidate to replace it.
type battery struct {
	name      string
	chemistry string
	box       string // name of its case, such as LN3
	layout    string // where the positive post is, seen from the side nearest the posts: right or left
	post      string // standard or thin
	holdDown  string // B00 to B14
	capacity  float64
	rating    float64
	standard  string
}

// moreCapacity is the capacity above that asked for which a vehicle bears without
// being told.
var moreCapacity = figure("capacity above that asked for without coding the vehicle", unit.Exactly(0.15), "1", practiced(practice))

// chooseReplacement judges each candidate against the battery that the vehicle
// asks for, the fitting ones first, then those of which it cannot be told, then
// the rest. It fits when box, layout, posts and hold-down are right, its capacity
// and rating are no less, and its type is no lesser one: flooded may be replaced
// by EFB or AGM, EFB by AGM, and gel only by gel. Ratings of different standards
// are not called unequal within their spread; then it cannot be told.
func chooseReplacement(wanted battery, candidates []battery) []calc.Candidate {
	type pair struct {
		battery
		calc.Candidate
	}
	var all []pair
	for _, c := range candidates {
		all = append(all, pair{c, judge(wanted, c)})
	}
	slices.SortStableFunc(all, func(a, b pair) int {
		return cmp.Or(slices.Compare(rank(wanted, a.battery, a.Candidate), rank(wanted, b.battery, b.Candidate)), strings.Compare(a.name, b.name))
	})
	var out []calc.Candidate
	for _, p := range all {
		out = append(out, p.Candidate)
	}
	return out
}

func judge(wanted, c battery) calc.Candidate {
	j := calc.Candidate{Name: c.name, Fits: unit.Yes, Checks: []calc.Check{
		boxCheck(wanted, c),
		sameCheck("layout", wanted.layout, c.layout, "positive post on the %s"),
		sameCheck("posts", wanted.post, c.post, "%s posts"),
		holdCheck(wanted, c), capacityCheck(wanted, c), ratingCheck(wanted, c), typeCheck(wanted, c),
	}}
	for _, check := range j.Checks {
		if check.Fits == unit.No || check.Fits == unit.Open && j.Fits == unit.Yes {
			j.Fits = check.Fits
		}
	}
	return j
}

func check(what string, fits unit.Verdict, format string, args ...any) calc.Check {
	return calc.Check{What: what, Fits: fits, Why: fmt.Sprintf(format, args...)}
}

func boxCheck(wanted, c battery) calc.Check {
	want, _ := boxNamed(wanted.box)
	have, ok := boxNamed(c.box)
	switch {
	case !ok:
		return check("box", unit.Open, "box %s is unknown here: measure it against %s", c.box, want)
	case have.name != want.name:
		return check("box", unit.No, "box %s does not go where %s belongs", have, want)
	}
	return check("box", unit.Yes, "box %s", have)
}

func sameCheck(what, want, have, format string) calc.Check {
	if want != have {
		return check(what, unit.No, format+", not %s", have, want)
	}
	return check(what, unit.Yes, format, have)
}

func holdCheck(wanted, c battery) calc.Check {
	if !slices.Contains(holds[wanted.holdDown], c.holdDown) {
		return check("hold-down", unit.No, "hold-down %s does not hold in place of %s", c.holdDown, wanted.holdDown)
	}
	return check("hold-down", unit.Yes, "hold-down %s", c.holdDown)
}

func capacityCheck(wanted, c battery) calc.Check {
	have := fmt.Sprintf("%s for %s asked for", calc.Show(c.capacity, "Ah"), calc.Show(wanted.capacity, "Ah"))
	switch {
	case c.capacity < wanted.capacity:
		return check("capacity", unit.No, "only %s", have)
	case c.capacity > wanted.capacity*(1+moreCapacity.Range.Best):
		return check("capacity", unit.Yes, "%s: more than 15 %% over, so code the vehicle for it where it is coded", have)
	}
	return check("capacity", unit.Yes, "%s", have)
}

func ratingCheck(wanted, c battery) calc.Check {
	have := fmt.Sprintf("%s %s for %s %s asked for", calc.Show(c.rating, "A"), strings.ToUpper(c.standard), calc.Show(wanted.rating, "A"), strings.ToUpper(wanted.standard))
	o, err := compareRatings(unit.Exactly(wanted.rating), wanted.standard, unit.Exactly(c.rating), c.standard)
	switch {
	case err != nil:
		return check("rating", unit.Open, "%s: %s", have, err)
	case o.secondLess == unit.Yes:
		return check("rating", unit.No, "only %s", have)
	case wanted.standard == c.standard || o.firstLess == unit.Yes:
		return check("rating", unit.Yes, "%s", have)
	}
	return check("rating", unit.Open, "%s: inside the spread of the conversion, so ask for its rating in %s", have, strings.ToUpper(wanted.standard))
}

// mayReplace lists the types that may stand in for each. Source: common practice,
// no source.
var mayReplace = map[string][]string{
	flooded: {flooded, efb, agm}, efb: {efb, agm}, agm: {agm}, gel: {gel},
}

func typeCheck(wanted, c battery) calc.Check {
	name := func(chemistry string) string {
		if chemistry == efb || chemistry == agm {
			return strings.ToUpper(chemistry)
		}
		return chemistry
	}
	have, want := name(c.chemistry), name(wanted.chemistry)
	switch {
	case wanted.chemistry == c.chemistry:
		return check("type", unit.Yes, "%s", have)
	case slices.Contains(mayReplace[wanted.chemistry], c.chemistry):
		return check("type", unit.Yes, "%s in place of %s: code the vehicle for it where it is coded", have, want)
	case c.chemistry == gel || wanted.chemistry == gel:
		return check("type", unit.No, "%s in place of %s: gel needs its own, lower charging voltage", have, want)
	}
	return check("type", unit.No, "%s is a lesser type than %s", have, want)
}

// rank puts fitting candidates first, then those with the fewest faults, then the
// same type, then the least over what is asked for.
func rank(wanted, c battery, j calc.Candidate) []float64 {
	fits := map[unit.Verdict]float64{unit.Yes: 0, unit.Open: 1, unit.No: 2}[j.Fits]
	faults, other := 0.0, 0.0
	for _, c := range j.Checks {
		if c.Fits != unit.Yes {
			faults++
		}
	}
	if c.chemistry != wanted.chemistry {
		other = 1
	}
	return []float64{fits, faults, other, c.capacity, c.rating}
}

// exampleList is a list of candidates for trying the choice out. Every battery in
// it is invented.
//
//go:embed replacements_example.csv
var exampleList string

var replacementFunctions = []*calc.Function{{
	Name: "replacement", Title: "Which of a list of batteries may replace the one asked for", Topic: topicReplacement,
	Doc: "Go by what the vehicle asks for, not by what was fitted last. The list is a CSV file with the columns " + strings.Join(listColumns, ", ") + "; without one an invented list is used.",
	Params: []calc.Param{
		assumingWord(calc.Param{Name: "list", Doc: "CSV file of candidates", File: true}, exampleList),
		words("chemistry", "type that the vehicle asks for", kinds(unsure)...),
		words("box", "its case", boxNames...),
		words("layout", "where the positive post is, seen from the side nearest the posts", layoutNames...),
		assumingWord(words("post", "posts of the usual thickness, or the thin ones of small Japanese cases", postNames...), "standard"),
		words("hold_down", "ledge or slots at its foot", holdNames...),
		number("capacity", capacity, "20-hour capacity asked for"),
		number("rating", ratingAmps, "cold-crank rating asked for"),
		standardParam("standard", "standard of that rating"),
	},
	Formula: "each candidate is right in box, layout, posts, hold-down, capacity, rating and type, or says in what not",
	Source:  practiced(practice), Figures: []calc.Figure{moreCapacity, sameWithin},
	Work: func(a calc.Args) (calc.Result, error) {
		candidates, err := readBatteries(a.Word("list"))
		if err != nil {
			return calc.Result{}, err
		}
		for _, label := range []string{"capacity", "rating"} {
			if r := a.Num(label); r.Lo != r.Hi {
				return calc.Result{}, calc.Impossiblef("the %s asked for is a number on a label: give it without a doubt", label)
			}
		}
		all := chooseReplacement(battery{
			chemistry: a.Word("chemistry"), box: a.Word("box"), layout: a.Word("layout"), post: a.Word("post"), holdDown: a.Word("hold_down"),
			capacity: a.Num("capacity").Best, rating: a.Num("rating").Best, standard: a.Word("standard"),
		}, candidates)
		return calc.Result{Candidates: all, Says: []string{replacementSays(all)}}, nil
	},
}}

func replacementSays(all []calc.Candidate) string {
	count := map[unit.Verdict]int{}
	for _, c := range all {
		count[c.Fits]++
	}
	switch {
	case count[unit.Yes] > 0:
		return fmt.Sprintf("%d of %d may be fitted, the nearest first. Measure the new one before fitting: 12.65 V or more at rest, and note its date code.", count[unit.Yes], len(all))
	case count[unit.Open] > 0:
		return fmt.Sprintf("None of %d is certain to fit; of %d it cannot be told.", len(all), count[unit.Open])
	}
	return fmt.Sprintf("None of %d may be fitted.", len(all))
}
