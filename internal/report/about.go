package report

import (
	"cmp"
	"fmt"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// about says what the report rests on, so that another person can check it: the
// tree and its edition, the meter and the kit, and how the job was answered.
func (d *draft) about() section {
	var f facts
	for _, t := range d.trees() {
		f.add("Decision tree", fmt.Sprintf("%s (“%s”), edition %d", t.Name, t.Title, t.Edition))
		f.add("Its fingerprint", t.Hash)
		f.add("Its author", t.Author)
		f.add("Status", t.Review.String())
		f.add("Changed", t.Changed)
	}
	f.add("Meter", meter(d.rec))
	f.add("Equipment at hand", equipment(d.rec.Kit))
	f.add("Suspected, and its test taken first", text.Sentence(titles(findingTitles(d.rec.Suspected))))
	f.add("Answers taken back", times(d.rec.Undone))
	f.add("Job left and taken up again", times(d.rec.Paused))
	f.add("Crank attempts", fmt.Sprintf("%d, those taken back included", d.rec.Cranks))
	return section{title: "About this report", parts: []part{
		f,
		para{text: "The ± after a reading is the most that the meter and the way it was used can be out. A limit that depends on readings has a doubt of its own. No chance or probability is meant by either."},
	}}
}

// trees lists the trees of the rounds, each once.
func (d *draft) trees() []*engine.Tree {
	if len(d.rec.Rounds) == 0 {
		return []*engine.Tree{d.rec.Tree}
	}
	var out []*engine.Tree
	for _, r := range d.rec.Rounds {
		if !slices.Contains(out, r.Tree) {
			out = append(out, r.Tree)
		}
	}
	return out
}

// meter names the meter and where its accuracy is known from.
func meter(rec *engine.Record) string {
	m := rec.Meter
	if m == nil {
		return rec.Kit.Meter
	}
	return sentences(m.Name+": "+m.Title, labelled("Source: ", m.Source))
}

func equipment(k engine.Kit) string {
	switch {
	case k.Has == nil:
		return "everything the tree asks for"
	case len(k.Has) == 0:
		return "nothing but the meter"
	default:
		return text.List(each(k.Has, text.Spoken), "and")
	}
}

func times(n int) string {
	return cmp.Or(map[int]string{0: "none", 1: "once", 2: "twice"}[n], fmt.Sprintf("%d times", n))
}
