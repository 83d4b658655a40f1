package vehicle

import (
	"math"
	"math/rand/v2"
	"slices"
)

// Population says what vehicles there are to be drawn.
type Population struct {
	Weights   map[string]float64 // of fault ids; empty: those of Kinds
	Classes   map[string]float64 // of engine classes; empty: all alike
	Healthy   float64            // share without any fault
	TwoFaults float64            // share of the others with a second one
	Seasons   []Season
	Hours     float64    // share where there is time for a charge
	Severity  [2]float64 // from and to: how far faults go, drawn evenly; see Fault
	Wear      float64    // how far the sound parts reach towards the limits of what is sound, 0 to 1
	Night     float64    // K by which the night may have been colder than the day
	Stories   float64    // share of the vehicles without a fault that come with a misleading story
}

// Season is a spread of temperatures.
type Season struct{ Weight, Mean, Spread float64 } // °C

// AsFound are vehicles as a workshop finds them: faults from where they can hardly be
// measured, sound parts that are worn, and sound vehicles that come with a story. Every
// number in it is a guess or a modelling choice.
func AsFound() Population {
	p := Practice()
	p.Healthy, p.Stories = 0.12, 0.6
	p.Severity, p.Wear = [2]float64{0, 1}, 1
	p.Night = 12 // 4 to 14 K between day and night are usual, from memory
	p.Hours = 0.6
	return p
}

// Practice are vehicles with a fault that shows, on parts that are as good as new. Every
// number in it is a guess or a modelling choice.
func Practice() Population {
	return Population{
		Healthy:   0.03,
		TwoFaults: 0.15,
		Seasons:   []Season{{0.4, 2, 6}, {0.4, 12, 5}, {0.2, 24, 5}},
		Hours:     0.85,
		Severity:  [2]float64{1. / 3, 1},
	}
}

// Draw makes a vehicle. The same generator in the same state gives the same
// vehicle, which goes on using that generator for what happens to it by chance.
func Draw(rng *rand.Rand, pop Population) *Vehicle {
	d := drawer{rng, pop}
	p := Standard(d.class())
	d.season(&p)
	d.battery(&p)
	d.wiring(&p)
	d.machine(&p)
	d.circumstances(&p)
	d.wear(&p)
	v, err := New(p, d.faults(&p)...)
	if err != nil {
		panic(err) // the ids come from the list itself
	}
	v.rng = rng
	if v.par.Seen.JustCharged {
		v.history.charged = v.clock - 1200
	}
	v.shake()
	d.complaint(v)
	return v
}

type drawer struct {
	*rand.Rand
	pop Population
}

// spread varies a positive value by a share, lognormally.
func (d drawer) spread(x *float64, share float64) { *x *= math.Exp(share * d.NormFloat64()) }

// chance is true in a share of cases.
func (d drawer) chance(share float64) bool { return d.Float64() < share }

// pick chooses an index by weight.
func (d drawer) pick(weights []float64) int {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	x := d.Float64() * sum
	for i, w := range weights {
		if x -= w; x < 0 {
			return i
		}
	}
	return len(weights) - 1
}

func (d drawer) class() string {
	classes := Classes()
	weights := make([]float64, len(classes))
	for i, class := range classes {
		weights[i] = 1
		if len(d.pop.Classes) > 0 {
			weights[i] = d.pop.Classes[class]
		}
	}
	return classes[d.pick(weights)]
}

// Temperatures outside which nobody works on a vehicle, °C.
const coldest, hottest = -22, 38

func (d drawer) season(p *Params) {
	p.Celsius = 20
	if n := len(d.pop.Seasons); n > 0 {
		weights := make([]float64, n)
		for i, s := range d.pop.Seasons {
			weights[i] = s.Weight
		}
		s := d.pop.Seasons[d.pick(weights)]
		p.Celsius = max(coldest, min(hottest, s.Mean+s.Spread*d.NormFloat64()))
	}
	if d.pop.Night == 0 {
		p.Charge.Celsius = p.Celsius + 3*d.NormFloat64()
		return
	}
	// The core of the battery lags the air by up to a day.
	p.Day = d.pop.Night * d.Float64()
	p.Charge.Celsius = p.Celsius - p.Day*(0.3+0.7*d.Float64())
}

