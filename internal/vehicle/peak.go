package vehicle

import "math"

// peakSeconds is how long a crank is watched for a lowest or highest hold.
const peakSeconds = 1.5

// readPeak takes a lowest or highest hold over a crank from the transient.
func (v *Vehicle) readPeak(red, black Node, hold string, m *Meter) (Reading, error) {
	t := v.trace(red, black, peakSeconds, v.fine(m.Peak))
	low, high := t.Extremes(m.Peak)
	x := low
	if hold == "highest" {
		x = high
	}
	s := v.solve()
	if v.isCranking() {
		k := v.turned
		v.spend(&k, peakSeconds)
	}
	r := v.display(x, "V", m)
	r.True = s.between(red, black)
	r.Low, r.High = low, high
	return r, nil
}

// fine is the step that a hold which takes in so many seconds asks for: a fine one, but
// for a slow hold on an engine that turns as it should, where nothing opens and closes.
func (v *Vehicle) fine(window float64) float64 {
	if k := v.present(); window >= 100*coarse && k.outcome == Turns && k.speed >= slow*v.expected() {
		return coarse
	}
	return tick
}

// Extremes gives the lowest and the highest mean over a window of so many
// seconds, as a meter's hold with that window keeps it. The windows follow one
// another, as a meter's conversions do.
func (t *Trace) Extremes(window float64) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, x := range t.Display(window, 0) {
		low, high = math.Min(low, x), math.Max(high, x)
	}
	return low, high
}

// Display gives what a display that averages over a window shows, one value for
// each window, beginning at a time after the start.
func (t *Trace) Display(window, from float64) []float64 {
	n := max(1, int(math.Round(window/t.Step)))
	var shown []float64
	for i := int(math.Round(from / t.Step)); i+n <= len(t.Volts); i += n {
		sum := 0.0
		for _, x := range t.Volts[i : i+n] {
			sum += x
		}
		shown = append(shown, sum/float64(n))
	}
	return shown
}
