package leadacid

import (
	"math"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

var compareChargeFunction = &calc.Function{
	Name: "compare_charge", Title: "State of charge by voltmeter and by hydrometer, compared", Topic: topicCharge,
	Doc: "Whether the two readings of one battery can both be right, and what it means when they cannot.",
	Params: []calc.Param{
		number("rest_voltage", restVoltage, "voltage at the posts, rested"),
		assumingWord(words("chemistry", "type on the label; its plugs open", flooded, efb), flooded),
		gravityParam, acidTempParam, hydrometerParam, fullParam,
	},
	Formula: "charge_from_voltage and charge_from_gravity; apart = the gap between their ranges",
	Source:  derived, Figures: gravityFigures, Tables: append(allCurves(), chargeByGravity...),
	Work: func(a calc.Args) (calc.Result, error) {
		temp := a.Num("acid_temp") // taken for that of the battery
		v, err := chargeFromVoltage(a.Num("rest_voltage"), a.Word("chemistry"), temp)
		if err != nil {
			return calc.Result{}, err
		}
		g, err := chargeFromGravity(a.Num("gravity"), temp, a.Word("hydrometer"), a.Word("full_gravity"))
		if err != nil {
			return calc.Result{}, err
		}
		apart := math.Max(0, math.Max(v.Lo-g.Hi, g.Lo-v.Hi))
		return calc.Result{
			Values: []calc.Value{
				value("by_voltage", "state of charge by the voltage", "%", v.Range, 0),
				value("by_gravity", "state of charge by the gravity", "%", g.Range, 0),
				value("apart", "apart by at least", "%", unit.Exactly(apart), 0),
			},
			Says:     []string{compareSays(v, g)},
			Opinions: append(opinionsOn("by_voltage", v), opinionsOn("by_gravity", g)...),
		}, nil
	},
}

func compareSays(volts, gravity agreed) string {
	switch {
	case volts.Lo > gravity.Hi:
		return "The voltage says more than the acid: a surface charge, acid that lies in layers, or water added lately. Take off the surface charge, or charge until it gasses, and read both again."
	case gravity.Lo > volts.Hi:
		return "The acid says more than the voltage: a weak or shorted cell, a load left on, or acid added where water belongs. Read all six cells."
	}
	return "One state of charge fits both readings."
}