func (d drawer) battery(p *Params) {
	b := &p.Battery
	b.Chemistry = []Chemistry{Flooded, EFB, AGM, Gel}[d.pick([]float64{0.5, 0.2, 0.27, 0.03})]
	d.spread(&b.Rated, 0.08)
	b.Capacity *= b.Rated / setFor(p.Class).rated
	b.Standard = []Rating{EN, SAE, DIN}[d.pick([]float64{0.75, 0.2, 0.05})]
	b.Rated = math.Round(b.Rated*b.Standard.PerEN/10) * 10
	b.Health = 0.85 + 0.15*d.Float64()
	b.CapacityLeft = 0.8 + 0.2*d.Float64()
	b.Offset = 0.04 * d.NormFloat64()
	if sealed := chemistries[b.Chemistry].sealed; !sealed && d.chance(0.1) {
		b.Offset += 0.05 + 0.1*d.Float64() // stratified acid, modelling choice
	}
	b.SelfLoss = selfLoss(b.Capacity, p.Celsius)
	p.Charge.Level = 0.82 + 0.16*d.Float64()
	p.Seen.Sealed = chemistries[b.Chemistry].sealed || d.chance(0.6)
}

// selfLoss is a battery's own loss, A. Source: TM 9-6140-200-14, para 4-8, as
// specific gravity a day: 1.6, 0.6 and 0.2 % of charge at 38, 27 and 10 °C.
func selfLoss(capacity, celsius float64) float64 {
	perDay := interpolate(celsius, []float64{-20, 10, 27, 38}, []float64{0.0005, 0.002, 0.006, 0.016})
	return perDay * capacity / 24
}

func (d drawer) wiring(p *Params) {
	for _, b := range []branch{bPosJoint, bNegJoint, bContact, bCase, bStrap, bEarth, bPosCable, bAltCable, bAltCase} {
		d.spread(&p.Ohm[b], 0.2)
	}
	for _, b := range []branch{bMainFuse, bTriggerWire, bRelay, bStartFeed, bStartFuse} {
		d.spread(&p.Ohm[b], 0.07) // so that few sound chains lose more than the limit
	}
	d.spread(&p.Ohm[bStrays], 0.6)
	switch d.pick([]float64{0.6, 0.25, 0.15}) { // where the battery's earth lead lands
	case 1:
		p.Ohm[bDirect], p.Ohm[bEarth] = p.Ohm[bEarth], open
	case 2:
		p.Ohm[bDirect] = 1.2 * p.Ohm[bEarth]
	}
	if d.chance(0.2) {
		p.rear()
		d.spread(&p.Ohm[bFeed], 0.1)
	}
	if d.chance(0.2) {
		p.withoutRelay()
	}
	if d.chance(0.02) {
		p.withSecond()
	}
}

func (d drawer) machine(p *Params) {
	d.spread(&p.Starter.K, 0.05)
	d.spread(&p.Starter.Ohm, 0.15)
	d.spread(&p.Engine.Drag, 0.2)
	d.spread(&p.Engine.Viscous, 0.25)
	d.spread(&p.Solenoid.PullAmps, 0.04)
	d.spread(&p.Solenoid.HoldAmps, 0.1)
	p.Relay.PullIn = 6 + 2*d.Float64()
	p.Relay.DropOut = 3 + 2*d.Float64()
	for _, l := range []*Load{&p.Consumers.Courtesy, &p.Consumers.Ignition, &p.Consumers.Parking, &p.Consumers.Dipped, &p.Consumers.Heavy} {
		f := math.Exp(0.2 * d.NormFloat64())
		*l = Load{l.Lamps * f, l.Heaters * f, l.Electronics * f}
	}
	if d.chance(0.3) { // LED lamps
		p.Consumers.Courtesy = Load{Electronics: 0.3}
		p.Consumers.Dipped = Load{Electronics: 5}
	}
	p.Consumers.Asleep = 0.01 + 0.03*d.Float64()
	p.Consumers.Sleep = 60 * (10 + 35*d.Float64())
	p.Alternator.Set += 0.1 * d.NormFloat64()
	p.Alternator.Smart = d.chance(0.3)
	if d.chance(0.1) { // an older machine with a series field
		p.Starter.Saturation = 150 + 100*d.Float64()
		p.Starter.K /= 1 - math.Exp(-1.4*setFor(p.Class).rated/4/p.Starter.Saturation)
	}
}

