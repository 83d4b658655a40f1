package leadacid

// The figures by which a battery is watched while it charges.
var (
	chargerEnd    = Figure{"voltage at which the charger has reached its end", Exactly(14.2), "V", practiced(Practice)}
	noCurrent     = Figure{"next to no current", Exactly(1), "A", practiced(Practice)}
	flatBefore    = Figure{"rest voltage below which a battery has room for charge", Exactly(12), "V", Source{"TM 5-3805-262-20, p. 5-142 (12.0 V is 25 %)", Seen}}
	stuckLow      = Figure{"voltage under which a battery is stuck after the watch", Exactly(12), "V", practiced(Practice)}
	doubtfulLow   = Figure{"voltage under which it is doubtful", Exactly(13), "V", practiced(Practice)}
	watchFor      = Figure{"how long it is watched", Exactly(30), "min", practiced(Seen)}
	nearlyAll     = Figure{"share of the charger's current that counts as all of it", Exactly(0.8), "1", ownChoice}
	chargeMinutes = quantity{title: "minutes on charge", unit: "min", lo: 0, hi: 30000}
)

// Response is how a battery answers to a charge.
type Response string

// The answers.
const (
	TakesCharge   Response = "takes_charge"    // current flows and the voltage climbs
	TakesNone     Response = "takes_no_charge" // at the charger's end at once, with no current: sulphated or open
	MayBeFull     Response = "may_be_full"     // the same, but it was not flat before
	ShortedCell   Response = "shorted_cell"    // all the current, and the voltage stays down
	TooEarly      Response = "too_early"       // low, but not watched for long enough
	NotYetCertain Response = "not_certain"     // between the limits, or within the doubt of the readings
)

var responseSays = map[Response]string{
	TakesCharge:   "It takes the charge: go on until the current has died away.",
	TakesNone:     "At the charger's end at once and no current: open inside or sulphated. Look at the clips, then leave it on for the time of takes_no_charge before that is said.",
	MayBeFull:     "No current, but it was not flat before: it may be full. Rest it and read its voltage.",
	ShortedCell:   "Full current flows and the voltage stays low: a cell is shorted. Stop; it heats up.",
	TooEarly:      "The voltage is low, but it is too early to tell: watch it for half an hour, and feel the case.",
	NotYetCertain: "Between the limits: go on charging, feel the case, and read again in half an hour.",
}

// ChargeResponse judges a battery by the voltage at its posts (V, 0 to 18) and its
// current (A, 0 to 300) after some minutes on charge (0 to 30000), with a charger
// of the current set (A, 0.1 to 200), for a battery that rested at before (V, 0 to
// 18).
//
// It is Impossible that the posts stand lower on charge than at rest before: the
// charger does not reach them.
//
// Source: common practice, no source; TM 5-3805-262-20 for 12.0 V.
func ChargeResponse(minutes, volts, current, set, before Range) (Response, error) {
	err := check(chargeMinutes.is(minutes), postsVoltage.is(volts), chargingCurrent.is(current), setCurrent.is(set), restVoltage.is(before))
	if err != nil {
		return "", err
	}
	if volts.Hi < before.Lo {
		return "", impossible("the posts stand at %s on charge and stood at %s at rest: the charger does not reach them, or the readings are swapped", show(volts.Best, "V"), show(before.Best, "V"))
	}
	share := nearlyAll.Range.Best
	all := Range{set.Lo * share, set.Best * share, set.Hi * share}
	full, none := not(current.Below(all)), current.Below(noCurrent.Range)
	switch atEnd := not(volts.Below(chargerEnd.Range)); {
	case atEnd == Yes && none == Yes:
		return ifFlat(before), nil
	case atEnd != No && none != No:
		return NotYetCertain, nil
	case full == No || volts.Below(doubtfulLow.Range) == No:
		return TakesCharge, nil
	case minutes.Lo < watchFor.Range.Best:
		return TooEarly, nil
	case full == Yes && volts.Below(stuckLow.Range) == Yes:
		return ShortedCell, nil
	}
	return NotYetCertain, nil
}

