package leadacid

// Path is a piece of the starting circuit over which a drop is measured.
type Path string

// The paths. Measure from the post, not from the clamp.
const (
	PositivePath Path = "positive_path"         // positive post to the starter's feed stud
	EarthPath    Path = "earth_path"            // starter case to negative post
	Joint        Path = "joint"                 // a post and its own clamp, or one lug
	Solenoid     Path = "solenoid"              // feed stud to motor stud, contact closed
	BothWindings Path = "control_both_windings" // positive post to trigger terminal, first moment: both windings draw
	HoldWinding  Path = "control_hold_winding"  // the same while the engine turns: only the hold winding draws
)

var pathNames = []string{string(PositivePath), string(EarthPath), string(Joint), string(Solenoid), string(BothWindings), string(HoldWinding)}

// perAmp is the one rule that goes with the current.
var perAmp = Figure{"allowed on any starter path for each 100 A", Exactly(0.2), "V", dropRule}

// fixedDrops is what is published as a plain number of volts for each path, the
// one to go by first.
var fixedDrops = map[Path][]Figure{
	PositivePath: {
		{"positive path, most texts", Range{0.3, 0.4, 0.5}, "V", practiced(SeenTwice)},
		{"positive path", Exactly(0.2), "V", Source{"TM 9-2320-211-20", Seen}},
	},
	EarthPath: {
		{"earth path, most texts", Range{0.2, 0.2, 0.5}, "V", practiced(SeenTwice)},
		{"earth path, the strictest", Exactly(0.1), "V", practiced(Seen)},
	},
	Joint: {
		{"one joint in order", Exactly(0.1), "V", practiced(Practice)},
		{"one joint at fault", Exactly(0.2), "V", practiced(Practice)},
	},
	Solenoid: {
		{"solenoid contact", Exactly(0.2), "V", Source{"TM 9-2320-211-20", Seen}},
		{"solenoid contact, the widest", Exactly(0.3), "V", practiced(Practice)},
	},
	BothWindings: {{"control circuit at 20 °C, both windings in", Exactly(1.0), "V", Source{"TM 5-2420-230-24-2, p. 13-33", Seen}}},
	HoldWinding:  {{"control circuit, hold winding alone", Range{0.2, 0.25, 0.3}, "V", practiced(Practice)}},
}

// AllowedDrop is the drop, in V, that a path may show. Up to the low end of the
// range every source calls it sound, over the high end every source calls it bad;
// between them clean the joints and measure again. For the positive and the earth
// path the cranking current (A, 0 to 3000) decides first, at 0.2 V for each
// 100 A; without a current (nil) only the fixed numbers are left, and a low drop
// then proves nothing. An unknown path is Impossible.
//
// Source: TM 10-3930-671-24, TM 9-2320-211-20, TM 5-2420-230-24-2, and common
// practice, no source.
func AllowedDrop(path Path, current *Range) (Agreed, error) {
	fixed, ok := fixedDrops[path]
	if !ok {
		return Agreed{}, impossible("the path %q is unknown", string(path))
	}
	var all []Opinion
	if current != nil && (path == PositivePath || path == EarthPath) {
		if err := check(starterCurrent.is(*current)); err != nil {
			return Agreed{}, err
		}
		all = append(all, Opinion{"0.2 V for each 100 A", Over(func(x []float64) float64 { return x[0] * perAmp.Range.Best / 100 }, *current), dropRule})
	}
	for _, f := range fixed {
		all = append(all, Opinion{f.Name, f.Range, f.Source})
	}
	return agree(all...), nil
}

// flowing is a current that can be divided by.
var flowing = quantity{title: "current", unit: "A", lo: 0.1, hi: 3000, under: "a drop without a current says nothing of the path"}

// DropPer100A is a drop (V, 0 to 18) at a current (A, 0.1 to 3000) as volts
// for each 100 A: for showing and comparing. To decide, compare the drop with
// what is allowed at that current.
//
// Source: Ohm's law.
func DropPer100A(drop, current Range) (Range, error) {
	if err := check(dropVoltage.is(drop), flowing.is(current)); err != nil {
		return Range{}, err
	}
	return Over(func(x []float64) float64 { return 100 * x[0] / x[1] }, drop, current), nil
}

// AddDrops is the sum of drops in a row (V, 0 to 18 each).
func AddDrops(drops ...Range) (Range, error) {
	var sum Range
	for _, d := range drops {
		if err := check(dropVoltage.is(d)); err != nil {
			return Range{}, err
		}
		sum = Range{sum.Lo + d.Lo, sum.Best + d.Best, sum.Hi + d.Hi}
	}
	return sum, nil
}

// separateCranks is how far the parts of the loop may miss the whole when each
// was read at another crank.
var separateCranks = Figure{"how far readings from separate cranks may miss the sum", Exactly(0.3), "V", practiced(Practice)}

