package terminal

import (
	"slices"

	"deadflat/internal/engine"
)

// circuit is the starting circuit, 38 columns wide: battery, posts, clamps,
// cables, solenoid, starter, engine block and body. Each "o" is a place that
// spots knows by name.
var circuit = []string{
	".---. post clamp feed   motor  starter",
	"| + |--o----o=====o-[ / ]-o---.-----.",
	"|   |       trigger o         |  M  |",
	"| - |--o----o==o===========o==o-----'",
	"'---' post clamp body   block case",
}

// spots are the points of the circuit that can be marked: row and column in
// the drawing, both from 0.
var spots = map[string][2]int{
	"battery_positive_post":  {1, 7},
	"battery_positive_clamp": {1, 12},
	"starter_feed_stud":      {1, 18},
	"starter_motor_stud":     {1, 26},
	"trigger_terminal":       {2, 20},
	"starter_case":           {3, 30},
	"engine_block":           {3, 27},
	"body":                   {3, 15},
	"battery_negative_clamp": {3, 12},
	"battery_negative_post":  {3, 7},
	"battery_negative_lead":  {3, 13},
}

// picture marks where a reading is taken: R for the red probe, B for the black
// one, C for the clamp meter. Nil when a point does not stand in the drawing.
func picture(r *engine.Reading) []string {
	if r.Red+r.Black+r.Clamp == "" {
		return nil
	}
	out := slices.Clone(circuit)
	for _, m := range []struct{ point, mark string }{{r.Red, "R"}, {r.Black, "B"}, {r.Clamp, "C"}} {
		at, known := spots[m.point]
		if m.point != "" && !known {
			return nil
		}
		if row := out[at[0]]; known {
			out[at[0]] = row[:at[1]] + m.mark + row[at[1]+1:]
		}
	}
	return out
}
