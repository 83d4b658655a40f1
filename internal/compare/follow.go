package compare

import (
	"maps"
	"slices"

	"deadflat/internal/engine"
)

// mostFollowed is how many walks one divergence is tried in.
const mostFollowed = 12

// follow puts the witnesses of the proof into walks that come to their steps, as far
// as no walk is known yet that diverges there and ends elsewhere.
func (t *trial) follow(most int) {
	for _, d := range t.divergences {
		tried := 0
		for _, s := range slices.Clone(t.corpus) {
			if len(d.Ends) > 0 || tried >= mostFollowed || t.result.Walks >= most {
				break
			}
			if !slices.ContainsFunc(s.steps, func(x *engine.Step) bool { return slices.Contains(d.Steps, x.ID) }) {
				continue
			}
			tried++
			changed, keys := fromWitness(d, s)
			t.run(seed{answers: changed, worked: s.worked}, keys)
		}
	}
}

// fromWitness is the answers of a walk with those of a witness in their place.
func fromWitness(d *Divergence, from seed) (answers, []string) {
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
	for _, s := range d.shown.Shown {
		if s.Any || s.Step != "" {
			continue
		}
		a := answer{skip: true}
		if i, ok := s.Value.Certain(); ok && len(s.Words) > 0 {
			a = answer{choice: s.Words[i]}
		} else if s.Value.Known() {
			a = answer{number: s.Value.Best}
		}
		put(keyAt(from, step, s.Of, s.Reading), a)
	}
	return out, keys
}

// keyAt is the answer that a step decides on: the take at that step or at the one
// that is meant, else the latest take of the walk.
func keyAt(from seed, step, of, named string) string {
	key := keyOf(of, 0)
	for _, g := range from.given {
		if g.reading == nil || g.reading.ID != of {
			continue
		}
		key = g.key
		if g.step == step || g.step+"."+of == named {
			break
		}
	}
	return key
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
