package engine

import (
	"embed"
	"math"
	"slices"

	"deadflat/internal/eval"
	"deadflat/internal/source"
	"deadflat/internal/unit"
)

// Meter is what is known of how far a meter can be out, by function and range.
// The form is the usual one: a share of the reading and a number of counts of
// the last digit.
type Meter struct {
	Name   string
	Title  string
	Source string
	Text   string // the YAML file that it was read from

	ranges [8][]MeterRange // by number of the function
}

// MeterRange is one range of one function. Base units of the function.
type MeterRange struct {
	UpTo       float64 // highest reading of the range, either sign
	Percent    float64 // of the reading
	Digits     float64 // counts of the last digit
	Resolution float64 // one count
	group      uint8   // readings on one range share the proportional error
}

var meterFunctions = []string{"volts_dc", "volts_ac", "amps_clamp", "amps_dc", "ohms", "thermometer", "hydrometer", "none"}

// meterDims is what each function reads.
var meterDims = map[string]unit.Dim{"volts_dc": {Volt: 1}, "volts_ac": {Volt: 1}, "amps_clamp": {Amp: 1}, "amps_dc": {Amp: 1}, "ohms": {Volt: 1, Amp: -1}, "thermometer": {Kelvin: 1}, "hydrometer": {}}

// functionsFor lists the functions that read a quantity.
func functionsFor(dim unit.Dim) []string {
	var out []string
	for _, f := range meterFunctions {
		if reads, ok := meterDims[f]; ok && reads == dim {
			out = append(out, f)
		}
	}
	return out
}

// Ranges gives the ranges of a function, lowest first; nil when the meter says
// nothing of it.
func (m *Meter) Ranges(function string) []MeterRange {
	if i := slices.Index(meterFunctions, function); i >= 0 {
		return m.ranges[i]
	}
	return nil
}

//go:embed meters
var shippedMeters embed.FS

// Meters gives the three general meters that ship: basic, workshop, calibrated.
func Meters() []*Meter {
	return []*Meter{FindMeter("basic"), FindMeter("workshop"), FindMeter("calibrated")}
}

// FindMeter gives a shipped meter by name; nil if there is none.
func FindMeter(name string) *Meter {
	file := "meters/" + name + ".yaml"
	text, err := shippedMeters.ReadFile(file)
	if err != nil {
		return nil
	}
	faults := &source.Faults{}
	m := ReadMeter(file, text, faults)
	if m == nil {
		panic("the shipped meters do not load: " + faults.Sorted()[0].Message)
	}
	return m
}

// ReadMeter reads a meter from a YAML file with one entry under `meters`. It returns
// nil when that cannot be read. A figure in a unit that its function does not read is a fault
// as well, but counts as the number that it is: jobs carry such meters.
func ReadMeter(name string, data []byte, faults *source.Faults) *Meter {
	before := faults.Len()
	misfits := &source.Faults{}
	ms := readMeters(name, data, faults, misfits)
	unreadable := faults.Len() > before || len(ms) == 0
	faults.Join(misfits)
	if unreadable {
		return nil
	}
	ms[0].Text = string(data)
	return ms[0]
}

func readMeters(name string, data []byte, faults, misfits *source.Faults) []*Meter {
	f := source.Read(name, data, faults)
	if f == nil || f.Root == nil {
		return nil
	}
	r := source.Reader{File: f, Faults: faults}
	top := r.Map(f.Root)
	if top == nil {
		return nil
	}
	list := r.List(top.Get("meters"))
	if len(list) == 0 {
		r.Fault("missing-key", f.Root, "a meter file has `meters:` with at least one entry")
	}
	var out []*Meter
	for _, n := range list {
		if m := r.Map(n); m != nil {
			out = append(out, readMeter(r, m, misfits))
		}
	}
	top.Done()
	return out
}

