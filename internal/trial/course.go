package trial

import (
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/mechanic"
)

// course is a fixed list of readings that is taken on every vehicle.
type course []asked

type asked struct {
	reading *engine.Reading
	load    *engine.Step // the load test that it belongs to, nil for none
}

// course lists every reading of the trees: what is looked at and asked first, then
// what is read with everything off, with small loads, under a load test, while
// cranking, and with the engine running. Peak holds are left out: the steady reading
// beside each says more, and they take a transient.
func (o *Options) course() course {
	var c course
	seen := map[string]bool{}
	for _, t := range o.trees() {
		for _, st := range t.Steps {
			for _, r := range st.Take {
				if seen[r.ID] || r.Hold == "lowest" || r.Hold == "highest" {
					continue
				}
				seen[r.ID] = true
				a := asked{reading: r}
				if st.Kind == engine.LoadTest && st.Act != "" && r.Red != "" {
					a.load = st
				}
				c = append(c, a)
			}
		}
	}
	slices.SortStableFunc(c, func(a, b asked) int { return a.stage() - b.stage() })
	return c
}

// stage orders the readings, so that what disturbs the battery comes late.
func (a asked) stage() int {
	key, running := a.reading.Vehicle["key"], a.reading.Vehicle["engine"]
	switch {
	case running != "" && running != "still" && running != "cranking":
		return 5
	case key == "key_start" || running == "cranking":
		return 4
	case a.load != nil:
		return 3
	case key == "key_on":
		return 2
	case len(a.reading.Vehicle) > 0:
		return 1
	}
	return 0
}

// What stands for a reading that the vehicle does not give, and for one over the
// meter's range: apart from every value.
const (
	notGiven  = -1e6
	overRange = 1e6
)

// width is the number of readings of one vehicle.
func (c course) width() int { return 2 * len(c) }

// read takes the course as the vehicle comes in, and once more when it has been
// charged and has rested. One that must not be charged, or cannot be, is read again as
// it is.
func (c course) read(m *mechanic.Mechanic) []float32 {
	v := m.Vehicle
	row := c.once(m, make([]float32, 0, c.width()))
	if v.Unsafe() == "" && !m.Lacks("charger") {
		// A hazard that only shows now leaves it as it is, too.
		_ = v.Act("charge", "12 h")
	}
	_ = v.Act("all_off", "4 h")
	return c.once(m, row)
}

func (c course) once(m *mechanic.Mechanic, row []float32) []float32 {
	for _, a := range c {
		row = append(row, a.take(m))
	}
	m.LetGo()
	return row
}

// take takes one reading as a number: of a choice its place in the list.
func (a asked) take(m *mechanic.Mechanic) float32 {
	if a.load != nil && (m.Vehicle.Unsafe() != "" || m.Vehicle.Act(a.load.Act, a.load.For) != nil) {
		return notGiven
	}
	got, err := m.Take(a.reading)
	if err == nil && got.Value < 0 && a.reading.Red != "" && a.load == nil {
		got, err = m.Take(a.reading) // a minus sign makes people look again
	}
	switch {
	case err != nil:
		return notGiven
	case got.State != "":
		return overRange
	case len(got.Choice) > 0:
		return float32(slices.Index(a.reading.Choices, got.Choice[0]))
	}
	return float32(got.Value)
}
