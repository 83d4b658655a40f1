package leadacid

// The figures of a charging current.
var (
	chargeShare = Figure{"share of the 20-hour capacity that is charged in an hour", Exactly(0.1), "1", practiced(SeenTwice)}
	// The slow charge of an army manual, for the low end: 3 A up to 80 min of
	// reserve capacity, 5 A up to 125 min.
	slowSmall = Figure{"overnight current up to 80 min of reserve capacity", Exactly(3), "A", Source{"TM 5-4210-230-14&P-1, charging", Seen}}
	slowLarge = Figure{"overnight current over 80 to 125 min of reserve capacity", Exactly(5), "A", Source{"TM 5-4210-230-14&P-1, charging", Seen}}
	slowBreak = Figure{"reserve capacity between the two", Exactly(80), "min", Source{"TM 5-4210-230-14&P-1, charging", Seen}}
	slowEnd   = Figure{"reserve capacity up to which they hold", Exactly(125), "min", Source{"TM 5-4210-230-14&P-1, charging", Seen}}
	perPlate  = Figure{"slow charge for each positive plate of a cell", Exactly(1), "A", Source{"TM 5-4210-230-14&P-1, charging", Seen}}
)

// ChargingCurrent is the current, in A, to charge a battery of that 20-hour
// capacity with (Ah, 1 to 300): a tenth of it in amperes.
//
// Source: common practice, no source; the overnight currents of
// TM 5-4210-230-14&P-1 are among the opinions.
func ChargingCurrent(ah Range) (Agreed, error) {
	if err := check(capacity.is(ah)); err != nil {
		return Agreed{}, err
	}
	tenth := Over(func(x []float64) float64 { return x[0] * chargeShare.Range.Best }, ah)
	all := []Opinion{{"a tenth of the capacity", tenth, chargeShare.Source}}
	minutes, err := ReserveFromCapacity(ah, Flooded)
	if err != nil {
		return Agreed{}, err
	}
	rc := minutes.Opinions[0].Range
	if rc.Lo <= slowBreak.Range.Best {
		all = append(all, Opinion{slowSmall.Name, slowSmall.Range, slowSmall.Source})
	}
	if rc.Hi > slowBreak.Range.Best && rc.Lo <= slowEnd.Range.Best {
		all = append(all, Opinion{slowLarge.Name, slowLarge.Range, slowLarge.Source})
	}
	return agree(all...), nil
}

var platesOfCell = quantity{title: "plates of a cell", unit: "1", lo: 3, hi: 51}

// SlowCharge is the current, in A, of a slow charge for a battery of that many
// plates in each cell (3 to 51, an odd number): 1 A for each positive plate, of
// which there is one fewer than of negative ones.
//
// Source: TM 5-4210-230-14&P-1, charging.
func SlowCharge(plates int) (Range, error) {
	if err := check(platesOfCell.is(Exactly(float64(plates)))); err != nil {
		return Range{}, err
	}
	if plates%2 == 0 {
		return Range{}, impossible("a cell has one negative plate more than positive ones, so %d plates cannot be", plates)
	}
	return Exactly(float64(plates/2) * perPlate.Range.Best), nil
}

var slowChargeFunction = &Function{
	Name: "slow_charge", Title: "Slow charge by the plates of a cell", Topic: topicCharging,
	Doc: "For an old battery whose plates can be counted and whose capacity nobody knows.",
	Params: []Param{
		number("plates", platesOfCell, "plates in one cell, positive and negative together"),
	},
	Formula: "current = 1 A * (plates - 1) / 2", Source: perPlate.Source, Figures: []Figure{perPlate},
	work: func(a Args) (Result, error) {
		n := a.num("plates")
		if n.Lo != n.Hi || n.Best != float64(int(n.Best)) {
			return Result{}, impossible("plates are counted: give a whole number")
		}
		i, err := SlowCharge(int(n.Best))
		return one(Value{"current", "slow charge", "A", i, 0}, err)
	},
}

var chargingCurrentFunction = &Function{
	Name: "charging_current", Title: "Current to charge with", Topic: topicCharging,
	Doc: "A tenth of the ampere-hours is usual; less takes longer and is gentler. Never on a battery that is frozen, bulged, cracked or leaking.",
	Params: []Param{
		number("capacity", capacity, "20-hour capacity"),
	},
	Formula: "current = capacity / 10 h", Source: chargeShare.Source,
	Figures: []Figure{chargeShare, slowSmall, slowLarge, slowBreak, slowEnd},
	work: func(a Args) (Result, error) {
		i, err := ChargingCurrent(a.num("capacity"))
		return told("current", "charging current", "A", 1, i, err)
	},
}
