package vehicle

import "math"

// pass lets time go by in the present state. The clock ends at the sum of the whole, not of
// the steps: four hours are four hours, however the steps were rounded.
func (v *Vehicle) pass(seconds float64) {
	end := v.clock + seconds
	for left := seconds; left > 0; {
		s := v.solve()
		step := min(left, v.stride(s.battery))
		before := v.charge
		v.par.Battery.carry(&v.charge, s.battery, step)
		v.clock += step
		left -= step
		v.drift += math.Abs(v.moved(&before)) + v.wakes(step)
	}
	v.clock = end
	if v.state.loads == loadsHeavy || v.state.door || v.state.key != keyOff || v.attached.tester > 0 {
		v.history.loaded = v.clock
	}
}

// stride is the longest step that keeps the charge from moving far.
func (v *Vehicle) stride(amps float64) float64 {
	full := 3600 * v.par.Battery.Capacity * v.par.Battery.CapacityLeft
	step := 0.01 * full / max(math.Abs(amps), 1e-3)
	if v.state.key == keyOff {
		if t := v.clock - v.keyed; t < v.par.Consumers.Sleep {
			step = min(step, 60)
		}
	}
	if left := v.started + makesGood - v.clock; v.state.engine >= idling && left > 0 {
		step = min(step, left)
	}
	return max(step, 1)
}

// moved is how far the battery's voltage has moved since, V.
func (v *Vehicle) moved(before *Charge) float64 {
	b := &v.par.Battery
	rise := chemistries[b.Chemistry].rise
	c := &v.charge
	move := rise*math.Abs(c.Level-before.Level) + math.Abs(c.Slow-before.Slow) + math.Abs(c.Sag-before.Sag) +
		math.Abs(c.Surface[0]-before.Surface[0]) + math.Abs(c.Surface[1]-before.Surface[1])
	if c.LinkGone != before.LinkGone {
		move++
	}
	return move
}

// wakes counts as movement when the modules have just gone a step nearer to sleep,
// or the alternator's voltage is commanded otherwise.
func (v *Vehicle) wakes(step float64) float64 {
	if running := v.clock - v.started; v.state.engine >= idling && v.saves(running) != v.saves(running-step) {
		return 1
	}
	if v.state.key != keyOff {
		return 0
	}
	q := &v.par.Consumers
	if q.keyOff(v.clock-v.keyed) != q.keyOff(v.clock-step-v.keyed) {
		return 1
	}
	return 0
}

// Cranks is how often the starter has been used, and for how many seconds in all.
func (v *Vehicle) Cranks() (count int, seconds float64) { return v.history.cranks, v.history.cranking }

// spend takes the charge of a crank.
func (v *Vehicle) spend(k *crank, seconds float64) {
	before := v.charge
	v.par.Battery.carry(&v.charge, k.steady.battery, seconds)
	if k.opened {
		v.exhaust()
	}
	v.drift += v.moved(&before)
	v.clock += seconds
	v.history.cranks++
	v.history.cranking += seconds
	v.history.loaded = v.clock
}