func ifFlat(before Range) Response {
	if before.Below(flatBefore.Range) == Yes {
		return TakesNone
	}
	return MayBeFull
}

// chargeTrials are the hours after which "takes no charge" may be said, by the
// voltage of the charger.
var chargeTrials = []Figure{
	{"hours with a charger of 16 V or more", Exactly(4), "h", practiced(Seen)},
	{"hours with a charger of 14 V or more", Exactly(8), "h", practiced(Seen)},
	{"hours with a charger under 14 V", Exactly(16), "h", practiced(Seen)},
}

// TakesNoCharge is the time, in h, that a battery has to be on a charger of that
// voltage (V, 10 to 18) before it may be said that it takes no charge, and whether
// the hours it has been on (0 to 500) are enough. Within doubt the longer time
// holds. A sulphated battery may need two or three days of slow charge.
//
// Source: common practice, no source.
func TakesNoCharge(volts, hours Range) (needed Range, may Verdict, err error) {
	if err := check(chargerVoltage.is(volts), chargeHours.is(hours)); err != nil {
		return Range{}, Open, err
	}
	needed = Over(func(x []float64) float64 {
		switch {
		case x[0] >= 16:
			return chargeTrials[0].Range.Best
		case x[0] >= 14:
			return chargeTrials[1].Range.Best
		}
		return chargeTrials[2].Range.Best
	}, volts)
	return needed, not(hours.Below(needed)), nil
}

var chargingFunctions = []*Function{
	chargingCurrentFunction, slowChargeFunction, chargingVoltageFunction, chargingTimeFunction, chargeResponseFunction, takesNoChargeFunction,
	gassingVoltageFunction, gassingTempFunction, hydrogenFunction, ventilationFunction,
}

var chargeResponseFunction = &Function{
	Name: "charge_response", Title: "How a battery answers to a charge", Topic: topicCharging,
	Doc: "The quickest way to part a flat battery from a sulphated one and from a shorted cell. Stay with one found under 10.5 V for the first half hour; hot case or smell, switch off at the mains.",
	Params: []Param{
		number("minutes", chargeMinutes, "time on charge"),
		number("voltage", postsVoltage, "at the posts, charger on"),
		number("current", chargingCurrent, "into the battery"),
		number("charger_current", setCurrent, "what the charger can give"),
		number("rest_voltage", restVoltage, "at the posts before the charge"),
	},
	Formula: "no current at 14.2 V or more: takes no charge; full current under 12 V after 30 min: shorted cell",
	Source:  practiced(Practice),
	Figures: []Figure{chargerEnd, noCurrent, flatBefore, stuckLow, doubtfulLow, watchFor, nearlyAll},
	work: func(a Args) (Result, error) {
		response, err := ChargeResponse(a.num("minutes"), a.num("voltage"), a.num("current"), a.num("charger_current"), a.num("rest_voltage"))
		if err != nil {
			return Result{}, err
		}
		return Result{Says: []string{responseSays[response]}}, nil
	},
}

var takesNoChargeFunction = &Function{
	Name: "takes_no_charge", Title: "When it may be said that a battery takes no charge", Topic: topicCharging,
	Doc: "A deeply flat battery may take next to nothing for hours, more so when cold.",
	Params: []Param{
		number("charging_voltage", chargerVoltage, "at the posts, on charge"),
		number("hours", chargeHours, "time on charge so far"),
	},
	Formula: "4 h at 16 V or more, 8 h at 14 V or more, 16 h under 14 V",
	Source:  practiced(Seen), Figures: chargeTrials,
	work: func(a Args) (Result, error) {
		needed, may, err := TakesNoCharge(a.num("charging_voltage"), a.num("hours"))
		r, err := one(Value{"needed", "time on charge before it may be said", "h", needed, 0}, err)
		if err == nil {
			r.Says = []string{map[Verdict]string{
				Yes: "It may be said, if next to no current has flowed all that time and the battery is not cold.", No: "Not yet: leave it on.", Open: "Not certain within the doubt of the readings: leave it on.",
			}[may]}
		}
		return r, err
	},
}
