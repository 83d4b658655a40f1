package drill

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
	"deadflat/internal/vehicle"
)

// plainly asks for readings whose own names in the trees give the points away.
var plainly = map[string]string{
	"positive_joint_drop":    "the drop over the joint of the positive clamp, while cranking",
	"negative_joint_drop":    "the drop over the joint of the negative clamp, while cranking",
	"block_to_body":          "the drop over the engine's earth strap, while cranking",
	"jump_post_drop":         "the drop of the long lead from a battery in the boot, while cranking",
	"charging_positive_drop": "the drop of the positive side of the charging path, at 2,000 rpm with heavy loads on",
	"charging_earth_drop":    "the drop of the earth side of the charging path, at 2,000 rpm with heavy loads on",
	"control_drop":           "what is lost in the whole control circuit, with the key held in start",
	"ignition_voltage":       "the voltage at the battery's posts with the ignition and small loads on",
	"lamps_voltage":          "the voltage at the battery's posts with a door open and small loads on",
	"motor_voltage":          "the voltage that the starter's motor itself gets, with the key held in start",
}

// askProbes asks where the probes go for a reading of the trees, and in which state.
// What is answered is measured on a vehicle, beside what was meant.
func (d *Drill) askProbes(rng *rand.Rand) *Question {
	v := vehicle.Draw(rng, vehicle.Practice())
	v.PutInGear(false)
	b := newBay(v, d.Meter, rng)
	all := d.probed(b)
	if len(all) == 0 || v.Unsafe() != "" {
		return nil
	}
	r := all[rng.IntN(len(all))]
	if meant := *r; b.shown(&meant).none {
		return nil
	}
	ask := plainly[r.ID]
	if ask == "" {
		ask = strings.Replace(text.Lower(r.Ask), "loads on", "heavy loads on", 1)
	}
	said, _ := v.Observe("complaint")
	q := &Question{answer: fmt.Sprintf("%s: %s", ask, placed(r)), bay: b}
	q.Text = []string{
		fmt.Sprintf("The engine is a %s. The customer says: %s.", v.Params().Class, told(said)),
		fmt.Sprintf("You want this reading: %s.", ask),
		"Where does red go, where black, and in which state is the vehicle?",
	}
	q.judge = func(words []string) (bool, string, error) { return b.judge(r, words) }
	return q
}

// probed are the readings by probes that can be asked for: those whose names do not
// say where the probes go, or that we have other words for.
func (d *Drill) probed(b *bay) []*engine.Reading {
	var out []*engine.Reading
	seen := map[string]bool{}
	points := b.points()
	for _, t := range d.Library.Trees() {
		for _, r := range t.Readings {
			gives := strings.Contains(r.Ask, " to ") || strings.Contains(r.Ask, "rom ")
			if seen[r.ID] || r.Red == "" || len(r.Vehicle) == 0 || gives && plainly[r.ID] == "" || !slices.Contains(points, r.Red) || !slices.Contains(points, r.Black) || strings.HasPrefix(r.Red, ofSecondBattery) || strings.HasPrefix(r.Black, ofSecondBattery) {
				continue
			}
			if tellsState(r) {
				seen[r.ID] = true
				out = append(out, r)
			}
		}
	}
	return out
}

// tellsState reports whether the state of a reading can be known from what is asked:
// a load on a tester, a lamp through the engine, a charge or some minutes before it
// are more than a state.
func tellsState(r *engine.Reading) bool {
	for _, s := range []string{"lamp lit", "with the lamp", "load", "after", "collapse", "flat battery", "charge", "new battery", "that fuse"} {
		if strings.Contains(r.Ask, s) && plainly[r.ID] == "" && !strings.Contains(r.Ask, "loads o") {
			return false
		}
	}
	return true
}

// judge holds typed points and a state against a reading.
func (b *bay) judge(want *engine.Reading, words []string) (bool, string, error) {
	got, err := b.between(words)
	if err != nil {
		return false, "", err
	}
	meant := *want
	meant.Vehicle = whole(want.Vehicle)
	var wrong []string
	switch {
	case got.Red == want.Red && got.Black == want.Black:
	case got.Red == want.Black && got.Black == want.Red:
		wrong = append(wrong, "The points are right, but red and black are changed over: the meter shows the other sign.")
	default:
		wrong = append(wrong, "Those are not the two points.")
	}
	if !sameState(got.Vehicle, meant.Vehicle) {
		wrong = append(wrong, "That is not the state.")
	}
	comment := strings.Join(append(wrong, fmt.Sprintf("It is: %s.", placed(want))), " ")
	return len(wrong) == 0, comment + " " + b.compare(got, &meant), nil
}

// whole is a state with what it does not name switched off.
func whole(state map[string]string) map[string]string {
	out := map[string]string{}
	for _, s := range states {
		out[s.kind] = cmp.Or(state[s.kind], s.off())
	}
	return out
}

// sameState reports whether two states are the same for a reading. With the key held
// in start, what else is switched on does not matter.
func sameState(a, b map[string]string) bool {
	start := func(s map[string]string) bool { return s["key"] == "key_start" || s["engine"] == "cranking" }
	if start(a) || start(b) {
		return start(a) == start(b)
	}
	for _, s := range states {
		k := s.kind
		x, y := a[k], b[k]
		if k == "engine" {
			x, y = strings.Replace(x, "idling", "running", 1), strings.Replace(y, "idling", "running", 1)
		}
		if x != y && !(k == "key" && runs(a) && runs(b)) {
			return false
		}
	}
	return true
}

// compare measures both on the vehicle.
func (b *bay) compare(got, meant *engine.Reading) string {
	right := b.shown(meant).text()
	if got.Red == meant.Red && got.Black == meant.Black && sameState(got.Vehicle, meant.Vehicle) {
		return fmt.Sprintf("On this vehicle: %s", text.Stop(right))
	}
	yours := "On this vehicle yours shows nothing, as it cannot be read"
	if s := b.shown(got); !s.none {
		yours = "On this vehicle yours shows " + s.text()
	}
	return fmt.Sprintf("%s; what was asked for: %s", yours, text.Stop(right))
}

// shown is what the meter shows of a reading; a hold that only trees have is taken as
// a display that has settled.
func (b *bay) shown(r *engine.Reading) shown {
	if !slices.Contains(holds, r.Hold) {
		r.Hold = "settled"
	}
	return read(r, "V")(b)
}
