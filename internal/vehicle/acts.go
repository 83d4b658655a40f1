package vehicle

import (
	"fmt"
	"maps"
	"math"
	"slices"
)

// Act does something to the vehicle by its word and lets time pass. duration is
// such as "15 s", or empty for the usual one. An unknown word or a duration that
// cannot be read is an error; so is a Hazard, and an act that fails, such as a
// drive with an engine that does not start.
func (v *Vehicle) Act(name, duration string) error {
	if part, is := repairs[name]; is {
		v.mend(part)
		return nil
	}
	a, known := acts[name]
	if !known {
		return fmt.Errorf("there is no act %q; see vehicle.Acts for those that there are", name)
	}
	seconds := a.usual
	if duration != "" {
		s, err := Seconds(duration)
		if err != nil {
			return err
		}
		seconds = s
	}
	if a.guarded {
		if why := v.Unsafe(); why != "" {
			return &Hazard{name, why}
		}
	}
	return a.do(v, seconds)
}

// Acts lists the words that Act knows.
func Acts() []string {
	names := slices.AppendSeq(slices.Collect(maps.Keys(acts)), maps.Keys(repairs))
	slices.Sort(names)
	return names
}

// act is one thing that can be done.
type act struct {
	usual   float64 // s
	guarded bool    // not with a frozen, swollen or leaking battery
	do      func(v *Vehicle, seconds float64) error
}

var acts = map[string]act{
	"all_off":             {120, false, (*Vehicle).allOff},
	"wait":                {300, false, (*Vehicle).wait},
	"lamps_on":            {15, false, (*Vehicle).lampsOn},
	"lamps_then_ignition": {45, false, (*Vehicle).smallLoads},
	"half_rating_load":    {15, true, (*Vehicle).halfRating},
	"crank":               {crankSeconds, true, (*Vehicle).holdKey},
	"charge":              {8 * 3600, true, (*Vehicle).chargeUp},
	"keep_charging":       {8 * 3600, true, (*Vehicle).chargeUp},
	"wake_charge":         {1800, true, (*Vehicle).wake},
	"boost":               {120, true, (*Vehicle).boost},
	"lamp_through_engine": {30, false, (*Vehicle).lampOn},
	"start_engine":        {10, true, (*Vehicle).startEngine},
	"drive":               {1800, true, (*Vehicle).drive},
}

// off is everything switched off and taken off.
func (v *Vehicle) off() {
	v.attached.tester, v.attached.lamp = 0, 0
	v.attached.booster, v.attached.bypass = false, false
	v.enter(state{})
	v.solved = false
}

func (v *Vehicle) allOff(seconds float64) error {
	v.off()
	v.pass(seconds)
	return nil
}

func (v *Vehicle) wait(seconds float64) error {
	v.pass(seconds)
	return nil
}

// restAfterLamps is how long the battery is left after the lamps. Source:
// TM 5-3805-262-20, p. 5-142, three minutes.
const restAfterLamps = 180

func (v *Vehicle) lampsOn(seconds float64) error {
	v.off()
	v.enter(state{loads: loadsHeavy})
	v.pass(seconds)
	v.off()
	v.pass(restAfterLamps)
	return nil
}

func (v *Vehicle) smallLoads(seconds float64) error {
	v.off()
	v.enter(state{door: true, loads: loadsSmall})
	v.pass(seconds * 2 / 3)
	v.enter(state{key: keyOn, loads: loadsSmall})
	v.pass(seconds / 3)
	return nil
}

// dinToSAE turns a DIN number into the number to be halved. Source: common
// practice, no source.
const dinToSAE = 1.7

func (v *Vehicle) halfRating(float64) error {
	v.off()
	amps := v.par.Battery.Rated / 2
	if v.par.Battery.Standard.Name == DIN.Name {
		amps *= dinToSAE
	}
	v.attached.tester = amps
	return nil
}

// longestCrank is the longest crank a starter stands at once, s. Source:
// TM 10-3930-671-24, Volt Drop Tests (30 s, then 2 min to cool).
const longestCrank = 30

func (v *Vehicle) holdKey(seconds float64) error {
	if err := v.inGear("crank"); err != nil {
		return err
	}
	if seconds > longestCrank {
		return &Hazard{"crank", "a starter that is cranked for more than 30 s at once overheats"}
	}
	v.attached.tester, v.attached.lamp = 0, 0
	v.enter(state{key: keyStart, engine: cranking, loads: v.state.loads})
	v.solve()
	k := v.turned
	v.spend(&k, seconds)
	v.enter(state{loads: v.state.loads})
	return nil
}

