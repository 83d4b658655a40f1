package leadacid

// StarterSees is where the volts go while the starter turns.
type StarterSees struct {
	Posts   Range // V at the battery's posts
	Starter Range // V between the starter's feed stud and its case
}

// StarterVoltage is the voltage left at the posts and at the starter when a
// current (A, 0 to 3000) flows from a battery of that rest voltage (V, 0 to 18)
// and internal resistance, over the resistances of the positive and the earth
// path (all in mΩ, 0 or more).
//
// It is Impossible that more current flows than these resistances let through:
// the starter's voltage would be negative.
//
// Source: Ohm's law.
func StarterVoltage(rest, current, battery, positive, earth Range) (StarterSees, error) {
	err := check(restVoltage.is(rest), starterCurrent.is(current), resistance.is(battery), resistance.is(positive), resistance.is(earth))
	if err != nil {
		return StarterSees{}, err
	}
	posts := Over(func(x []float64) float64 { return x[0] - x[1]*x[2]/1000 }, rest, current, battery)
	starter := Over(func(x []float64) float64 { return x[0] - x[1]*(x[2]+x[3]+x[4])/1000 }, rest, current, battery, positive, earth)
	if starter.Best < 0 || starter.Hi < 0 {
		return StarterSees{}, impossible("%s cannot flow over these resistances from %s: it would leave %s at the starter", show(current.Best, "A"), show(rest.Best, "V"), show(starter.Best, "V"))
	}
	posts.Lo, starter.Lo = max(posts.Lo, 0), max(starter.Lo, 0)
	return StarterSees{posts, starter}, nil
}

var starterVoltageFunction = &Function{
	Name: "starter_voltage", Title: "Voltage that the starter sees", Topic: topicResistance,
	Doc: "What is left of the rest voltage after the battery's own resistance and both paths.",
	Params: []Param{
		number("rest_voltage", restVoltage, "at the posts, at rest"),
		number("current", starterCurrent, "cranking current"),
		number("battery_resistance", resistance, "internal resistance of the battery"),
		assuming(number("positive_resistance", resistance, "positive post to the starter's feed stud"), Exactly(0)),
		assuming(number("earth_resistance", resistance, "starter case to negative post"), Exactly(0)),
	},
	Formula: "posts = rest_voltage - current * battery_resistance; starter = posts - current * (positive_resistance + earth_resistance)",
	Source:  circuitLaw,
	work: func(a Args) (Result, error) {
		s, err := StarterVoltage(a.num("rest_voltage"), a.num("current"), a.num("battery_resistance"), a.num("positive_resistance"), a.num("earth_resistance"))
		if err != nil {
			return Result{}, err
		}
		return Result{Values: []Value{
			{"posts", "at the posts", "V", s.Posts, 2},
			{"starter", "at the starter", "V", s.Starter, 2},
		}}, nil
	},
}
