package drill

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/mechanic"
	"deadflat/internal/text"
	"deadflat/internal/trial"
	"deadflat/internal/vehicle"
)

// mistake is one that people make, and how it gets into a record: somebody walks the
// tree rightly but for one reading, and goes on with what it led to.
type mistake struct {
	name    string // what is said when it is named
	why     string // why it is one
	reading string // that it is made in
	trap           // the vehicles on which it misleads
	// take makes the mistake: what is answered for the reading, and how that was
	// taken. It is nil where the record is written by hand: see condemned.
	take func(b *bay, r *engine.Reading) (a engine.Answer, how string)
	head string // beside the record, what gives the mistake away; {air} is how cold it is
}

// mistakes are those of level 7. Modelling choices, all of them common practice's
// own slips.
var mistakes = []mistake{
	{
		name: "wrong state: something was switched on", why: "The rest voltage is read with everything off. With a load on it is lower, and a charged battery passes for a flat one.",
		reading: "rest_voltage", trap: trap{faults: cranksBadly, wants: charged},
		take: inState(map[string]string{"key": "key_on", "loads": "heavy_loads", "engine": "still"}),
	},
	{
		name: "no current: a drop called good without any", why: "No current, no drop: a path reads nothing while nothing flows in it, however bad it is. It is not tested.",
		reading: "earth_drop", trap: trap{faults: []string{"engine_strap_high_resistance", "battery_earth_cable_high_resistance"}, wants: charged},
		take: inState(map[string]string{"key": "key_off", "engine": "still"}),
	},
	{
		name: "peak hold: the first jolt taken for the plateau", why: "A lowest hold keeps the first jolt. The plateau, from the second second on, is what is judged.",
		reading: "crank_voltage", trap: trap{faults: []string{"engine_stiff", "starter_armature_shorted", "engine_does_not_fire"}, wants: func(b *bay) bool { x := posts(b, "cranking"); return charged(b) && x > 9.8 && x < 10.8 }},
		take: func(b *bay, r *engine.Reading) (engine.Answer, string) {
			x := *r
			x.Hold = "lowest"
			tr, err := record(b, x.Red, x.Black)
			if err != nil {
				return engine.Answer{}, ""
			}
			low := last(tr.held(quickHold)) // of a meter that is quick enough to catch the jolt whole
			return engine.Answer{Value: math.Round(100*low) / 100, Unit: "V"}, placed(&x)
		},
	},
	{
		name: "jump post: not read at the battery's own posts", why: "The battery stands elsewhere. What is lost in the long lead shows at the jump post, and a reading there never convicts the battery.",
		reading: "crank_voltage", trap: trap{faults: []string{"positive_feed_joint_high_resistance"}, wants: func(b *bay) bool { return b.v.Params().Rear && charged(b) }},
		take: func(b *bay, r *engine.Reading) (engine.Answer, string) {
			x := *r
			x.Red = "jump_post"
			a, _ := b.m.Take(&x)
			return a, placed(&x)
		},
		head: "The battery is in the boot; there is a post marked + under the bonnet.",
	},
	{
		name: "wrong type: judged by another kind of battery", why: "What is enough for a flooded battery is not for an AGM. The type is read from the label.",
		reading: "chemistry", trap: trap{faults: []string{"short_trips", "battery_worn_out", "battery_failing", "alternator_diode_open"}, wants: func(b *bay) bool {
			x := posts(b)
			return b.v.Params().Battery.Chemistry == vehicle.AGM && x > 12.42 && x < 12.58
		}},
		take: always(engine.Answer{Choice: []string{"flooded"}}),
		head: "Label on the battery: AGM, start-stop.",
	},
	{
		name: "wrong temperature: the cold left out", why: "The floor for cranking and what counts as charged go with the battery's temperature, and the core lags the air by a day. The temperature of a warm hand is none.",
		reading: "battery_temp", trap: trap{faults: cranksBadly, cold: true, diesel: true, wants: func(b *bay) bool { x := posts(b, "cranking"); return charged(b) && x > 8.7 && x < 9.6 }},
		take: always(engine.Answer{Value: 20, Unit: "°C"}),
		head: "The vehicle stood outdoors all night at {air}.",
	},
	{
		name: "battery condemned while flat", why: "A load test of a flat battery says nothing: any flat battery fails it. Charge it first, then test.",
		trap: trap{faults: []string{"battery_discharged", "user_left_on", "short_trips"}, wants: func(b *bay) bool { x := posts(b); return x > 11.8 && x < 12.2 }},
	},
}

