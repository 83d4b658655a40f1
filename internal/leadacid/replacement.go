package leadacid

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
)

// Battery is a battery by its label: the one that a vehicle asks for, or a
// candidate to replace it.
type Battery struct {
	Name      string
	Chemistry Chemistry
	Box       string // name of its case, such as LN3
	Layout    string // where the positive post is, seen from the side nearest the posts: right or left
	Post      string // standard or thin
	HoldDown  string // B00 to B14
	Capacity  float64
	Rating    float64
	Standard  Standard
}

// Judged is a candidate with what speaks for and against it.
type Judged struct {
	Battery Battery
	Fits    Verdict
	Checks  []Check
}

// Check is one thing a replacement has to be right in.
type Check struct {
	What string // "box", "rating"
	Fits Verdict
	Why  string
}

// moreCapacity is the capacity above that asked for which a vehicle bears without
// being told.
var moreCapacity = Figure{"capacity above that asked for without coding the vehicle", Exactly(0.15), "1", practiced(Practice)}

// ChooseReplacement judges each candidate against the battery that the vehicle
// asks for, the fitting ones first, then those of which it cannot be told, then
// the rest. It fits when box, layout, posts and hold-down are right, its capacity
// and rating are no less, and its type is no lesser one: flooded may be replaced
// by EFB or AGM, EFB by AGM, and gel only by gel. Ratings of different standards
// are not called unequal within their spread; then it cannot be told.
//
// A wanted battery whose type is unknown is Impossible: read the label first.
//
// Source: common practice, no source.
func ChooseReplacement(wanted Battery, candidates []Battery) ([]Judged, error) {
	if err := checkWanted(wanted); err != nil {
		return nil, err
	}
	var all []Judged
	for _, c := range candidates {
		all = append(all, judge(wanted, c))
	}
	slices.SortStableFunc(all, func(a, b Judged) int { return rank(wanted, a, b) })
	return all, nil
}

func checkWanted(w Battery) error {
	if _, err := w.Chemistry.kinds(); err != nil {
		return err
	}
	if w.Chemistry == Unsure {
		return impossible("the type of battery that the vehicle asks for is unknown: read the label or the vehicle's data first, since a lesser type must never be fitted")
	}
	if _, err := RatingTestOf(w.Standard); err != nil {
		return err
	}
	if _, ok := boxNamed(w.Box); !ok {
		return impossible("the box %q is unknown", w.Box)
	}
	for _, word := range []struct {
		what, got string
		known     []string
	}{{"hold-down", w.HoldDown, holdNames}, {"layout", w.Layout, layoutNames}, {"post", w.Post, postNames}} {
		if !slices.Contains(word.known, word.got) {
			return impossible("the %s %q is unknown: expected one of %s", word.what, word.got, strings.Join(word.known, ", "))
		}
	}
	return check(capacity.is(Exactly(w.Capacity)), ratingAmps.is(Exactly(w.Rating)))
}

func judge(wanted, c Battery) Judged {
	j := Judged{Battery: c, Fits: Yes, Checks: []Check{
		boxCheck(wanted, c),
		sameCheck("layout", wanted.Layout, c.Layout, "positive post on the %s"),
		sameCheck("posts", wanted.Post, c.Post, "%s posts"),
		holdCheck(wanted, c), capacityCheck(wanted, c), ratingCheck(wanted, c), typeCheck(wanted, c),
	}}
	for _, check := range j.Checks {
		if check.Fits == No || check.Fits == Open && j.Fits == Yes {
			j.Fits = check.Fits
		}
	}
	return j
}

func boxCheck(wanted, c Battery) Check {
	want, _ := boxNamed(wanted.Box)
	have, ok := boxNamed(c.Box)
	switch {
	case !ok:
		return Check{"box", Open, fmt.Sprintf("box %s is unknown here: measure it against %s", c.Box, want)}
	case have.name != want.name:
		return Check{"box", No, fmt.Sprintf("box %s does not go where %s belongs", have, want)}
	}
	return Check{"box", Yes, "box " + have.String()}
}

func sameCheck(what, want, have, format string) Check {
	if want != have {
		return Check{what, No, fmt.Sprintf(format+", not %s", have, want)}
	}
	return Check{what, Yes, fmt.Sprintf(format, have)}
}

func holdCheck(wanted, c Battery) Check {
	if !slices.Contains(holds[wanted.HoldDown], c.HoldDown) {
		return Check{"hold-down", No, fmt.Sprintf("hold-down %s does not hold in place of %s", c.HoldDown, wanted.HoldDown)}
	}
	return Check{"hold-down", Yes, "hold-down " + c.HoldDown}
}

func capacityCheck(wanted, c Battery) Check {
	have := fmt.Sprintf("%s for %s asked for", show(c.Capacity, "Ah"), show(wanted.Capacity, "Ah"))
	switch {
	case c.Capacity < wanted.Capacity:
		return Check{"capacity", No, "only " + have}
	case c.Capacity > wanted.Capacity*(1+moreCapacity.Range.Best):
		return Check{"capacity", Yes, have + ": more than 15 % over, so code the vehicle for it where it is coded"}
	}
	return Check{"capacity", Yes, have}
}

