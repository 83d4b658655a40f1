package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

var starterVoltageFunction = &calc.Function{
	Name: "starter_voltage", Title: "Voltage that the starter sees", Topic: topicResistance,
	Doc: "What is left of the rest voltage after the battery's own resistance and both paths.",
	Params: []calc.Param{
		number("rest_voltage", restVoltage, "at the posts, at rest"),
		number("current", starterCurrent, "cranking current"),
		number("battery_resistance", resistance, "internal resistance of the battery"),
		assuming(number("positive_resistance", resistance, "positive post to the starter's feed stud"), unit.Exactly(0)),
		assuming(number("earth_resistance", resistance, "starter case to negative post"), unit.Exactly(0)),
	},
	Formula: "posts = rest_voltage - current * battery_resistance; starter = posts - current * (positive_resistance + earth_resistance)",
	Source:  circuitLaw,
	Work: func(a calc.Args) (calc.Result, error) {
		rest, current, battery := a.Num("rest_voltage"), a.Num("current"), a.Num("battery_resistance")
		posts := unit.Over(func(x []float64) float64 { return x[0] - x[1]*x[2]/1000 }, rest, current, battery)
		starter := unit.Over(func(x []float64) float64 { return x[0] - x[1]*(x[2]+x[3]+x[4])/1000 },
			rest, current, battery, a.Num("positive_resistance"), a.Num("earth_resistance"))
		if starter.Best < 0 || starter.Hi < 0 {
			return calc.Result{}, calc.Impossiblef("%s cannot flow over these resistances from %s: it would leave %s at the starter", calc.Show(current.Best, "A"), calc.Show(rest.Best, "V"), calc.Show(starter.Best, "V"))
		}
		posts.Lo, starter.Lo = max(posts.Lo, 0), max(starter.Lo, 0)
		return calc.Result{Values: []calc.Value{
			value("posts", "at the posts", "V", posts, 2),
			value("starter", "at the starter", "V", starter, 2),
		}}, nil
	},
}
