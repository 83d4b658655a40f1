package leadacid

import (
	"math"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

var (
	needWarm      = figure("charge at which a warm engine no longer starts (40 % gone)", unit.Exactly(60), "%", practiced(seen))
	needCold      = figure("charge at which a cold engine no longer starts", span(70, 75, 75), "%", derived)
	selfDischarge = figure("self-discharge of a day at 25 °C", span(0.1, 0.2, 0.3), "%", fromMemory)
	dailyLoss     = &calc.Quantity{Title: "self-discharge of a day", Unit: "%", Lo: 0, Hi: 5}
	neededCharge  = &calc.Quantity{Title: "charge that a start needs", Unit: "%", Lo: 0, Hi: 100}
)

var standingFunction = &calc.Function{
	Name: "days_until_no_start", Title: "Days until a standing vehicle no longer starts", Topic: topicDraw, Unit: unit.Must("d"),
	Doc: "From the draw and the state of charge. A cold engine needs more charge than a warm one, and an old battery holds less than its label.",
	Params: []calc.Param{
		number("capacity", capacity, "20-hour capacity"),
		number("draw", draw, "key-off draw"),
		assuming(number("state_of_charge", stateOfCharge, "charge now"), span(80, 90, 100)),
		assuming(number("needed", neededCharge, "charge that a start needs: 60 % warm, 75 % cold"), span(needWarm.Range.Lo, needWarm.Range.Best, needCold.Range.Hi)),
		assuming(number("self_discharge", dailyLoss, "self-discharge of a day"), selfDischarge.Range),
	},
	Formula: "days = capacity * (state_of_charge - needed) / (draw * 24 h + capacity * self_discharge)",
	Source:  derived, Figures: []calc.Figure{needWarm, needCold, selfDischarge},
	Work: func(a calc.Args) (calc.Result, error) {
		now, needed, draw, loss := a.Num("state_of_charge"), a.Num("needed"), a.Num("draw"), a.Num("self_discharge")
		if now.Lo <= needed.Hi {
			return calc.Result{}, calc.Impossiblef("at %s the battery may be below the %s that a start needs already", calc.Show(now.Lo, "%"), calc.Show(needed.Hi, "%"))
		}
		const least = 0.01 // mA and per cent of a day
		if draw.Lo < least && loss.Lo < least {
			return calc.Result{}, calc.Impossiblef("without a draw and without self-discharge it lasts for ever: give a draw of %s or more", calc.Show(least, "mA"))
		}
		days := unit.Over(func(x []float64) float64 {
			return x[0] * (x[1] - x[2]) / 100 / (x[3]*24/1000 + x[0]*x[4]/100)
		}, a.Num("capacity"), now, needed, draw, loss)
		r := single("days", "lasts", "d", days, 0)
		r.Says = []string{"Rely on the lesser number: " + calc.Show(math.Floor(days.Lo), "d") + "."}
		return r, nil
	},
}
