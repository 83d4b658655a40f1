package report

import (
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// takes lists everything that was measured, seen or told, with its doubt, how
// it was taken and when: first the facts, which last the whole job, then the
// readings of each round.
func (d *draft) takes() section {
	s := section{title: "What was measured, seen and told", role: detail}
	var lasting []engine.Take
	rounds := map[int][]engine.Take{}
	last := 0
	for _, t := range d.rec.Takes {
		if t.Reading.Fact {
			lasting = append(lasting, t)
			continue
		}
		rounds[t.Round] = append(rounds[t.Round], t)
		last = max(last, t.Round)
	}
	s.parts = d.takeTable(s.parts, "Facts of the vehicle and its battery, which last the whole job", lasting)
	for round := 0; round <= last; round++ {
		s.parts = d.takeTable(s.parts, d.takesCaption(round), rounds[round])
	}
	unused := "Given early, and kept for later steps"
	if d.done() {
		unused = "Given, but asked for by no step"
	}
	s.parts = d.takeTable(s.parts, unused, d.rec.Dropped)
	return s
}

func (d *draft) takesCaption(round int) string {
	if i := round - 1; d.several() && i >= 0 && i < len(d.rec.Rounds) {
		return "Readings of " + d.inRound(i)
	}
	return "Readings, in the order they were taken"
}

// takeTable adds a table of takes, unless there are none.
func (d *draft) takeTable(parts []part, caption string, takes []engine.Take) []part {
	t := table{caption: caption, head: []string{"Reading", "Read", "How it was taken", "Step", "Time"}}
	old := !slices.ContainsFunc(takes, func(t engine.Take) bool { return !t.Stale })
	if old {
		t.caption += "; work done since has made all of them out of date"
	}
	for _, take := range takes {
		if take.State == "skipped" && d.skippedNow(take.Reading) {
			continue
		}
		take.Stale = take.Stale && !old
		t.rows = append(t.rows, []item{
			{take.Reading.Ask, where(take.Reading)},
			{take.Text, remark(take)},
			{take.How, ""},
			{stepTitle(take.Step), ""},
			{d.clock.at(take.At), ""},
		})
	}
	return append(parts, t.withoutEmptyColumns().unlessEmpty()...)
}

// remark says what else must be known of a take before it is relied on.
func remark(t engine.Take) string {
	var s string
	if t.State == "assumed" {
		s = "assumed, not measured"
	}
	if t.Answer.Sure {
		s = join(s, "looked odd, asked about and confirmed")
	}
	if t.Stale {
		s = join(s, "out of date since later work")
	}
	return s
}

// where says where the probes or the clamp go.
func where(r *engine.Reading) string {
	if r.Red != "" && r.Black != "" {
		return "red on " + text.Spoken(r.Red) + ", black on " + text.Spoken(r.Black)
	}
	return engine.Place(r)
}

func stepTitle(s *engine.Step) string {
	if s == nil {
		return ""
	}
	return s.Title
}

// beforeAfter sets the takes that later work made out of date beside those
// that were taken again after it. Of a hazard check asked again only a change is
// worth a line.
func (d *draft) beforeAfter() section {
	t := table{caption: "Readings that were taken again after work was done", head: []string{"Reading", "Before", "After"}}
	for _, pair := range pairs(d.rec.Takes) {
		if pair.before.Reading.Hazard && pair.before.Text == pair.after.Text {
			continue
		}
		t.rows = append(t.rows, []item{
			{pair.before.Reading.Ask, where(pair.before.Reading)},
			{pair.before.Text, d.clock.at(pair.before.At)},
			{pair.after.Text, d.clock.at(pair.after.At)},
		})
	}
	return section{title: "Before and after", parts: t.unlessEmpty()}
}

// pair is a stale take and the next take of the same reading.
type pair struct{ before, after engine.Take }

// pairs finds each stale take and the take of the same reading that came next,
// in the order of the retakes.
func pairs(takes []engine.Take) []pair {
	var out []pair
	stale := map[*engine.Reading]engine.Take{}
	for _, t := range takes {
		if before, ok := stale[t.Reading]; ok {
			out = append(out, pair{before, t})
		}
		delete(stale, t.Reading)
		if t.Stale {
			stale[t.Reading] = t
		}
	}
	return out
}