func (d drawer) circumstances(p *Params) {
	p.Seen.Hours = d.chance(d.pop.Hours)
	p.Seen.MayStart = d.chance(0.95)
	p.Seen.Odometer = math.Round(1000 * (5 + 200*d.Float64()))
	p.Seen.MadeYear = newYear - math.Round(8*d.Float64())
	p.Seen.Days = math.Round(5 * d.Float64())
}

// Up to these, parts count as sound. Each is drawn short of what its source calls bad.
const (
	soundPath     = 1.8e-3  // Ω of one path; TM 10-3930-671-24, Volt Drop Tests: 0.2 V for each 100 A
	soundRearPath = 2.7e-3  // Ω; 0.3 V for each 100 A, common practice, no source
	soundContact  = 0.2     // V at four tenths of the battery's rating; 0.3 V, common practice, no source
	soundChain    = 10.7e-3 // Ω to the trigger; TM 5-2420-230-24-2, p. 13-33: 1.0 V at 80 A and more
	soundDraw     = 0.048   // A; 0.05 A, common practice, no source
	soundLevel    = 0.75    // of a battery that has done short trips; modelling choice
	soundDrag     = 1.15    // of a new engine's; modelling choice
	soundStarter  = 1.2     // of a new starter's resistance; modelling choice
	// Thick oil grows some 25 times as viscous from 20 to -20 °C, and friction goes with
	// its root; from memory.
	thickOil = 0.04 - oilSlope
)

// soundHealth is the least health of a battery that passes the load test of
// TM 5-4210-230-14&P-1, Table 5, as it comes in, and once it has been charged in the
// workshop. A line through what the model needs, which a test compares with the table.
func soundHealth(level, celsius float64) float64 {
	cold := min(1, max(0, (25-celsius)/20))
	return max(0.7, 0.64+0.65*(0.95-level)+0.08*cold)
}

// wear brings sound parts nearer to those limits, each by itself: most stay far from
// them, a few reach right up.
func (d drawer) wear(p *Params) {
	if d.pop.Wear == 0 {
		return
	}
	worn := func() float64 { u := d.pop.Wear * d.Float64(); return u * u }
	plus, plusUpTo, earth := []branch{bPosCable, bPosJoint}, soundPath, []branch{bCase, bNegJoint}
	if p.Rear {
		plus, plusUpTo = plus[:1], soundRearPath-p.Ohm[bFeed]-p.Ohm[bPosJoint]
	}
	if math.IsInf(p.Ohm[bDirect], 1) {
		earth = append(earth, bStrap, bEarth)
	} else {
		earth = append(earth, bDirect)
	}
	for _, path := range []struct {
		upTo float64
		of   []branch
	}{
		{plusUpTo, plus},
		{soundChain - p.Ohm[bFeed], []branch{bMainFuse, bStartFeed, bStartFuse, bRelay, bTriggerWire}},
		{soundPath, earth},
		{soundContact / (0.4 * setFor(p.Class).rated), []branch{bContact}},
	} {
		left := path.upTo
		for _, b := range path.of {
			if !math.IsInf(p.Ohm[b], 1) {
				left -= p.Ohm[b]
			}
		}
		if b := path.of[d.IntN(len(path.of))]; left > 0 {
			p.Ohm[b] += worn() * left // what is open or not fitted stays so
		}
	}
	b := &p.Battery
	p.Charge.Level -= worn() * max(0, p.Charge.Level-soundLevel)
	least := soundHealth(p.Charge.Level, p.Charge.Celsius)
	b.Health = min(b.Health, 1-worn()*(1-least))
	b.CapacityLeft = min(b.CapacityLeft, 1-worn()*(1-least))
	p.Engine.Drag *= 1 + worn()*(soundDrag-1)
	p.Starter.Ohm *= 1 + worn()*(soundStarter-1)
	p.Engine.Oil = d.pop.Wear * d.Float64() * thickOil
	p.Consumers.Asleep += worn() * (soundDraw - p.Consumers.Asleep)
}

