package leadacid

import (
	"math"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// A charge has two stages. While the charger gives all it can, the current
// stands still and the voltage climbs. From the moment the battery takes less
// than that, the voltage stands still and the current dies away, in proportion to
// the charge still missing. Most of the time of a full charge is in the second.

var (
	acceptance  = figure("current that a battery takes at its charging voltage, for each Ah still missing", span(0.5, 0.8, 1.0), "1", ownChoice)
	ahShare     = figure("share of the ampere-hours that stay in, AGM and gel", unit.Exactly(0.95), "1", fromMemory)
	ahShareWet  = figure("share of the ampere-hours that stay in, flooded and EFB", span(0.85, 0.95, 0.95), "1", fromMemory)
	ruleFactor  = figure("ampere-hours to put in for each one missing", span(1.1, 1.25, 1.6), "1", practiced(seenTwice))
	chargeGoal  = &calc.Quantity{Title: "charge wanted", Unit: "%", Lo: 0, Hi: 98, Over: "the last two per cent have no end in this reckoning"}
	setCurrent  = &calc.Quantity{Title: "the charger's current", Unit: "A", Lo: 0.1, Hi: 200}
	chargeHours = &calc.Quantity{Title: "hours on charge", Unit: "h", Lo: 0, Hi: 500}
)

var chargingTimeFunction = &calc.Function{
	Name: "charging_time", Title: "Time to charge", Topic: topicCharging,
	Doc: "In two stages: all the charger can give, then what the battery still takes. At about 25 °C and for a battery that is not sulphated.",
	Params: []calc.Param{
		number("capacity", capacity, "20-hour capacity"),
		number("from", stateOfCharge, "state of charge at the beginning"),
		assuming(number("to", chargeGoal, "state of charge wanted"), unit.Exactly(95)),
		number("current", setCurrent, "what the charger gives"),
		chemistryParam,
	},
	Formula: "steady = capacity * (s1 - from) / (share * current); taper = ln((1 - s1) / (1 - to)) / acceptance; 1 - s1 = current / (acceptance * capacity)",
	Source:  derived, Figures: []calc.Figure{acceptance, ahShare, ahShareWet, ruleFactor},
	Work: func(a calc.Args) (calc.Result, error) {
		ah, from, to, current := a.Num("capacity"), a.Num("from"), a.Num("to"), a.Num("current")
		if to.Lo <= from.Hi {
			return calc.Result{}, calc.Impossiblef("from %s to %s there may be nothing to charge: the charge wanted must be the greater one", calc.Show(from.Hi, "%"), calc.Show(to.Lo, "%"))
		}
		share := ahShareWet.Range
		if c := a.Word("chemistry"); c == agm || c == gel {
			share = ahShare.Range
		}
		steady := unit.Over(func(x []float64) float64 {
			ah, from, to, amps, share, take := x[0], x[1]/100, x[2]/100, x[3], x[4], x[5]
			end := math.Min(1-amps/(take*ah), to)
			return math.Max(0, ah*(end-from)/(share*amps))
		}, ah, from, to, current, share, acceptance.Range)
		taper := unit.Over(func(x []float64) float64 {
			ah, from, to, amps, take := x[0], x[1]/100, x[2]/100, x[3], x[4]
			missing := math.Min(amps/(take*ah), 1-from)
			return math.Max(0, math.Log(missing/(1-to))/take)
		}, ah, from, to, current, acceptance.Range)
		rule := unit.Over(func(x []float64) float64 {
			return x[4] * x[0] * (x[2] - x[1]) / 100 / x[3]
		}, ah, from, to, current, ruleFactor.Range)
		return calc.Result{Values: []calc.Value{
			value("total", "in all", "h", steady.Plus(taper), 1),
			value("steady", "at the charger's full current", "h", steady, 1),
			value("taper", "while the current dies away", "h", taper, 1),
			value("rule", "by the rule of 1.25", "h", rule, 1),
		}}, nil
	},
}