// cranksBadly are faults that let the engine turn, with a charged battery.
var cranksBadly = []string{"starter_brushes_worn", "engine_stiff", "engine_strap_high_resistance", "negative_joint_high_resistance", "positive_cable_high_resistance"}

// charged is a battery charged enough for every type.
func charged(b *bay) bool { return posts(b) > 12.6 }

// always answers the same, whatever could be read.
func always(a engine.Answer) func(*bay, *engine.Reading) (engine.Answer, string) {
	return func(*bay, *engine.Reading) (engine.Answer, string) { return a, "" }
}

// inState takes a reading in another state than it asks for.
func inState(state map[string]string) func(*bay, *engine.Reading) (engine.Answer, string) {
	return func(b *bay, r *engine.Reading) (engine.Answer, string) {
		x := *r
		x.Vehicle, x.Hold = whole(state), "settled"
		a, _ := b.m.Take(&x)
		return a, placed(&x)
	}
}

// entry is one line of a record.
type entry struct{ title, read, claim string }

func (e entry) text() string {
	s := e.title + ": " + e.read
	if e.claim != "" {
		s += ". " + e.claim
	}
	return strings.TrimRight(s, ".") + "."
}

// askRecord shows the record of a job with one mistake in it, and asks for the line
// and the reason.
func (d *Drill) askRecord(rng *rand.Rand) *Question {
	m := &mistakes[rng.IntN(len(mistakes))]
	pop := d.population(m.faults...)
	m.set(&pop)
	seed := m.seed(rng.Uint64()>>1, pop)
	draw := func() *bay {
		v, g := trial.Draw(seed, pop)
		v.PutInGear(false)
		return newBay(v, d.Meter, g)
	}
	b := draw()
	if b.v.Unsafe() != "" || m.wants != nil && !m.wants(draw()) {
		return nil
	}
	entries, at := d.wrongly(b, m)
	if at < 0 || m.take != nil && d.harmless(draw(), entries) {
		return nil
	}
	q := &Question{answer: fmt.Sprintf("line %d: %s", at+1, m.name)}
	head := strings.ReplaceAll(m.head, "{air}", degrees(b.v.Params().Celsius))
	q.Text = []string{strings.TrimSpace(fmt.Sprintf("Record of a job. The engine is a %s. %s", b.v.Params().Class, head))}
	for i, e := range entries {
		q.Text = append(q.Text, fmt.Sprintf("  %d. %s", i+1, e.text()))
	}
	q.Text = append(q.Text, "One line has a mistake that the rest follows from. Which, and why? The reasons:")
	for i, x := range mistakes {
		q.Text = append(q.Text, fmt.Sprintf("  %d %s", i+1, x.name))
	}
	q.judge = func(words []string) (bool, string, error) { return judgeRecord(words, entries, at, m) }
	return q
}

// judgeRecord takes a line's number and a reason.
func judgeRecord(words []string, entries []entry, at int, m *mistake) (bool, string, error) {
	words = slices.DeleteFunc(slices.Clone(words), func(w string) bool { return w == "line" || w == "because" })
	if len(words) < 2 {
		return false, "", errors.New("expected the number of a line and a reason, such as: 4 2, or: 4 no current")
	}
	var names []string
	line, err := strconv.Atoi(words[0])
	if err != nil || line < 1 || line > len(entries) {
		return false, "", fmt.Errorf("%q is no line of the record: expected 1 to %d and a reason, such as: 4 2", words[0], len(entries))
	}
	for _, x := range mistakes {
		names = append(names, x.name)
	}
	reason, err := choose(words[1:], names)
	if err != nil {
		return false, "", err
	}
	sameLine, sameReason := line == at+1, names[reason] == m.name
	says := fmt.Sprintf("It is line %d, %s. %s", at+1, m.name, m.why)
	switch {
	case sameLine && !sameReason:
		says = "The line is right, the reason is not. " + says
	case !sameLine && sameReason:
		says = "The reason is right, the line is not. " + says
	}
	return sameLine && sameReason, says, nil
}

// wrongly walks the tree with the mistake and writes the record. At is the line of
// the mistake, -1 when the walk does not come to it.
func (d *Drill) wrongly(b *bay, m *mistake) (entries []entry, at int) {
	w := engine.NewWalk(d.Tree, d.Meter, engine.Kit{})
	how, made := "", false
	for range mostPrompts {
		p := w.Next()
		switch {
		case p.Result != nil || p.Stuck != "":
			if !made {
				return nil, -1
			}
			return d.written(w, b, m, how)
		case m.take == nil && passed(w, "rest_voltage"):
			return d.written(w, b, m, how)
		case m.take != nil && !made && p.Gate == nil && slices.ContainsFunc(p.Fields, func(f engine.Field) bool { return f.Reading.ID == m.reading }):
			said, ok := b.mistake(w, p, m)
			if !ok {
				return nil, -1
			}
			how, made = said, true
			continue
		}
		before := len(w.Events())
		if _, err := b.m.Walk(w, 1); err != nil && !stuck(err) || len(w.Events()) == before {
			return nil, -1
		}
	}
	return nil, -1
}