func (v *Vehicle) chargeUp(seconds float64) error { return v.chargeWith(v.par.Charger, seconds) }

// wake is the charger's recovery setting, which does not ask what the battery has.
func (v *Vehicle) wake(seconds float64) error {
	c := v.par.Charger
	c.Amps, c.Refuses = c.Boost, -20
	return v.chargeWith(c, seconds)
}

// A charge of hours is done under a roof, at about this temperature at least, °C,
// and the battery takes this long to follow, s. Source: modelling choice.
const (
	roofCelsius = 12
	roofAfter   = 4 * 3600
	followTime  = 5 * 3600
)

// underRoof brings a vehicle that is charged for hours out of the cold.
func (v *Vehicle) underRoof(seconds float64) {
	if seconds < roofAfter || v.base.Celsius >= roofCelsius {
		return
	}
	v.base.Celsius = roofCelsius
	v.charge.Celsius += (roofCelsius - v.charge.Celsius) * -math.Expm1(-seconds/followTime)
	v.usual = 0
	v.rebuild()
}

// recovery is how long a charge must be to bring a sulphated battery back in part,
// and by what share. Source: from memory, 24 to 48 h and 10 to 30 %.
const (
	recoverySeconds = 24 * 3600
	recoveryShare   = 0.8
)

func (v *Vehicle) chargeWith(c Charger, seconds float64) error {
	if v.par.Battery.Reversed {
		return &Hazard{"charge", "the battery is the wrong way round, and a charger would be short-circuited"}
	}
	v.off()
	v.underRoof(seconds)
	path := 1/v.siemens[bPosJoint] + 1/v.siemens[bNegJoint] + 1/(v.siemens[bEarth]+v.siemens[bDirect])
	taken := v.par.Consumers.keyOff(v.par.Consumers.Sleep + 1).Electronics
	v.history.last = v.par.Battery.chargeFor(&v.charge, &c, c.Amps, path, taken, seconds)
	v.clock += seconds
	v.history.charged = v.clock
	v.state.charger = v.history.last.ended == running || v.history.last.ended == finished
	if seconds >= recoverySeconds {
		v.recover()
	}
	if v.charge.Level >= 0.9 {
		v.base.Seen.Complaint = "" // what brought it in has been acted on
		v.forget("charge")
	}
	return nil
}

// recover is what a long charge does for a sulphated battery.
func (v *Vehicle) recover() {
	for i := range v.faults {
		if v.faults[i].ID == "battery_sulphated" {
			v.faults[i].Severity *= recoveryShare
			v.rebuild()
		}
	}
}

// wholeCell is what a cell that is shorted right through takes away, V: what is missing
// of less is not told from a low charge. Modelling choice.
const wholeCell = 1.8

func (v *Vehicle) boost(seconds float64) error {
	switch {
	case v.par.Battery.Reversed:
		return &Hazard{"boost", "the battery is the wrong way round, and a booster on it is a short circuit"}
	case v.par.Battery.CellLoss > wholeCell:
		return &Hazard{"boost", "a battery with a shorted cell heats and gasses under a booster"}
	}
	v.off()
	v.attached.booster = true
	v.pass(seconds)
	if !v.attached.safe && v.starts() {
		v.enter(state{key: keyOn, engine: idling})
		v.attached.booster = true // still connected, for whoever wants to measure
	}
	return nil
}

func (v *Vehicle) lampOn(seconds float64) error {
	v.off()
	v.attached.lamp = 21
	v.pass(seconds)
	return nil
}

func (v *Vehicle) startEngine(seconds float64) error {
	if err := v.inGear("start_engine"); err != nil {
		return err
	}
	if v.state.engine < idling && (v.attached.safe || !v.starts()) {
		return ErrNoStart
	}
	v.enter(state{key: keyOn, engine: idling, loads: v.state.loads})
	v.pass(seconds)
	return nil
}

func (v *Vehicle) drive(seconds float64) error {
	if err := v.startEngine(0); err != nil {
		return err
	}
	v.enter(state{key: keyOn, engine: revving, loads: loadsSmall})
	v.pass(seconds)
	v.off()
	return nil
}
