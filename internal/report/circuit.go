package report

import (
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// circuit is the starter circuit in outline with the two probes of one reading
// on it. SVG and text draw the same circuit.
type circuit struct {
	title      string // "Voltage drop, engine block to body"
	value      string // "2.35 V ± 0.02 V"
	red, black string // points as declared: "engine_block"
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
// reading.
func circuitOf(f *engine.Fact) *circuit {
	r := f.Reading
	if r == nil || !isDrop(r) {
		return nil
	}
	return &circuit{title: text.Clean(f.Ask), value: text.Clean(f.Text), red: r.Red, black: r.Black}
}

// isDrop reports whether a reading is taken between two points that are not
// simply the two posts of the battery.
func isDrop(r *engine.Reading) bool {
	if r.Red == "" || r.Black == "" {
		return false
	}
	ends := [2]int{stationOf(r.Red), stationOf(r.Black)}
	posts := len(loop) - 1
	return ends != [2]int{0, posts} && ends != [2]int{posts, 0}
}

// stationOf finds a declared point on the loop; -1 when it is not on it.
func stationOf(point string) int {
	return slices.IndexFunc(loop, func(s station) bool { return s.point == point })
}

// between is the stretch of the loop that the reading looks at, first and last
// station, or false when a probe is not on the loop.
func (c *circuit) between() (first, last int, ok bool) {
	first, last = stationOf(c.red), stationOf(c.black)
	if first > last {
		first, last = last, first
	}
	return first, last, first >= 0 && first < last
}

// words says in a sentence where the probes went.
func (c *circuit) words() string {
	return sentences(c.title+": "+c.value, "Red probe on "+text.Spoken(c.red)+", black probe on "+text.Spoken(c.black), c.stretch())
}

// stretch names what lies between the probes.
func (c *circuit) stretch() string {
	first, last, ok := c.between()
	if !ok {
		return ""
	}
	var parts []string
	for _, s := range loop[first:last] {
		parts = append(parts, s.after)
	}
	return "Between them: " + text.List(parts, "and")
}

// lines draws the loop in characters, one station a line from the positive
// post down to the negative one, with R and B where the probes are and a
// heavier line between them. Points off the loop stand under it.
func (c *circuit) lines(width int) []string {
	var out []string
	first, last, ok := c.between()
	for i, s := range loop {
		out = append(out, c.mark(i)+" o "+s.name)
		if i < len(loop)-1 {
			line := "|"
			if ok && i >= first && i < last {
				line = "#"
			}
			out = append(out, "   "+line+"   "+s.after)
		}
	}
	for _, e := range c.elsewhere() {
		out = append(out, text.Wrap(text.Spoken(e.point)+" (not on this loop)", width, e.letter+"  o ", "     ")...)
	}
	return out
}

// mark is the letter of the probe at a station of the loop.
func (c *circuit) mark(i int) string {
	switch i {
	case stationOf(c.red):
		return "R "
	case stationOf(c.black):
		return "B "
	}
	return "  "
}

// probe is one probe and the point it touches.
type probe struct{ letter, point string }

// elsewhere lists the probes that touch a point off the loop.
func (c *circuit) elsewhere() []probe {
	var out []probe
	for _, p := range []probe{{"R", c.red}, {"B", c.black}} {
		if stationOf(p.point) < 0 {
			out = append(out, p)
		}
	}
	return out
}
