package report

import (
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// circuit is the starter circuit in outline with the two probes of one reading
// on it. SVG and text draw the same circuit.
type circuit struct {
	title  string   // "Voltage drop, engine block to body"
	value  string   // "2.35 V ± 0.02 V"
	probes [2]probe // red, then black
}

// probe is one probe and the point it touches.
type probe struct {
	letter string // R or B
	point  string // as declared: "engine_block"
	at     int    // its station on the loop, -1 for none
}

// station is one point of the loop that the cranking current goes round, in
// its order: out of the battery's positive post, through the starter, and back
// through engine and body.
type station struct {
	name  string // as printed
	point string // as the trees declare it
	after string // what lies between it and the next
	x, y  float64
}

// loop is the way of the cranking current. The engine strap and the battery's
// earth cable are drawn as most vehicles have them; the words under the drawing
// say that this one may differ.
var loop = []station{
	{"positive post", "battery_positive_post", "joint", 70, 50},
	{"positive clamp", "battery_positive_clamp", "positive cable", 180, 50},
	{"feed stud", "starter_feed_stud", "solenoid contact", 390, 50},
	{"motor stud", "starter_motor_stud", "starter motor", 530, 50},
	{"starter case", "starter_case", "starter mounting", 590, 176},
	{"engine block", "engine_block", "engine strap", 490, 206},
	{"body", "body", "battery earth cable", 345, 206},
	{"negative clamp", "battery_negative_clamp", "joint", 180, 206},
	{"negative post", "battery_negative_post", "battery", 70, 206},
}

// circuitOf draws where the probes went for a voltage drop; nil for any other
// reading, and between the two posts of the battery.
func circuitOf(f *engine.Fact) *circuit {
	if f == nil || f.Reading == nil || f.Reading.Red == "" || f.Reading.Black == "" {
		return nil
	}
	r := f.Reading
	c := &circuit{text.Clean(f.Ask), text.Clean(f.Text), [2]probe{{"R", r.Red, stationOf(r.Red)}, {"B", r.Black, stationOf(r.Black)}}}
	if first, last := c.between(); last-first == len(loop)-1 {
		return nil
	}
	return c
}

// stationOf finds a declared point on the loop; -1 when it is not on it.
func stationOf(point string) int {
	return slices.IndexFunc(loop, func(s station) bool { return s.point == point })
}

// between is the stretch of the loop that the reading looks at, first and last
// station; the same twice when a probe is not on the loop.
func (c *circuit) between() (first, last int) {
	first, last = min(c.probes[0].at, c.probes[1].at), max(c.probes[0].at, c.probes[1].at)
	if first < 0 {
		return 0, 0
	}
	return first, last
}

// tests reports whether what lies after a station is on that stretch.
func (c *circuit) tests(i int) bool {
	first, last := c.between()
	return first <= i && i < last
}

// words says in a sentence where the probes went.
func (c *circuit) words() string {
	return sentences(c.title+": "+c.value, "Red probe on "+text.Spoken(c.probes[0].point)+", black probe on "+text.Spoken(c.probes[1].point), c.stretch())
}

// stretch names what lies between the probes.
func (c *circuit) stretch() string {
	first, last := c.between()
	if first == last {
		return ""
	}
	return "Between them: " + text.List(each(loop[first:last], func(s station) string { return s.after }), "and")
}

// lines draws the loop in characters, one station a line from the positive
// post down to the negative one, with R and B where the probes are and a
// heavier line between them. Points off the loop stand under it.
func (c *circuit) lines(width int) []string {
	var out []string
	for i, s := range loop {
		out = append(out, c.mark(i)+" o "+s.name)
		if i < len(loop)-1 {
			line := "|"
			if c.tests(i) {
				line = "#"
			}
			out = append(out, "   "+line+"   "+s.after)
		}
	}
	for _, p := range c.probes {
		if p.at < 0 {
			out = append(out, text.Wrap(text.Spoken(p.point)+" (not on this loop)", width, p.letter+"  o ", "     ")...)
		}
	}
	return out
}

// mark is the letter of the probe at a station of the loop.
func (c *circuit) mark(i int) string {
	for _, p := range c.probes {
		if p.at == i {
			return p.letter + " "
		}
	}
	return "  "
}
