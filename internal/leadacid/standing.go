package leadacid

import "math"

// How long a vehicle may stand.
var (
	needWarm      = Figure{"charge at which a warm engine no longer starts (40 % gone)", Exactly(60), "%", practiced(Seen)}
	needCold      = Figure{"charge at which a cold engine no longer starts", Range{70, 75, 75}, "%", derived}
	selfDischarge = Figure{"self-discharge of a day at 25 °C", Range{0.1, 0.2, 0.3}, "%", fromMemory}
	dailyLoss     = quantity{title: "self-discharge of a day", unit: "%", lo: 0, hi: 5}
	neededCharge  = quantity{title: "charge that a start needs", unit: "%", lo: 0, hi: 100}
)

// DaysUntilNoStart is how many days a battery of that 20-hour capacity (Ah, 1 to
// 300) lasts from a state of charge now (%, 0 to 100) to the charge that a start
// needs (%, 0 to 100) under a key-off draw (mA, 0 to 20000) and a self-discharge
// of a day (%, 0 to 5).
//
//	days = capacity * (now - needed) / (draw * 24 h + capacity * loss)
//
// Where neither draw nor loss need be there, or where the battery may be below
// the needed charge already, it is Impossible to say.
//
// Source: worked out; the charge needed is common practice, no source.
func DaysUntilNoStart(ah, now, needed, standing, loss Range) (Range, error) {
	err := check(capacity.is(ah), stateOfCharge.is(now), neededCharge.is(needed), draw.is(standing), dailyLoss.is(loss))
	if err != nil {
		return Range{}, err
	}
	if now.Lo <= needed.Hi {
		return Range{}, impossible("at %s the battery may be below the %s that a start needs already", show(now.Lo, "%"), show(needed.Hi, "%"))
	}
	const least = 0.01 // mA and per cent of a day
	if standing.Lo < least && loss.Lo < least {
		return Range{}, impossible("without a draw and without self-discharge it lasts for ever: give a draw of %s or more", show(least, "mA"))
	}
	return Over(func(x []float64) float64 {
		return x[0] * (x[1] - x[2]) / 100 / (x[3]*24/1000 + x[0]*x[4]/100)
	}, ah, now, needed, standing, loss), nil
}

var standingFunction = &Function{
	Name: "days_until_no_start", Title: "Days until a standing vehicle no longer starts", Topic: topicDraw,
	Doc: "From the draw and the state of charge. A cold engine needs more charge than a warm one, and an old battery holds less than its label.",
	Params: []Param{
		number("capacity", capacity, "20-hour capacity"),
		number("draw", draw, "key-off draw"),
		assuming(number("state_of_charge", stateOfCharge, "charge now"), Range{80, 90, 100}),
		assuming(number("needed", neededCharge, "charge that a start needs: 60 % warm, 75 % cold"), Range{needWarm.Range.Lo, needWarm.Range.Best, needCold.Range.Hi}),
		assuming(number("self_discharge", dailyLoss, "self-discharge of a day"), selfDischarge.Range),
	},
	Formula: "days = capacity * (state_of_charge - needed) / (draw * 24 h + capacity * self_discharge)",
	Source:  derived, Figures: []Figure{needWarm, needCold, selfDischarge},
	work: func(a Args) (Result, error) {
		days, err := DaysUntilNoStart(a.num("capacity"), a.num("state_of_charge"), a.num("needed"), a.num("draw"), a.num("self_discharge"))
		r, err := one(Value{"days", "lasts", "d", days, 0}, err)
		if err == nil {
			r.Says = []string{"Rely on the lesser number: " + show(math.Floor(days.Lo), "d") + "."}
		}
		return r, err
	},
}
