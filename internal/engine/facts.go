package engine

import (
	"math"
	"strings"

	"deadflat/internal/eval"
	"deadflat/internal/text"
)

// facts lists the readings that the deciding comparisons looked at, and those
// taken at the step.
func (w *Walk) facts(d *decision, atoms []int) []Fact {
	s := w.s
	var out []Fact
	seen := map[*Reading]bool{}
	add := func(r *Reading, v *eval.Value) {
		if seen[r] || v.State == eval.NotAsked || v.State == eval.Skipped {
			return
		}
		seen[r] = true
		l := s.latest(r)
		f := Fact{Reading: r, Ask: r.Ask, Assumed: v.State == eval.Assumed, Place: Place(r)}
		f.Best = v.Best
		f.Lo, f.Hi = v.Range()
		if r.Number() {
			f.Lo, f.Hi = math.Max(f.Lo, math.Min(r.Span[0], f.Best)), math.Min(f.Hi, math.Max(r.Span[1], f.Best))
		}
		f.Text = valueText(r, v)
		f.How = w.howTaken(r, v, l)
		out = append(out, f)
	}
	for _, i := range atoms {
		for _, v := range d.step.prog.Atoms[i].Vars() {
			add(s.t.scope.byVar[v], &s.env.Values[v.Slot])
		}
	}
	if d.rule != nil {
		for _, r := range d.rule.Needs {
			add(r, &s.env.Values[r.Index])
		}
	}
	for i := range s.log[d.from:d.to] {
		l := &s.log[d.from+i]
		add(l.reading, &l.value)
	}
	return out
}

// valueText is an answer with its doubt.
func valueText(r *Reading, v *eval.Value) string {
	switch v.State {
	case eval.Skipped, eval.Unable, eval.Unsteady, eval.OverRange, eval.NotAsked:
		return stateWords(v.State)
	}
	if !r.Number() {
		if v.Set == r.All() && len(r.Choices) > 1 {
			return "not sure"
		}
		return strings.Join(r.Words(v.Set), " or ")
	}
	lo, hi := v.Range()
	if v.State == eval.Assumed {
		return show(lo, r.Unit) + " to " + show(hi, r.Unit) + ", assumed"
	}
	switch {
	case hi >= r.Span[1] && v.Above > v.Below:
		return showPlain(v.Best, r.Unit) + " or more (lowest hold)"
	case lo <= r.Span[0] && v.Below > v.Above:
		return showPlain(v.Best, r.Unit) + " or less (highest hold)"
	}
	return showDoubt(v.Best, lo, hi, r.Unit)
}

// Place says where a reading is taken: "from engine block to body", "clamp round
// battery negative lead", or nothing of what is only seen.
func Place(r *Reading) string {
	switch {
	case r.Red != "":
		return "from " + text.Spoken(r.Red) + " to " + text.Spoken(r.Black)
	case r.Clamp != "" && r.Meter == "amps_dc":
		return "in " + text.Spoken(r.Clamp)
	case r.Clamp != "":
		return "clamp round " + text.Spoken(r.Clamp)
	}
	return ""
}

func (w *Walk) howTaken(r *Reading, v *eval.Value, l *sample) string {
	switch v.State {
	case eval.Assumed:
		if r.Assume != nil {
			return "assumed from " + text.Lower(r.Assume.By.Ask) + " (" + r.Assume.Source + ")"
		}
		return "assumed"
	case eval.Unable, eval.Skipped, eval.Unsteady, eval.OverRange:
		if l != nil {
			return l.why
		}
		return ""
	}
	var parts []string
	switch {
	case l != nil && l.ans != nil && l.ans.Held != "":
		parts = append(parts, l.ans.Held+" hold")
	case r.Meter != "none" && r.Hold != "":
		parts = append(parts, holdWords(r.Hold))
	}
	switch {
	case r.Meter != "none" && w.meter != nil:
		parts = append(parts, w.meter.Name+" meter")
	case r.Sees != "":
		parts = append(parts, "seen")
	case len(parts) == 0:
		parts = append(parts, "asked")
	}
	return strings.Join(parts, ", ")
}

func holdWords(h string) string {
	switch h {
	case "settled":
		return "settled display"
	case "plateau":
		return "figure the display keeps returning to"
	case "ripple":
		return "alternating part"
	case "first":
		return "first moment"
	case "lowest", "highest":
		return h + " hold"
	}
	return strings.Replace(h, "at: ", "after ", 1)
}

// takeOf lays out one answer for reading.
func (w *Walk) takeOf(s *state, l sample) Take {
	t := Take{Seq: l.seq, Reading: l.reading, Step: l.step, Round: s.round, State: takeState(l.value.State),
		Text: valueText(l.reading, &l.value), How: w.howTaken(l.reading, &l.value, &l), Best: l.value.Best,
		Stale: l.epoch != s.epoch && !l.reading.Fact}
	if l.ans != nil {
		t.Answer = *l.ans
	}
	t.Lo, t.Hi = l.value.Range()
	if l.reading.Number() {
		t.Lo, t.Hi = math.Max(t.Lo, math.Min(l.reading.Span[0], t.Best)), math.Min(t.Hi, math.Max(l.reading.Span[1], t.Best))
	}
	if l.value.State == eval.Unable && l.why != "" {
		t.Text += ": " + l.why
	}
	return t
}

func takeState(s eval.State) string {
	return [...]string{"", "taken", "assumed", "skipped", "unable", "unsteady", "over range"}[s]
}

func (f *Fact) sentence() string {
	s := text.Lower(f.Ask) + ": " + f.Text
	if strings.HasSuffix(f.Ask, "?") {
		s = f.Ask + " " + text.Capital(f.Text)
	}
	var extra []string
	for _, e := range []string{f.Place, f.How} {
		if e != "" {
			extra = append(extra, e)
		}
	}
	if len(extra) > 0 {
		s += " (" + strings.Join(extra, ", ") + ")"
	}
	return text.Stop(s)
}
