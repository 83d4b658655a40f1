package leadacid

// chargedEnough is the rest voltage, in V at table temperature, from which a
// battery may be load tested: three quarters charged.
var chargedEnough = map[Chemistry]Figure{
	Flooded: {"three quarters charged, flooded", Exactly(12.4), "V", Source{"TM 5-3805-262-20, p. 5-142", SeenTwice}},
	EFB:     {"three quarters charged, EFB", Exactly(12.45), "V", fromMemory},
	AGM:     {"three quarters charged, AGM", Exactly(12.6), "V", practiced(Seen)},
	Gel:     {"three quarters charged, gel", Exactly(12.6), "V", practiced(Seen)},
}

// enoughFor joins the limits of what c may be, at the battery's temperature.
func enoughFor(c Chemistry, temp Range) (Range, error) {
	kinds, err := c.kinds()
	if err != nil {
		return Range{}, err
	}
	limit := chargedEnough[kinds[0]].Range
	for _, k := range kinds[1:] {
		limit = limit.Join(chargedEnough[k].Range)
	}
	offset := offsetAt(temp)
	return Range{limit.Lo + offset.Lo, limit.Best + offset.Best, limit.Hi + offset.Hi}, nil
}

// LoadVerdict is what a load test says of a battery.
type LoadVerdict struct {
	Floor   Range   // V, the least that it had to show
	Margin  Range   // V, how far over the floor (+) or under it (-) it was
	Charged Verdict // whether it was charged enough for the test to count
	Passes  Verdict
}

// LoadTest judges the voltage after 15 s of half the rating (load, V) against
// the floor at the battery temperature temp (°C, -18 to 60), for a battery that
// stood at rest (V) before.
//
// It is Impossible that the voltage under load stands above that at rest, or at
// it: then no load was drawn, or a probe was elsewhere. So is a temperature at
// which so flat a battery is frozen.
//
// Source: TM 5-4210-230-14&P-1, Table 5.
func LoadTest(rest, load Range, chemistry Chemistry, temp Range) (LoadVerdict, error) {
	if err := checkUnderLoad(rest, load); err != nil {
		return LoadVerdict{}, err
	}
	floor, err := LoadFloor(temp)
	if err != nil {
		return LoadVerdict{}, err
	}
	if _, err := ChargeFromVoltage(rest, chemistry, temp); err != nil {
		return LoadVerdict{}, err
	}
	enough, err := enoughFor(chemistry, temp)
	if err != nil {
		return LoadVerdict{}, err
	}
	margin := Over(func(x []float64) float64 { return x[0] - x[1] }, load, floor)
	return LoadVerdict{floor, margin, not(rest.Below(enough)), not(load.Below(floor))}, nil
}

// checkUnderLoad refuses a voltage under load that is not below that at rest.
func checkUnderLoad(rest, load Range) error {
	if err := check(restVoltage.is(rest), quantity{title: "voltage under load", unit: "V", hi: 18}.is(load)); err != nil {
		return err
	}
	if load.Best >= rest.Best || load.Lo >= rest.Hi {
		return impossible("the voltage under load, %s, is not below that at rest, %s: no load was drawn, a charger is connected, or a probe was elsewhere", show(load.Best, "V"), show(rest.Best, "V"))
	}
	return nil
}

func not(v Verdict) Verdict {
	switch v {
	case Yes:
		return No
	case No:
		return Yes
	}
	return Open
}

func (v LoadVerdict) says() []string {
	switch {
	case v.Charged == No:
		return []string{"Not judged: under three quarters charged, a good battery fails as well. Charge it, let it settle and test again."}
	case v.Passes == No:
		return []string{"Under the floor. Charge and repeat once: a battery that fails twice at three quarters charged or more is to be replaced."}
	case v.Passes == Open || v.Charged == Open:
		return []string{"Too close to call within the doubt of the numbers: charge it fully and repeat."}
	}
	return []string{"It holds its floor at half its rating."}
}

// The voltages that a battery comes back to after a load test.
var (
	recoveryAtOnce = Figure{"voltage right after the load", Exactly(11.2), "V", practiced(Seen)}
	recoveryLater  = Figure{"voltage five minutes after the load", Exactly(12.4), "V", practiced(Practice)}
)

// Recovery answers whether the voltage after a load test (V, 0 to 18) came back
// to what is usual: 11.2 V at once, or 12.4 V after five minutes. It informs, it
// does not convict.
//
// Source: common practice, no source.
func Recovery(recovered Range, afterFiveMinutes bool) (usual Range, back Verdict, err error) {
	usual = recoveryAtOnce.Range
	if afterFiveMinutes {
		usual = recoveryLater.Range
	}
	return usual, not(recovered.Below(usual)), check(postsVoltage.is(recovered))
}

var loadFunctions = []*Function{loadCurrentFunction, loadFloorFunction, loadTestFunction, recoveryFunction, crankFloorFunction}

var loadTestFunction = &Function{
	Name: "load_test", Title: "Load test judged", Topic: topicLoad,
	Doc: "Half the cold-crank rating for 15 s, read while the load still draws. Not on a battery that is frozen, bulged, cracked, leaking or short of acid, nor a second time on one that collapsed.",
	Params: []Param{
		number("rest_voltage", restVoltage, "at the posts before the load, without surface charge"),
		number("load_voltage", postsVoltage, "at the posts at the end of 15 s, load still on"),
		chemistryParam, tempParam,
	},
	Formula: "margin = load_voltage - load_floor(battery_temp); it passes at 0 or more",
	Source:  loadTable,
	Figures: []Figure{chargedEnough[Flooded], chargedEnough[EFB], chargedEnough[AGM], chargedEnough[Gel]}, Tables: []*Table{floorTable, restOffset},
	work: func(a Args) (Result, error) {
		v, err := LoadTest(a.num("rest_voltage"), a.num("load_voltage"), Chemistry(a.word("chemistry")), a.num("battery_temp"))
		if err != nil {
			return Result{}, err
		}
		return Result{Values: []Value{
			{"load_floor", "floor at this temperature", "V", v.Floor, 2},
			{"margin", "over the floor (+) or under it (-)", "V", v.Margin, 2},
		}, Says: v.says()}, nil
	},
}

var recoveryFunction = &Function{
	Name: "recovery", Title: "Recovery after a load test", Topic: topicLoad,
	Doc: "Informs only. A battery broken inside comes back within a second, a worn or sulphated one climbs slowly.",
	Params: []Param{
		number("recovered_voltage", postsVoltage, "at the posts after the load"),
		choice("when", "when it was read", "at_once", "five_minutes"),
	},
	Formula: "usual = 11.2 V at once, 12.4 V after five minutes",
	Source:  practiced(Seen), Figures: []Figure{recoveryAtOnce, recoveryLater},
	work: func(a Args) (Result, error) {
		usual, back, err := Recovery(a.num("recovered_voltage"), a.word("when") == "five_minutes")
		r, err := one(Value{"usual", "usual for a good battery", "V", usual, 1}, err)
		if err == nil {
			r.Says = []string{map[Verdict]string{
				Yes: "It came back as a good battery does.", No: "It came back less than a good battery does.",
				Open: "Too close to call within the doubt of the reading.",
			}[back]}
		}
		return r, err
	},
}
