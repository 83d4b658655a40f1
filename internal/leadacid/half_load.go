package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// chargedEnough is the rest voltage at table temperature from which a battery may
// be load tested.
var chargedEnough = map[string]calc.Figure{
	flooded: figure("three quarters charged, flooded", unit.Exactly(12.4), "V", source("TM 5-3805-262-20, p. 5-142", seenTwice)),
	efb:     figure("three quarters charged, EFB", unit.Exactly(12.45), "V", fromMemory),
	agm:     figure("three quarters charged, AGM", unit.Exactly(12.6), "V", practiced(seen)),
	gel:     figure("three quarters charged, gel", unit.Exactly(12.6), "V", practiced(seen)),
}

// checkUnderLoad refuses a voltage under load that is not below that at rest.
func checkUnderLoad(rest, load unit.Range) error {
	if load.Best >= rest.Best || load.Lo >= rest.Hi {
		return calc.Impossiblef("the voltage under load, %s, is not below that at rest, %s: no load was drawn, a charger is connected, or a probe was elsewhere", calc.Show(load.Best, "V"), calc.Show(rest.Best, "V"))
	}
	return nil
}

var loadFunctions = []*calc.Function{loadCurrentFunction, loadFloorFunction, loadTestFunction, recoveryFunction, crankFloorFunction}

// loadVoltage is how a voltage at the posts under load is called when it is refused.
var loadVoltage = &calc.Quantity{Title: "voltage under load", Unit: "V", Hi: 18}

var loadTestFunction = &calc.Function{
	Name: "load_test", Title: "Load test judged", Topic: topicLoad,
	Doc: "Half the cold-crank rating for 15 s, read while the load still draws. Not on a battery that is frozen, bulged, cracked, leaking or short of acid, nor a second time on one that collapsed.",
	Params: []calc.Param{
		number("rest_voltage", restVoltage, "at the posts before the load, without surface charge"),
		number("load_voltage", loadVoltage, "at the posts at the end of 15 s, load still on"),
		chemistryParam, tempParam,
	},
	Formula: "margin = load_voltage - load_floor(battery_temp); it passes at 0 or more",
	Source:  loadTable,
	Figures: []calc.Figure{chargedEnough[flooded], chargedEnough[efb], chargedEnough[agm], chargedEnough[gel]}, Tables: []*calc.Table{floorTable, restOffset},
	Work: func(a calc.Args) (calc.Result, error) {
		rest, load, chemistry, temp := a.Num("rest_voltage"), a.Num("load_voltage"), a.Word("chemistry"), a.Num("battery_temp")
		if err := checkUnderLoad(rest, load); err != nil {
			return calc.Result{}, err
		}
		floor, err := loadFloor(temp)
		if err != nil {
			return calc.Result{}, err
		}
		if _, err := chargeFromVoltage(rest, chemistry, temp); err != nil {
			return calc.Result{}, err
		}
		enough := anyOf(chargedEnough, chemistry).Plus(offsetAt(temp))
		return calc.Result{Values: []calc.Value{
			value("load_floor", "floor at this temperature", "V", floor, 2),
			value("margin", "over the floor (+) or under it (-)", "V", load.Minus(floor), 2),
		}, Says: []string{loadSays(rest.Below(enough).Not(), load.Below(floor).Not())}}, nil
	},
}

func loadSays(charged, passes unit.Verdict) string {
	switch {
	case charged == unit.No:
		return "Not judged: under three quarters charged, a good battery fails as well. Charge it, let it settle and test again."
	case passes == unit.No:
		return "Under the floor. Charge and repeat once: a battery that fails twice at three quarters charged or more is to be replaced."
	case passes == unit.Open || charged == unit.Open:
		return "Too close to call within the doubt of the numbers: charge it fully and repeat."
	}
	return "It holds its floor at half its rating."
}

var (
	recoveryAtOnce = figure("voltage right after the load", unit.Exactly(11.2), "V", practiced(seen))
	recoveryLater  = figure("voltage five minutes after the load", unit.Exactly(12.4), "V", practiced(practice))
)

var recoveryFunction = &calc.Function{
	Name: "recovery", Title: "Recovery after a load test", Topic: topicLoad,
	Doc: "Informs only. A battery broken inside comes back within a second, a worn or sulphated one climbs slowly.",
	Params: []calc.Param{
		number("recovered_voltage", postsVoltage, "at the posts after the load"),
		words("when", "when it was read", "at_once", "five_minutes"),
	},
	Formula: "usual = 11.2 V at once, 12.4 V after five minutes",
	Source:  practiced(seen), Figures: []calc.Figure{recoveryAtOnce, recoveryLater},
	Work: func(a calc.Args) (calc.Result, error) {
		usual := recoveryAtOnce.Range
		if a.Word("when") == "five_minutes" {
			usual = recoveryLater.Range
		}
		r := single("usual", "usual for a good battery", "V", usual, 1)
		r.Says = []string{map[unit.Verdict]string{
			unit.No: "It came back as a good battery does.", unit.Yes: "It came back less than a good battery does.",
			unit.Open: "Too close to call within the doubt of the reading.",
		}[a.Num("recovered_voltage").Below(usual)]}
		return r, nil
	},
}
