package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// The slow charge of an army manual stands beside the tenth, for the low end.
var (
	chargeShare = figure("share of the 20-hour capacity that is charged in an hour", unit.Exactly(0.1), "1", practiced(seenTwice))
	slowSmall   = figure("overnight current up to 80 min of reserve capacity", unit.Exactly(3), "A", slowRule)
	slowLarge   = figure("overnight current over 80 to 125 min of reserve capacity", unit.Exactly(5), "A", slowRule)
	slowBreak   = figure("reserve capacity between the two", unit.Exactly(80), "min", slowRule)
	slowEnd     = figure("reserve capacity up to which they hold", unit.Exactly(125), "min", slowRule)
	perPlate    = figure("slow charge for each positive plate of a cell", unit.Exactly(1), "A", slowRule)
	slowRule    = source("TM 5-4210-230-14&P-1, charging", seen)
)

var chargingCurrentFunction = &calc.Function{
	Name: "charging_current", Title: "Current to charge with", Topic: topicCharging, Unit: unit.Must("A"),
	Doc:     "A tenth of the ampere-hours is usual; less takes longer and is gentler. Never on a battery that is frozen, bulged, cracked or leaking.",
	Params:  []calc.Param{number("capacity", capacity, "20-hour capacity")},
	Formula: "current = capacity / 10 h", Source: chargeShare.Source,
	Figures: []calc.Figure{chargeShare, slowSmall, slowLarge, slowBreak, slowEnd},
	Work: func(a calc.Args) (calc.Result, error) {
		ah := a.Num("capacity")
		all := []calc.Opinion{opinion("a tenth of the capacity", ah.Times(chargeShare.Range.Best), chargeShare.Source)}
		minutes := reserveFromCapacity(ah, flooded).opinions[0].Range
		if minutes.Lo <= slowBreak.Range.Best {
			all = append(all, opinionsOf(slowSmall)...)
		}
		if minutes.Hi > slowBreak.Range.Best && minutes.Lo <= slowEnd.Range.Best {
			all = append(all, opinionsOf(slowLarge)...)
		}
		return sourced("current", "charging current", "A", agree(all...), 1), nil
	},
}

var platesOfCell = &calc.Quantity{Title: "plates of a cell", Unit: "1", Lo: 3, Hi: 51}

var slowChargeFunction = &calc.Function{
	Name: "slow_charge", Title: "Slow charge by the plates of a cell", Topic: topicCharging,
	Doc:     "For an old battery whose plates can be counted and whose capacity nobody knows.",
	Params:  []calc.Param{number("plates", platesOfCell, "plates in one cell, positive and negative together")},
	Formula: "current = 1 A * (plates - 1) / 2", Source: perPlate.Source, Figures: []calc.Figure{perPlate},
	Work: func(a calc.Args) (calc.Result, error) {
		r := a.Num("plates")
		plates := int(r.Best)
		if r != unit.Exactly(float64(plates)) {
			return calc.Result{}, calc.Impossiblef("plates are counted: give a whole number")
		}
		if plates%2 == 0 {
			return calc.Result{}, calc.Impossiblef("a cell has one negative plate more than positive ones, so %d plates cannot be", plates)
		}
		return single("current", "slow charge", "A", unit.Exactly(float64(plates/2)*perPlate.Range.Best), 0), nil
	},
}
