package drill

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"deadflat/internal/text"
	"deadflat/internal/vehicle"
)

// Trace is a crank in time between two points: the truth, and what a meter makes of
// it. Its meter has no error of its own: what differs from the truth comes of its
// averaging alone.
type Trace struct {
	Red, Black     string
	*vehicle.Trace           // the truth
	Shown          []float64 // what the display shows, one value a window
	Drop           bool      // it rises with the current, so that a highest hold is what people use
	Whole          bool      // the solenoid rattles, and the record has its contact closed throughout
}

// What a meter makes of a crank, s. Source: from memory, as in vehicle.MeterSpec;
// the quick hold of a better meter takes in 1 ms.
const (
	window    = 0.3   // over which the display averages
	hold      = 0.1   // that a plain lowest hold takes in
	quickHold = 0.001 // that a quick one takes in
)

// How long is recorded, and how much of it is shown when it is slowed down, s.
const (
	traceSeconds = 1.5
	slowSeconds  = 0.3
)

// record cranks a vehicle in thought and gives what happens between two points.
func record(b *bay, red, black string) (*Trace, error) {
	got, err := b.v.Crank(red, black, traceSeconds)
	if err != nil {
		return nil, err
	}
	t := &Trace{Red: red, Black: black, Trace: got, Shown: got.Display(window, 0)}
	t.Drop = last(t.Shown) > t.Volts[0]
	noise, _ := b.v.Observe("engine_turned")
	t.Whole = noise == "rattle" && got.Chops == 0
	return t, nil
}

func (d *Drill) trace(line string, args []string) (Reply, error) {
	red, black := positivePost, negativePost
	if len(args) > 0 {
		x, err := d.measured(line, args)
		if err != nil {
			return Reply{}, err
		}
		red, black = x.reading.Red, x.reading.Black
	}
	if d.traces == mostTraces {
		return Reply{}, fmt.Errorf("%d cranks have been recorded, and there is room for no more", mostTraces)
	}
	if stopped := d.mayCrank("crank"); stopped != "" {
		return Reply{Text: stopped}, nil
	}
	got, err := record(d.bay, red, black)
	if err != nil {
		return Reply{}, err
	}
	s, _ := d.run(&test{line: line, minutes: probeMinutes, cannot: peakCannot, do: func(b *bay) shown { return heard(b, traceSeconds) }})
	d.Acts[len(d.Acts)-1].Trace, d.last = got, got
	d.traces++
	return Reply{Text: s.text() + "\nType slow for the beginning, slowed down.", Trace: got}, nil
}

// mostTraces is how many cranks may be recorded in one drill. Modelling choice.
const mostTraces = 12

func (d *Drill) slow(string, []string) (Reply, error) {
	if d.last == nil {
		return Reply{}, errors.New("no crank has been recorded yet; \"trace\" records one")
	}
	return Reply{Trace: d.last, Slow: true}, nil
}

// furthest is the one of some voltages that lies furthest out: the lowest, or of a drop
// the highest.
func (t *Trace) furthest(xs []float64) float64 {
	if t.Drop {
		return slices.Max(xs)
	}
	return slices.Min(xs)
}

// Furthest is the lowest true voltage, or of a drop the highest, and when it comes, in
// s.
func (t *Trace) Furthest() (volts, at float64) {
	volts = t.furthest(t.Volts)
	return volts, float64(slices.Index(t.Volts, volts)) * t.Step
}

// words are what the trace does and what its hold is called.
func (t *Trace) words() (goes, hold string) {
	if t.Drop {
		return "rises to", "highest"
	}
	return "falls to", "lowest"
}

// held is the running lowest mean over a window, or of a drop the highest, as a hold
// keeps it: one value a sample, NaN before the first window is full.
func (t *Trace) held(seconds float64) []float64 {
	n := max(1, int(math.Round(seconds/t.Step)))
	out := make([]float64, len(t.Volts))
	kept, sum := math.NaN(), 0.0
	for i, x := range t.Volts {
		sum += x
		if (i+1)%n == 0 {
			mean := sum / float64(n)
			if math.IsNaN(kept) {
				kept = mean
			}
			kept, sum = t.furthest([]float64{kept, mean}), 0
		}
		out[i] = kept
	}
	return out
}

// display is what the display shows at each sample, NaN before its first value.
func (t *Trace) display() []float64 {
	n := int(math.Round(window / t.Step))
	out := make([]float64, len(t.Volts))
	for i := range out {
		out[i] = math.NaN()
		if k := i/n - 1; k >= 0 && k < len(t.Shown) {
			out[i] = t.Shown[k]
		}
	}
	return out
}

// Words says in full what the picture of the trace shows.
func (t *Trace) Words() []string {
	volts, at := t.Furthest()
	goes, holds := t.words()
	out := []string{
		fmt.Sprintf("Red on the %s, black on the %s, %.1f s of a crank.", text.Spoken(t.Red), text.Spoken(t.Black), traceSeconds),
		fmt.Sprintf("True: %s %.2f V, %.0f ms after the key.", goes, volts, 1000*at),
		fmt.Sprintf("A display that averages over %.1f s shows %.2f V first and %.2f V at last.", window, t.Shown[0], last(t.Shown)),
		fmt.Sprintf("A %s hold that takes in %.0f ms keeps %.2f V; one that takes in 1 ms keeps %.2f V.", holds, 1000*hold, last(t.held(hold)), last(t.held(quickHold))),
	}
	if t.Whole {
		out = append(out, "It rattles, and this record has the contact closed throughout: a display averages over the breaks as well, so that what is measured while cranking stands nearer to rest.")
	}
	return out
}
