package compare

import (
	"maps"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/prove"
)

// mostFollowed is how many walks one divergence is tried in, mostShifted in how many of them
// with its numbers to one side, mostLed how many are led there.
const (
	mostFollowed = 12
	mostShifted  = 2
	mostLed      = 4
)

// follow puts the witnesses of the proof into walks that come to their steps, as far
// as no walk is known yet that diverges there and ends elsewhere.
func (t *trial) follow(most int) {
	for _, d := range t.divergences {
		for _, s := range t.there(d, mostFollowed) {
			if len(d.Ends) == 0 && !t.enough(most) {
				t.put(d, s, -1, 0)
			}
		}
	}
}

// there lists walks that come to a divergence's step.
func (t *trial) there(d *Divergence, most int) (out []seed) {
	for _, s := range t.corpus {
		if len(out) < most && slices.ContainsFunc(s.steps, func(x *engine.Step) bool { return slices.Contains(d.Steps, x.ID) }) {
			out = append(out, s)
		}
	}
	return out
}

// put walks with a witness in the place of a walk's own answers, one number of it to the side.
func (t *trial) put(d *Divergence, s seed, shifted, side int) {
	changed, keys := t.fromWitness(d, s, shifted, side)
	t.run(seed{answers: changed, worked: s.worked}, keys)
}

// shift puts each number of a witness to either side, as far as the meter can be out: with
// doubt the ways part there, and not at the limit.
func (t *trial) shift(d *Divergence, s seed, most int) {
	for i, x := range d.shown.Shown {
		for _, side := range []int{-1, 1} {
			if d.Walks == 0 && !t.enough(most) && !x.Any && x.Value.Known() && len(x.Words) == 0 {
				t.put(d, s, i, side)
			}
		}
	}
}

// lead walks to the divergences at which no walk parts yet, as the proof says that one can.
func (t *trial) lead(most int) {
	for _, d := range t.divergences {
		for _, s := range t.there(d, mostShifted) {
			t.shift(d, s, most)
		}
		if d.Walks > 0 || t.enough(most) {
			continue
		}
		tried := 0
		d.compared.Lead(d.shown, t.meter, func(rec *engine.Record) bool {
			given := remembered(rec)
			if d.shown.When == "it cannot be done" {
				given[unableKey(base(d.compared.Old))] = answer{unable: true}
			}
			before := len(t.corpus)
			t.run(seed{answers: given}, nil)
			t.shift(d, t.corpus[before], most)
			tried++
			return d.Walks > 0 || tried == mostLed || t.enough(most)
		})
	}
}

// fromWitness is the answers of a walk with those of a witness in their place, one number
// of it to one side (-1 or 1) as far as the meter can be out.
func (t *trial) fromWitness(d *Divergence, from seed, shifted, side int) (answers, []string) {
	out := maps.Clone(from.answers)
	var keys []string
	put := func(key string, a answer) {
		if out[key] != a {
			out[key] = a
			keys = append(keys, key)
		}
	}
	step := base(d.compared.Old)
	if d.shown.When == "it cannot be done" {
		put(unableKey(step), answer{unable: true})
	}
	for k, s := range d.shown.Shown {
		if s.Any || s.Step != "" {
			continue
		}
		a := answer{skip: true}
		if i, ok := s.Value.Certain(); ok && len(s.Words) > 0 {
			a = answer{choice: s.Words[i]}
		} else if s.Value.Known() {
			a = answer{number: s.Value.Best}
		}
		key, r := keyAt(from, step, s.Of, s.Reading)
		if k == shifted && r != nil {
			a.number = snap(a.number+float64(side)*prove.Doubt(t.meter, r, a.number), grid(r))
		}
		put(key, a)
	}
	return out, keys
}

// keyAt is the answer that a step decides on: the take at that step or at the one
// that is meant, else the latest take of the walk. The reading is nil when the walk takes none.
func keyAt(from seed, step, of, named string) (key string, r *engine.Reading) {
	key = keyOf(of, 0)
	for _, g := range from.given {
		if g.reading == nil || g.reading.ID != of {
			continue
		}
		key, r = g.key, g.reading
		if g.step == step || g.step+"."+of == named {
			break
		}
	}
	return key, r
}

// attribute finds the divergence at which two walks with the same answers part.
func (t *trial) attribute(was, is *walk, x *Difference) {
	n := min(len(was.path), len(is.path))
	for i := range n {
		if was.steps[i].ID != is.steps[i].ID {
			return
		}
		if target(was.path[i].To) == target(is.path[i].To) {
			continue
		}
		for _, d := range t.divergences {
			if !d.here(was.steps[i].ID, was.path[i], is.path[i]) {
				continue
			}
			d.Walks++
			if x != nil {
				d.Ends = once(d.Ends, &x.Ends)
			}
		}
		return
	}
}

// here reports whether two ways out of a step are those of the divergence.
func (d *Divergence) here(step string, was, is *engine.Branch) bool {
	c := d.compared
	if c.OldRule != nil { // a rule that stops a walk is told as a branch of the step it stops
		stopped := [2]bool{was.Text == refuses(c.OldRule), is.Text == refuses(c.NewRule)}
		return stopped[0] != d.shown.Was.Passes && stopped[1] != d.shown.Is.Passes
	}
	return slices.Contains(d.Steps, step) && d.BranchWas == was.Text && d.BranchIs == is.Text
}

func refuses(r *engine.Rule) string { return "not (" + r.Text + ")" }
