package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// The figures by which a battery is watched while it charges.
var (
	chargerEnd    = figure("voltage at which the charger has reached its end", unit.Exactly(14.2), "V", practiced(practice))
	noCurrent     = figure("next to no current", unit.Exactly(1), "A", practiced(practice))
	flatBefore    = figure("rest voltage below which a battery has room for charge", unit.Exactly(12), "V", source("TM 5-3805-262-20, p. 5-142 (12.0 V is 25 %)", seen))
	stuckLow      = figure("voltage under which a battery is stuck after the watch", unit.Exactly(12), "V", practiced(practice))
	doubtfulLow   = figure("voltage under which it is doubtful", unit.Exactly(13), "V", practiced(practice))
	watchFor      = figure("how long it is watched", unit.Exactly(30), "min", practiced(seen))
	nearlyAll     = figure("share of the charger's current that counts as all of it", unit.Exactly(0.8), "1", ownChoice)
	chargeMinutes = &calc.Quantity{Title: "minutes on charge", Unit: "min", Lo: 0, Hi: 30000}
)

// What a battery's answer to a charge means.
const (
	takesCharge = "It takes the charge: go on until the current has died away."
	takesNone   = "At the charger's end at once and no current: open inside or sulphated. Look at the clips, then leave it on for the time of takes_no_charge before that is said."
	mayBeFull   = "No current, but it was not flat before: it may be full. Rest it and read its voltage."
	shortedCell = "Full current flows and the voltage stays low: a cell is shorted. Stop; it heats up."
	tooEarly    = "The voltage is low, but it is too early to tell: watch it for half an hour, and feel the case."
	notCertain  = "Between the limits: go on charging, feel the case, and read again in half an hour."
)

func chargeResponse(minutes, volts, current, set, before unit.Range) string {
	full, none := current.Below(set.Times(nearlyAll.Range.Best)).Not(), current.Below(noCurrent.Range)
	switch atEnd := volts.Below(chargerEnd.Range).Not(); {
	case atEnd == unit.Yes && none == unit.Yes:
		if before.Below(flatBefore.Range) == unit.Yes {
			return takesNone
		}
		return mayBeFull
	case atEnd != unit.No && none != unit.No:
		return notCertain
	case full == unit.No || volts.Below(doubtfulLow.Range) == unit.No:
		return takesCharge
	case minutes.Lo < watchFor.Range.Best:
		return tooEarly
	case full == unit.Yes && volts.Below(stuckLow.Range) == unit.Yes:
		return shortedCell
	}
	return notCertain
}

var chargingFunctions = []*calc.Function{
	chargingCurrentFunction, slowChargeFunction, chargingVoltageFunction, chargingTimeFunction, chargeResponseFunction, takesNoChargeFunction,
	gassingVoltageFunction, gassingTempFunction, hydrogenFunction, ventilationFunction,
}

var chargeResponseFunction = &calc.Function{
	Name: "charge_response", Title: "How a battery answers to a charge", Topic: topicCharging,
	Doc: "The quickest way to part a flat battery from a sulphated one and from a shorted cell. Stay with one found under 10.5 V for the first half hour; hot case or smell, switch off at the mains.",
	Params: []calc.Param{
		number("minutes", chargeMinutes, "time on charge"),
		number("voltage", postsVoltage, "at the posts, charger on"),
		number("current", chargingCurrent, "into the battery"),
		number("charger_current", setCurrent, "what the charger can give"),
		number("rest_voltage", restVoltage, "at the posts before the charge"),
	},
	Formula: "no current at 14.2 V or more: takes no charge; full current under 12 V after 30 min: shorted cell",
	Source:  practiced(practice),
	Figures: []calc.Figure{chargerEnd, noCurrent, flatBefore, stuckLow, doubtfulLow, watchFor, nearlyAll},
	Work: func(a calc.Args) (calc.Result, error) {
		volts, before := a.Num("voltage"), a.Num("rest_voltage")
		if volts.Hi < before.Lo {
			return calc.Result{}, calc.Impossiblef("the posts stand at %s on charge and stood at %s at rest: the charger does not reach them, or the readings are swapped", calc.Show(volts.Best, "V"), calc.Show(before.Best, "V"))
		}
		return calc.Result{Says: []string{chargeResponse(a.Num("minutes"), volts, a.Num("current"), a.Num("charger_current"), before)}}, nil
	},
}

// chargeTrials are the hours after which "takes no charge" may be said, by the
// voltage of the charger.
var chargeTrials = []calc.Figure{
	figure("hours with a charger of 16 V or more", unit.Exactly(4), "h", practiced(seen)),
	figure("hours with a charger of 14 V or more", unit.Exactly(8), "h", practiced(seen)),
	figure("hours with a charger under 14 V", unit.Exactly(16), "h", practiced(seen)),
}

var takesNoChargeFunction = &calc.Function{
	Name: "takes_no_charge", Title: "When it may be said that a battery takes no charge", Topic: topicCharging,
	Doc: "A deeply flat battery may take next to nothing for hours, more so when cold.",
	Params: []calc.Param{
		number("charging_voltage", chargerVoltage, "at the posts, on charge"),
		number("hours", chargeHours, "time on charge so far"),
	},
	Formula: "4 h at 16 V or more, 8 h at 14 V or more, 16 h under 14 V",
	Source:  practiced(seen), Figures: chargeTrials,
	Work: func(a calc.Args) (calc.Result, error) {
		needed := a.Num("charging_voltage").Map(func(volts float64) float64 {
			switch {
			case volts >= 16:
				return chargeTrials[0].Range.Best
			case volts >= 14:
				return chargeTrials[1].Range.Best
			}
			return chargeTrials[2].Range.Best
		})
		r := single("needed", "time on charge before it may be said", "h", needed, 0)
		r.Says = []string{map[unit.Verdict]string{
			unit.No:  "It may be said, if next to no current has flowed all that time and the battery is not cold.",
			unit.Yes: "Not yet: leave it on.", unit.Open: "Not certain within the doubt of the readings: leave it on.",
		}[a.Num("hours").Below(needed)]}
		return r, nil
	},
}