// LoopGap is what the parts of the cranking loop leave of the voltage at the
// posts, in V: posts - (positive path + solenoid contact + motor + earth path),
// each in V. separate says that they were read at separate cranks, for which
// 0.3 V more is allowed.
//
// Parts that do not add up within the doubt are Impossible: a probe was misplaced.
//
// Source: Kirchhoff's voltage law; the 0.3 V is common practice, no source.
func LoopGap(posts, positive, solenoid, motor, earth Range, separate bool) (Range, error) {
	parts, err := AddDrops(positive, solenoid, motor, earth)
	if err == nil {
		err = check(postsVoltage.is(posts))
	}
	if err != nil {
		return Range{}, err
	}
	left := Range{posts.Lo - parts.Hi, posts.Best - parts.Best, posts.Hi - parts.Lo}
	allowed := 0.0
	if separate {
		allowed = separateCranks.Range.Best
	}
	// A hair, so that 11.3 - 11.0 is 0.3.
	const hair = 1e-9
	if left.Lo > allowed+hair || left.Hi < -allowed-hair {
		return Range{}, impossible("the parts of the loop come to %s and the posts to %s: they do not add up, so a probe was on the wrong point", show(parts.Best, "V"), show(posts.Best, "V"))
	}
	return left, nil
}

var dropFunctions = []*Function{allowedDropFunction, perHundredFunction, loopFunction, cableDropFunction}

var allowedDropFunction = &Function{
	Name: "allowed_drop", Title: "Drop that a path may show", Topic: topicDrop,
	Doc: "While cranking, from post to stud. No current, no verdict: a low drop clears a path only at a known current; a high one convicts at any.",
	Params: []Param{
		choice("path", "what is measured across", pathNames...),
		optional(number("current", starterCurrent, "cranking current at the time")),
		optional(number("drop", dropVoltage, "what was measured, to have it judged")),
	},
	Formula: "allowed = 0.2 V * current / 100 A on a whole path, and the fixed numbers of each path",
	Source:  dropRule, Figures: dropFigures(),
	work: func(a Args) (Result, error) {
		var current *Range
		if a.has("current") {
			i := a.num("current")
			current = &i
		}
		allowed, err := AllowedDrop(Path(a.word("path")), current)
		if err == nil && a.has("drop") {
			err = check(dropVoltage.is(a.num("drop")))
		}
		r, err := told("allowed_drop", "allowed drop", "V", 2, allowed, err)
		if err == nil && a.has("drop") {
			r.Says = []string{dropSays(a.num("drop"), allowed.Range)}
		}
		return r, err
	},
}

func dropSays(drop, allowed Range) string {
	switch {
	case drop.Lo > allowed.Hi:
		return "Over every published limit: this path is at fault. Split it and measure the parts."
	case drop.Hi <= allowed.Lo:
		return "Within every published limit."
	}
	return "Between the published limits, or too close to call: clean the joints and measure again."
}

func dropFigures() []Figure {
	all := []Figure{perAmp}
	for _, p := range pathNames {
		all = append(all, fixedDrops[Path(p)]...)
	}
	return all
}

var perHundredFunction = &Function{
	Name: "drop_per_100_amps", Title: "Drop for each 100 A", Topic: topicDrop,
	Doc: "For showing and comparing. Both paths high by the same factor means that the current is high, not that the cables are bad.",
	Params: []Param{
		number("drop", dropVoltage, "drop of the path"), number("current", flowing, "current at the time"),
	},
	Formula: "100 A * drop / current", Source: circuitLaw, Figures: []Figure{perAmp},
	work: func(a Args) (Result, error) {
		v, err := DropPer100A(a.num("drop"), a.num("current"))
		return one(Value{"per_100_amps", "for each 100 A", "V", v, 3}, err)
	},
}

var loopFunction = &Function{
	Name: "loop_sum", Title: "Whether the drops of the cranking loop add up", Topic: topicDrop,
	Doc: "Before any branch is taken on single drops: if the parts do not make the whole, a probe was misplaced.",
	Params: []Param{
		number("posts", postsVoltage, "at the posts while cranking"),
		number("positive_drop", dropVoltage, "positive post to feed stud"),
		number("solenoid_drop", dropVoltage, "feed stud to motor stud"),
		number("motor_voltage", dropVoltage, "motor stud to starter case"),
		number("earth_drop", dropVoltage, "starter case to negative post"),
		assumingWord(choice("cranks", "one crank with several meters, or a crank for each reading", "one", "separate"), "separate"),
	},
	Formula: "left = posts - (positive_drop + solenoid_drop + motor_voltage + earth_drop)",
	Source:  Source{"Kirchhoff's voltage law", Definition}, Figures: []Figure{separateCranks},
	work: func(a Args) (Result, error) {
		v, err := LoopGap(a.num("posts"), a.num("positive_drop"), a.num("solenoid_drop"), a.num("motor_voltage"), a.num("earth_drop"), a.word("cranks") == "separate")
		r, err := one(Value{"left", "left over", "V", v, 2}, err)
		if err == nil {
			r.Says = []string{"The parts add up within their doubt."}
		}
		return r, err
	},
}