// story has a vehicle with nothing wrong come in with what points to something.
func (d drawer) story(p *Params) {
	s := &p.Seen
	switch d.IntN(5) {
	case 0: // growth that carries as well as bright lead
		s.Positive = "corroded"
		s.Complaint = "groans slowly"
	case 1: // lamps on for an hour, and a neighbour with leads
		s.LeftOn = "owned up to"
		s.Complaint = "fine after jump"
		p.emptier(soundLevel)
		p.Battery.Health = max(p.Battery.Health, soundHealth(soundLevel, p.Charge.Celsius))
	case 2: // an old battery that is good
		s.MadeYear = newYear - 8 - math.Round(4*d.Float64())
		s.Complaint = "after standing"
		s.Days = 10 + math.Round(10*d.Float64())
	case 3: // a lever that was not quite in park, once
		s.Complaint = word(d.chance(0.5), "silent lamps bright", "hot or damp only")
	case 4: // flooded, once
		s.Complaint = word(d.chance(0.5), "turns no fire", "one clunk")
	}
}

// faults draws none, one or two. Battery faults grow commoner with the cold.
func (d drawer) faults(p *Params) []Fault {
	if d.chance(d.pop.Healthy) {
		if d.pop.Stories > 0 && d.chance(d.pop.Stories) {
			d.story(p)
		}
		return nil
	}
	first := d.fault(p, "")
	if first.ID == "" {
		return nil
	}
	drawn := []Fault{first}
	if d.chance(d.pop.TwoFaults) {
		if second := d.fault(p, kinds[first.ID].Part); second.ID != "" {
			drawn = append(drawn, second)
		}
	}
	return drawn
}

// coldShare is how much commoner battery faults grow for each degree under 20 °C.
// Source: guess.
const coldShare = 0.02

func (d drawer) fault(p *Params, without string) Fault {
	weights := make([]float64, len(kindList))
	for i, k := range kindList {
		weights[i] = k.Weight
		if len(d.pop.Weights) > 0 {
			weights[i] = d.pop.Weights[k.ID]
		}
		if k.Family == "battery" {
			weights[i] *= 1 + coldShare*max(0, 20-p.Celsius)
		}
		if without != "" && k.Part == without {
			weights[i] = 0
		}
	}
	if slices.Max(weights) == 0 {
		return Fault{}
	}
	id := kindList[d.pick(weights)].ID
	return Fault{id, lerp(d.pop.Severity[0], d.pop.Severity[1], d.Float64())}
}

// complaint settles what the customer says: what the vehicle does at a turn of the
// key, or, of one that just now starts, what brought them in.
func (d drawer) complaint(v *Vehicle) {
	said := v.complaint()
	if said == "starts now" && len(v.faults) > 0 {
		said = "after standing"
		switch k := kinds[v.faults[0].ID]; k.Family {
		case "cables", "starter", "control", "engine":
			said = "hot or damp only"
		case "battery":
			said = word(d.chance(0.5), "groans slowly", said)
		default:
			said = word(d.chance(0.4), "fine after jump", said)
		}
	}
	v.base.Seen.Complaint, v.par.Seen.Complaint = said, said
}
