package leadacid

import "math"

// A charge has two stages. While the charger gives all it can, the current
// stands still and the voltage climbs. From the moment the battery takes less
// than that, the voltage stands still and the current dies away, in proportion to
// the charge still missing. Most of the time of a full charge is in the second.

var (
	acceptance  = Figure{"current that a battery takes at its charging voltage, for each Ah still missing", Range{0.5, 0.8, 1.0}, "1", ownChoice}
	ahShare     = Figure{"share of the ampere-hours that stay in, AGM and gel", Exactly(0.95), "1", fromMemory}
	ahShareWet  = Figure{"share of the ampere-hours that stay in, flooded and EFB", Range{0.85, 0.95, 0.95}, "1", fromMemory}
	ruleFactor  = Figure{"ampere-hours to put in for each one missing", Range{1.1, 1.25, 1.6}, "1", practiced(SeenTwice)}
	chargeGoal  = quantity{title: "charge wanted", unit: "%", lo: 0, hi: 98, over: "the last two per cent have no end in this reckoning"}
	setCurrent  = quantity{title: "the charger's current", unit: "A", lo: 0.1, hi: 200}
	chargeHours = quantity{title: "hours on charge", unit: "h", lo: 0, hi: 500}
)

// ChargeTime is how long a charge takes, in h.
type ChargeTime struct{ Steady, Taper, Total Range }

// ChargingTime is the time to charge a battery of that 20-hour capacity (Ah, 1 to
// 300) from one state of charge to another (%, 0 to 98) with a charger of that
// current (A, 0.1 to 200), in its two stages, at about 25 °C. A cold battery takes
// far longer, a sulphated one may never end.
//
// A goal at or below the beginning is Impossible.
//
//	steady = capacity * (s1 - from) / (share * current), with 1 - s1 = current / (acceptance * capacity)
//	taper  = ln((1 - s1) / (1 - to)) / acceptance
//
// Source: worked out from an exponential acceptance of charge; its constant is
// this program's own choice, the share that stays in is from memory.
func ChargingTime(ah, from, to, current Range, c Chemistry) (ChargeTime, error) {
	if _, err := c.kinds(); err != nil {
		return ChargeTime{}, err
	}
	if err := checkGoal(from, to); err != nil {
		return ChargeTime{}, err
	}
	if err := check(capacity.is(ah), chargeGoal.is(to), setCurrent.is(current)); err != nil {
		return ChargeTime{}, err
	}
	share := ahShareWet.Range
	if c == AGM || c == Gel {
		share = ahShare.Range
	}
	steady := Over(func(x []float64) float64 {
		ah, from, to, amps, share, take := x[0], x[1]/100, x[2]/100, x[3], x[4], x[5]
		end := math.Min(1-amps/(take*ah), to)
		return math.Max(0, ah*(end-from)/(share*amps))
	}, ah, from, to, current, share, acceptance.Range)
	taper := Over(func(x []float64) float64 {
		ah, from, to, amps, take := x[0], x[1]/100, x[2]/100, x[3], x[4]
		missing := math.Min(amps/(take*ah), 1-from)
		return math.Max(0, math.Log(missing/(1-to))/take)
	}, ah, from, to, current, acceptance.Range)
	total := Range{steady.Lo + taper.Lo, steady.Best + taper.Best, steady.Hi + taper.Hi}
	return ChargeTime{steady, taper, total}, nil
}

func checkGoal(from, to Range) error {
	if err := check(stateOfCharge.is(from), quantity{title: "charge wanted", unit: "%", hi: 100}.is(to)); err != nil {
		return err
	}
	if to.Lo <= from.Hi {
		return impossible("from %s to %s there may be nothing to charge: the charge wanted must be the greater one", show(from.Hi, "%"), show(to.Lo, "%"))
	}
	return nil
}

// ChargingTimeRule is the trade's rule for the same, in h: the ampere-hours
// missing, times 1.25 (1.1 to 1.6 in print), over the current. It goes up to
// 100 %.
//
// Source: common practice, no source.
func ChargingTimeRule(ah, from, to, current Range) (Range, error) {
	if err := checkGoal(from, to); err != nil {
		return Range{}, err
	}
	if err := check(capacity.is(ah), setCurrent.is(current)); err != nil {
		return Range{}, err
	}
	return Over(func(x []float64) float64 {
		return x[4] * x[0] * (x[2] - x[1]) / 100 / x[3]
	}, ah, from, to, current, ruleFactor.Range), nil
}

var chargingTimeFunction = &Function{
	Name: "charging_time", Title: "Time to charge", Topic: topicCharging,
	Doc: "In two stages: all the charger can give, then what the battery still takes. At about 25 °C and for a battery that is not sulphated.",
	Params: []Param{
		number("capacity", capacity, "20-hour capacity"),
		number("from", stateOfCharge, "state of charge at the beginning"),
		assuming(number("to", chargeGoal, "state of charge wanted"), Exactly(95)),
		number("current", setCurrent, "what the charger gives"),
		chemistryParam,
	},
	Formula: "steady = capacity * (s1 - from) / (share * current); taper = ln((1 - s1) / (1 - to)) / acceptance; 1 - s1 = current / (acceptance * capacity)",
	Source:  derived, Figures: []Figure{acceptance, ahShare, ahShareWet, ruleFactor},
	work: func(a Args) (Result, error) {
		ah, from, to, current := a.num("capacity"), a.num("from"), a.num("to"), a.num("current")
		t, err := ChargingTime(ah, from, to, current, Chemistry(a.word("chemistry")))
		if err != nil {
			return Result{}, err
		}
		rule, err := ChargingTimeRule(ah, from, to, current)
		if err != nil {
			return Result{}, err
		}
		return Result{Values: []Value{
			{"total", "in all", "h", t.Total, 1},
			{"steady", "at the charger's full current", "h", t.Steady, 1},
			{"taper", "while the current dies away", "h", t.Taper, 1},
			{"rule", "by the rule of 1.25", "h", rule, 1},
		}}, nil
	},
}