func readMeter(r source.Reader, m *source.Mapping, misfits *source.Faults) *Meter {
	meter := &Meter{Name: r.Text(m.Get("meter")), Title: r.Text(m.Get("title")), Source: r.Text(m.Get("source"))}
	if meter.Name == "" || meter.Source == "" {
		r.Fault("missing-key", m.Node, "a meter needs `meter: NAME` and `source:` (where its accuracy comes from)")
	}
	for fi, fn := range meterFunctions {
		n := m.Get(fn)
		if n == nil {
			continue
		}
		for i, k := range r.List(n) {
			if row := r.Map(k); row != nil {
				mr := readRange(r, row, fn, misfits)
				mr.group = uint8(fi*16 + i + 1)
				meter.ranges[fi] = append(meter.ranges[fi], mr)
			}
		}
		if len(meter.ranges[fi]) > 15 || !slices.IsSortedFunc(meter.ranges[fi], func(a, b MeterRange) int { return int(math.Copysign(1, a.UpTo-b.UpTo)) }) {
			r.Fault("wrong-shape", n, "the ranges of a function ascend by `up_to`, at most 15 of them")
		}
	}
	m.Done()
	return meter
}

func readRange(r source.Reader, row *source.Mapping, function string, misfits *source.Faults) MeterRange {
	var mr MeterRange
	quantity := func(key, what string, want unit.Dim) float64 {
		n := row.Get(key)
		if n == nil {
			r.Fault("missing-key", row.Node, "a range needs `%s`", key)
			return 0
		}
		exact, u, ok := number(r, n)
		if !ok {
			return 0
		}
		v, _ := exact.Float64()
		dim := u.Dim
		dim.Point = false // a thermometer's last digit may be given in °C
		switch {
		case v < 0:
			r.Fault("bad-quantity", n, "a quantity of 0 or more is wanted here, like \"20 V\"")
		case !source.IsNumber(n) && (dim != want || dim == unit.Dim{} && u.Name != "1"):
			misfits.Add("unit-mismatch", r.File.At(n), r.File.Width(n), "%q is no %s: write %s", r.Text(n), what, like(want))
		}
		return v
	}
	reads := meterDims[function]
	mr.UpTo, mr.Resolution = quantity("up_to", "reading of "+function, reads), quantity("resolution", "reading of "+function, reads)
	mr.Percent, mr.Digits = quantity("percent", "plain number", unit.Dim{}), quantity("digits", "plain number", unit.Dim{})
	row.Done()
	return mr
}

// like is how a quantity is written.
func like(dim unit.Dim) string {
	if dim == (unit.Dim{}) {
		return "digits only, as in 3"
	}
	return "it as " + dim.String()
}

// measure turns an answer into what can be true: the meter's error, the doubt of
// the method, and which way a held peak leaves it open.
func (m *Meter) measure(r *Reading, a *Answer) eval.Value {
	switch a.State {
	case "unsteady":
		return eval.Value{State: eval.Unsteady}
	case "over range":
		return eval.Value{State: eval.OverRange}
	}
	if !r.Number() {
		return choiceValue(r, a)
	}
	v := eval.Value{State: eval.Taken}
	u := r.Unit
	if a.Unit != "" && a.Unit != u.Name {
		u, _ = unit.Lookup(a.Unit)
	}
	v.Best = u.Base(a.Value)
	wide := r.AlsoOutBy
	wide += math.Abs(u.Base(a.OutBy) - u.Base(0))
	m.doubt(r.meter, &v, &wide)
	v.Below, v.Above = wide, wide
	switch {
	case a.Held == "lowest" && r.Hold != "lowest":
		v.Above = math.Max(wide, r.Span[1]-v.Best)
	case a.Held == "highest" && r.Hold != "highest":
		v.Below = math.Max(wide, v.Best-r.Span[0])
	}
	return v
}

// possible reports whether a value that the meter shows can be true of the reading:
// it lies inside the span, or outside by no more than the meter and the method can be
// out, as a clamp that shows a little less than nothing.
func (m *Meter) possible(r *Reading, base float64) bool {
	v, wide := eval.Value{Best: base}, r.AlsoOutBy
	if m != nil {
		m.doubt(r.meter, &v, &wide)
	}
	wide += v.Gain * math.Abs(base)
	return base >= r.Span[0]-wide && base <= r.Span[1]+wide
}

// doubt adds what the meter's function and range can be out by.
func (m *Meter) doubt(function int, v *eval.Value, wide *float64) {
	ranges := m.ranges[function]
	if len(ranges) == 0 {
		return
	}
	mr := &ranges[len(ranges)-1]
	for i := range ranges {
		if math.Abs(v.Best) <= ranges[i].UpTo {
			mr = &ranges[i]
			break
		}
	}
	v.Gain, v.Group = mr.Percent/100, mr.group
	*wide += mr.Digits * mr.Resolution
}
