package leadacid

// TwoCharges is a state of charge (%) by the voltmeter and by the hydrometer.
type TwoCharges struct {
	ByVoltage, ByGravity Agreed
	Apart                float64 // how far apart they are at the least, in %; 0 when one charge fits both
}

// CompareCharge works out the state of charge of one battery with liquid acid
// from its rest voltage and from its specific gravity, and how far apart the two
// are when each is given all its doubt. The ranges and errors are those of
// [ChargeFromVoltage] and [ChargeFromGravity]; the acid's temperature is taken
// for that of the battery.
func CompareCharge(rest Range, chemistry Chemistry, read, temp Range, instrument, full string) (TwoCharges, error) {
	if chemistry != Flooded && chemistry != EFB {
		return TwoCharges{}, impossible("a battery of type %s has no liquid acid to read", chemistry)
	}
	v, err := ChargeFromVoltage(rest, chemistry, temp)
	if err != nil {
		return TwoCharges{}, err
	}
	g, err := ChargeFromGravity(read, temp, instrument, full)
	if err != nil {
		return TwoCharges{}, err
	}
	return TwoCharges{v, g, gap(v.Range, g.Range)}, nil
}

func (t TwoCharges) says() string {
	switch {
	case t.Apart == 0:
		return "One state of charge fits both readings."
	case t.ByVoltage.Range.Lo > t.ByGravity.Range.Hi:
		return "The voltage says more than the acid: a surface charge, acid that lies in layers, or water added lately. Take off the surface charge, or charge until it gasses, and read both again."
	}
	return "The acid says more than the voltage: a weak or shorted cell, a load left on, or acid added where water belongs. Read all six cells."
}

var compareChargeFunction = &Function{
	Name: "compare_charge", Title: "State of charge by voltmeter and by hydrometer, compared", Topic: topicCharge,
	Doc: "Whether the two readings of one battery can both be right, and what it means when they cannot.",
	Params: []Param{
		number("rest_voltage", restVoltage, "voltage at the posts, rested"),
		assumingWord(choice("chemistry", "type on the label; its plugs open", string(Flooded), string(EFB)), string(Flooded)),
		number("gravity", gravity, "what the hydrometer shows"), acidTempParam, hydrometerParam, fullParam,
	},
	Formula: "charge_from_voltage and charge_from_gravity; apart = the gap between their ranges",
	Source:  derived, Figures: gravityFigures, Tables: append(allCurves(), chargeByGravity...),
	work: func(a Args) (Result, error) {
		t, err := CompareCharge(a.num("rest_voltage"), Chemistry(a.word("chemistry")), a.num("gravity"), a.num("acid_temp"), a.word("hydrometer"), a.word("full_gravity"))
		if err != nil {
			return Result{}, err
		}
		return Result{
			Values: []Value{
				{"by_voltage", "state of charge by the voltage", "%", t.ByVoltage.Range, 0},
				{"by_gravity", "state of charge by the gravity", "%", t.ByGravity.Range, 0},
				{"apart", "apart by at least", "%", Exactly(t.Apart), 0},
			},
			Says:     []string{t.says()},
			Opinions: append(saidOf("by_voltage", t.ByVoltage), saidOf("by_gravity", t.ByGravity)...),
		}, nil
	},
}