// mistake answers the fields of a prompt rightly up to the one of the mistake, and
// that one wrongly. How is the way in which it was taken.
func (b *bay) mistake(w *engine.Walk, p *engine.Prompt, m *mistake) (how string, ok bool) {
	for _, f := range p.Fields {
		r := f.Reading
		ev := engine.Event{Do: engine.DoAnswer, Step: p.Step.ID, Reading: r.ID}
		a, err := engine.Answer{}, error(nil)
		if r.ID == m.reading {
			a, how = m.take(b, r)
		} else {
			a, err = b.m.Take(r)
		}
		if ev.Answer = &a; err != nil {
			ev.Do, ev.Answer = engine.DoSkip, nil // what is optional; anything else is refused
		}
		a.Sure = true
		out, err := w.Answer(ev)
		if err != nil || out.Refused != nil {
			return "", false
		}
		if r.ID == m.reading {
			break
		}
	}
	b.m.LetGo()
	return how, true
}

// harmless reports whether a mistake led nowhere else than the right reading would
// have: then the record shows nothing wrong.
func (d *Drill) harmless(b *bay, entries []entry) bool {
	w := engine.NewWalk(d.Tree, d.Meter, engine.Kit{})
	_, _ = b.m.Walk(w, mostPrompts) // a walk that is stuck has steps as well
	right, _ := d.written(w, b, &mistake{take: inState(nil)}, "")
	return slices.EqualFunc(right, entries, func(x, y entry) bool { return x.title == y.title && x.claim == y.claim })
}

// stuck reports whether a mechanic has only come to the end of the prompts it was
// given.
func stuck(err error) bool {
	var s *mechanic.Stuck
	return errors.As(err, &s)
}

// passed reports whether a step with a reading has been passed.
func passed(w *engine.Walk, id string) bool {
	return slices.ContainsFunc(w.Record().Rounds[0].Steps, func(v engine.Visit) bool {
		return v.Explanation != nil && slices.ContainsFunc(v.Takes, func(t engine.Take) bool { return t.Reading.ID == id })
	})
}

// written is the record of a walk as people keep one.
func (d *Drill) written(w *engine.Walk, b *bay, m *mistake, how string) (entries []entry, at int) {
	at = -1
	for _, v := range w.Record().Rounds[0].Steps {
		e := entry{title: title(v.Step)}
		var reads []string
		for _, t := range v.Takes {
			taken := ""
			wrong := t.Reading.ID == m.reading && at < 0
			if wrong {
				at, taken = len(entries), how
			}
			if wrong || kept(t.Reading) {
				reads = append(reads, text.Lower(line(v.Step, t, taken)))
			}
		}
		if e.read = strings.Join(reads, "; "); e.read == "" {
			continue
		}
		if v.Explanation != nil {
			e.claim = v.Explanation.Claim
		}
		entries = append(entries, e)
	}
	if m.take == nil {
		return d.condemned(entries, b)
	}
	if p := w.Next(); p.Result != nil {
		entries = append(entries, entry{title: "Finding", read: p.Result.Finding.Title})
	}
	return entries, at
}

// kept reports whether a reading is worth a line of a short record: not what is the
// same in all of them.
func kept(r *engine.Reading) bool {
	return !r.Hazard && !r.Optional && (!r.Fact || r.ID == "chemistry" || r.ID == "earth_lands")
}

// onDisplay is a reading as the meter shows it, without its doubt.
func onDisplay(t engine.Take) string {
	value, _, _ := strings.Cut(t.Text, " ±")
	return told(value)
}

// condemned ends a record with a load test of a flat battery.
func (d *Drill) condemned(entries []entry, b *bay) ([]entry, int) {
	load, _ := d.loaded("load", nil)
	s := load.do(b)
	if s.none || len(entries) == 0 {
		return nil, -1
	}
	entries[len(entries)-1].claim = ""
	return append(entries,
		entry{"Load test", "half the rating for 15 s, at the posts: " + s.text(), "It falls too far"},
		entry{title: "Finding", read: "Battery worn out, replace it"}), len(entries)
}