func ratingCheck(wanted, c Battery) Check {
	have := fmt.Sprintf("%s %s for %s %s asked for", show(c.Rating, "A"), strings.ToUpper(string(c.Standard)), show(wanted.Rating, "A"), strings.ToUpper(string(wanted.Standard)))
	o, err := CompareRatings(Exactly(wanted.Rating), wanted.Standard, Exactly(c.Rating), c.Standard)
	switch {
	case err != nil:
		return Check{"rating", Open, have + ": " + err.Error()}
	case o.SecondLess == Yes:
		return Check{"rating", No, "only " + have}
	case wanted.Standard == c.Standard || o.FirstLess == Yes:
		return Check{"rating", Yes, have}
	}
	return Check{"rating", Open, have + ": inside the spread of the conversion, so ask for its rating in " + strings.ToUpper(string(wanted.Standard))}
}

// mayReplace lists the types that may stand in for each. Source: common practice,
// no source.
var mayReplace = map[Chemistry][]Chemistry{
	Flooded: {Flooded, EFB, AGM}, EFB: {EFB, AGM}, AGM: {AGM}, Gel: {Gel},
}

func typeCheck(wanted, c Battery) Check {
	name := func(c Chemistry) string {
		if c == EFB || c == AGM {
			return strings.ToUpper(string(c))
		}
		return string(c)
	}
	switch {
	case wanted.Chemistry == c.Chemistry:
		return Check{"type", Yes, name(c.Chemistry)}
	case slices.Contains(mayReplace[wanted.Chemistry], c.Chemistry):
		return Check{"type", Yes, fmt.Sprintf("%s in place of %s: code the vehicle for it where it is coded", name(c.Chemistry), name(wanted.Chemistry))}
	case c.Chemistry == Gel || wanted.Chemistry == Gel:
		return Check{"type", No, fmt.Sprintf("%s in place of %s: gel needs its own, lower charging voltage", name(c.Chemistry), name(wanted.Chemistry))}
	}
	return Check{"type", No, fmt.Sprintf("%s is a lesser type than %s", name(c.Chemistry), name(wanted.Chemistry))}
}

// rank puts fitting candidates first, then the same type, then the least over
// what is asked for; of the others those with the fewest faults.
func rank(wanted Battery, a, b Judged) int {
	order := map[Verdict]int{Yes: 0, Open: 1, No: 2}
	key := func(j Judged) []float64 {
		faults := 0.0
		for _, c := range j.Checks {
			if c.Fits != Yes {
				faults++
			}
		}
		other := 0.0
		if j.Battery.Chemistry != wanted.Chemistry {
			other = 1
		}
		return []float64{float64(order[j.Fits]), faults, other, j.Battery.Capacity, j.Battery.Rating}
	}
	if c := slices.Compare(key(a), key(b)); c != 0 {
		return c
	}
	return strings.Compare(a.Battery.Name, b.Battery.Name)
}

// exampleList is a list of candidates for trying the choice out. Every battery in
// it is invented.
//
//go:embed replacements_example.csv
var exampleList string

var replacementFunctions = []*Function{{
	Name: "replacement", Title: "Which of a list of batteries may replace the one asked for", Topic: topicReplacement,
	Doc: "Go by what the vehicle asks for, not by what was fitted last. The list is a CSV file with the columns " + strings.Join(listColumns, ", ") + "; without one an invented list is used.",
	Params: []Param{
		{Name: "list", Doc: "CSV file of candidates", File: true, Optional: true, Assume: &Arg{Word: exampleList}},
		choice("chemistry", "type that the vehicle asks for", string(Flooded), string(EFB), string(AGM), string(Gel)),
		choice("box", "its case", boxNames...),
		choice("layout", "where the positive post is, seen from the side nearest the posts", layoutNames...),
		assumingWord(choice("post", "posts of the usual thickness, or the thin ones of small Japanese cases", postNames...), "standard"),
		choice("hold_down", "ledge or slots at its foot", holdNames...),
		number("capacity", capacity, "20-hour capacity asked for"),
		number("rating", ratingAmps, "cold-crank rating asked for"),
		choice("standard", "standard of that rating", standardNames...),
	},
	Formula: "each candidate is right in box, layout, posts, hold-down, capacity, rating and type, or says in what not",
	Source:  practiced(Practice), Figures: []Figure{moreCapacity, sameWithin},
	work: func(a Args) (Result, error) {
		candidates, err := ReadBatteries(a.word("list"))
		if err != nil {
			return Result{}, err
		}
		for _, label := range []string{"capacity", "rating"} {
			if r := a.num(label); r.Lo != r.Hi {
				return Result{}, impossible("the %s asked for is a number on a label: give it without a doubt", label)
			}
		}
		wanted := Battery{
			Chemistry: Chemistry(a.word("chemistry")), Box: a.word("box"), Layout: a.word("layout"), Post: a.word("post"), HoldDown: a.word("hold_down"),
			Capacity: a.num("capacity").Best, Rating: a.num("rating").Best, Standard: Standard(a.word("standard")),
		}
		all, err := ChooseReplacement(wanted, candidates)
		if err != nil {
			return Result{}, err
		}
		return Result{Candidates: all, Says: []string{replacementSays(all)}}, nil
	},
}}

func replacementSays(all []Judged) string {
	fits, open := 0, 0
	for _, j := range all {
		switch j.Fits {
		case Yes:
			fits++
		case Open:
			open++
		}
	}
	switch {
	case fits > 0:
		return fmt.Sprintf("%d of %d may be fitted, the nearest first. Measure the new one before fitting: 12.65 V or more at rest, and note its date code.", fits, len(all))
	case open > 0:
		return fmt.Sprintf("None of %d is certain to fit; of %d it cannot be told.", len(all), open)
	}
	return fmt.Sprintf("None of %d may be fitted.", len(all))
}
