package vehicle

import (
	"math"
	"strings"
)

// Gauge gives a number that is read without probes, by the name of its reading:
// temperatures through a thermometer, the acid of the cells, and what is written on a label. ok is false
// for any other name.
func (v *Vehicle) Gauge(name string, m *Meter) (r Reading, ok bool) {
	switch name {
	case "battery_temp":
		r = v.display(v.charge.Celsius+skinShare*(v.par.Celsius-v.charge.Celsius), "°C", m)
		r.True = v.charge.Celsius
		return r, true
	case "coldest":
		_, night := v.Air()
		return Reading{Value: math.Round(night), Unit: "°C", True: night}, true
	case "regulator_temp":
		warm := v.par.Celsius
		if v.state.engine >= idling {
			warm += underBonnet
		}
		return v.display(warm, "°C", m), true
	}
	if cell, is := strings.CutPrefix(name, "cell_"); is {
		x := v.par.Battery.gravity(&v.charge, cell)
		return Reading{Value: math.Round(x*200) / 200, Unit: "1", True: x}, x > 0
	}
	w, ok := written[name]
	if !ok {
		return Reading{}, false
	}
	x := w.number(v)
	return Reading{Value: x, Unit: w.unit, True: x}, true
}

// Air gives the air's temperature now, and the lowest of the last night, °C: what
// anybody knows without a thermometer on the battery.
func (v *Vehicle) Air() (now, night float64) { return v.par.Celsius, v.par.Celsius - v.par.Day }

// written are the numbers that no meter comes into.
var written = map[string]struct {
	unit   string
	number func(*Vehicle) float64
}{
	"rating":             {"A", func(v *Vehicle) float64 { return v.par.Battery.Rated }},
	"asked_rating":       {"A", func(v *Vehicle) float64 { return v.base.Battery.Rated }},
	"new_rating":         {"A", func(v *Vehicle) float64 { return v.base.Battery.Rated }},
	"asked_capacity":     {"Ah", func(v *Vehicle) float64 { return v.base.Battery.Capacity }},
	"new_capacity":       {"Ah", func(v *Vehicle) float64 { return v.base.Battery.Capacity }},
	"made_year":          {"1", func(v *Vehicle) float64 { return v.par.Seen.MadeYear }},
	"new_made_year":      {"1", func(*Vehicle) float64 { return newYear }},
	"new_made_month":     {"1", func(*Vehicle) float64 { return 1 }},
	"odometer":           {"1", func(v *Vehicle) float64 { return v.par.Seen.Odometer }},
	"vehicle_draw_limit": {"A", func(*Vehicle) float64 { return 0.05 }}, // the vehicle's own data; common practice, no source
	"reserve":            {"1", func(v *Vehicle) float64 { return v.par.Battery.reserve() }},
	"fuse_rating":        {"A", func(*Vehicle) float64 { return 10 }},
	"days_standing":      {"d", func(v *Vehicle) float64 { return v.par.Seen.Days }},
}

// badCell is the cell that fails, counted from the positive post. Modelling choice.
const badCell = "4"

// gravity is the density of the acid of one cell against water, as a float shows it, which
// is read to 0.005. A cell that is shorted holds no charge. 0 is no cell.
//
// Source: TM 5-1185, Table II, for gravity over charge at 27 °C; TM 5-4210-230-14&P-1, battery
// chapter, for 0.004 in 10 °F.
func (b *Battery) gravity(c *Charge, cell string) float64 {
	if !strings.Contains("123456", cell) || len(cell) != 1 {
		return 0
	}
	level := c.Level
	if cell == badCell && b.CellLoss > 0 {
		level = 0
	}
	at27 := interpolate(level, []float64{0, 0.25, 0.5, 0.75, 1}, []float64{1.13, 1.19, 1.22, 1.25, 1.28})
	return at27 - 0.00072*(c.Celsius-26.7)
}

// skinShare is how far the skin of the case goes from the battery's temperature to
// the air's, underBonnet how much warmer it is there with the engine running, K.
// Modelling choices.
const (
	skinShare   = 0.1
	underBonnet = 15
)
