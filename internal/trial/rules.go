package trial

import "deadflat/internal/engine"

// rules are the rules of thumb that a tree is held against: each reads the posts
// once and calls the battery bad under a voltage.
var rules = [...]struct {
	Name  string
	under float64 // V
	state map[string]string
	hold  string
}{
	// Source of both: common practice, no source.
	{"replace under 12.4 V at rest", 12.4, map[string]string{"key": "key_off", "doors": "closed", "loads": "loads_off", "engine": "still"}, "settled"},
	{"replace under 9.6 V while cranking", 9.6, map[string]string{"key": "key_start", "doors": "closed", "loads": "loads_off", "engine": "cranking"}, "plateau"},
}

// rules asks the rules of thumb about the same vehicle, as it came in.
func (c *Case) rules(o *Options) {
	for i, r := range rules {
		m, _ := o.job(c.Seed)
		a, err := m.Take(&engine.Reading{Red: "battery_positive_post", Black: "battery_negative_post", Vehicle: r.state, Hold: r.hold, Meter: "volts_dc"})
		c.Rules[i] = err == nil && a.Value < r.under
	}
}
