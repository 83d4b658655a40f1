package report

import (
	"math"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
	"deadflat/internal/unit"
)

// closeCalls lists the decisions that the doubt of the readings left open, and
// how each was settled.
func (d *draft) closeCalls() section {
	s := section{title: "Close calls"}
	for i, round := range d.rec.Rounds {
		if round.Result == nil || len(round.Result.Close) == 0 {
			continue
		}
		l := list{}
		if d.several() {
			l.lead = d.roundTitle(i)
		}
		for _, c := range round.Result.Close {
			l.items = append(l.items, item{text: text.Sentence(c.Text), under: closeness(c)})
		}
		s.parts = append(s.parts, l)
	}
	if len(s.parts) == 0 && d.done() {
		s.parts = []part{para{text: "None: every reading lay further from its limits than its doubt reaches."}}
	}
	return s
}

// closeness is the margin of a close call beside the doubt that it drowned in.
func closeness(c engine.CloseCall) string {
	u, known := unit.Lookup(c.Unit)
	if !known || c.Doubt <= 0 || !finite(c.Margin, c.Doubt) {
		return ""
	}
	return "margin " + short(c.Margin, u) + ", doubt " + short(c.Doubt, u)
}

// short prints a small quantity to two figures.
func short(base float64, u *unit.Unit) string {
	decimals := 0
	if v := math.Abs(u.From(base)); v > 0 {
		decimals = min(6, max(0, 1-int(math.Floor(math.Log10(v)))))
	}
	return unit.Format(base, u, decimals)
}

// notTested says of each round what became of the other findings: those ruled
// out and those that could not be tested by name, those that were not needed by
// their number. A stop needs no list. Then the readings that could not be had.
func (d *draft) notTested() section {
	s := section{title: "What was ruled out, and what was not tested"}
	for i, round := range d.rec.Rounds {
		r := round.Result
		if r == nil {
			continue
		}
		parts := others(r)
		if d.several() && len(parts) > 0 {
			s.parts = append(s.parts, heading{3, d.roundTitle(i)})
		}
		s.parts = append(s.parts, parts...)
	}
	if !d.done() || !d.rec.Next.Result.Finding.Stop {
		s.parts = append(s.parts, d.notHad()...)
	}
	return s
}

// others says what became of the findings that a round did not end in.
func others(r *engine.Result) []part {
	if r.Finding.Stop {
		return []part{para{text: "The tests stopped at this finding, so nothing else was tested."}}
	}
	var parts []part
	if len(r.Cleared) > 0 {
		parts = append(parts, list{lead: "Ruled out:", items: items(findingTitles(r.Cleared))})
	}
	var reasons []string
	lists := map[string][]item{}
	unasked, unsettled := 0, 0
	for _, n := range r.NotTested {
		switch {
		case strings.HasPrefix(n.Why, "not asked on this way"):
			unasked++
		case n.Why == "tested, neither found nor ruled out":
			unsettled++
		default:
			if lists[n.Why] == nil {
				reasons = append(reasons, n.Why)
			}
			lists[n.Why] = append(lists[n.Why], item{text: text.Capital(text.Clean(n.Finding.Title))})
		}
	}
	for _, why := range reasons {
		parts = append(parts, list{lead: untested(text.Clean(why)), items: lists[why]})
	}
	if text := unneeded(r.Finding, unasked, unsettled); text != "" {
		parts = append(parts, para{text: text})
	}
	return parts
}

// untested heads a list of findings whose test was asked for in vain.
func untested(why string) string {
	if why == "skipped" {
		return "Not tested, because a reading was passed over:"
	}
	return "Could not be tested (" + strings.TrimPrefix(why, "could not be taken: ") + "):"
}

// unneeded says of how many findings nothing is said, and why that is as it
// should be.
func unneeded(f *engine.Finding, unasked, unsettled int) string {
	var out []string
	if unasked > 0 {
		were := " were"
		if unasked == 1 {
			were = " was"
		}
		text := text.Count(unasked, "other finding") + were + " not looked for"
		if len(f.Faults) > 0 {
			text += ", because this one was found first"
		}
		out = append(out, text)
	}
	if unsettled > 0 {
		out = append(out, "What was read neither shows nor rules out "+text.Count(unsettled, "other finding"))
	}
	if len(out) > 0 {
		out = append(out, "The JSON form of this report has the names")
	}
	return sentences(out...)
}

// notHad lists the readings that were asked for and could not be had: those
// passed over in a sentence, the others with the reason.
func (d *draft) notHad() []part {
	var parts []part
	var skipped []string
	l := list{lead: "Readings that could not be taken:"}
	for _, r := range d.rec.Readings {
		switch why := whyNotHad(r); why {
		case "":
		case "skipped":
			skipped = append(skipped, r.Reading.Ask)
		default:
			l.items = append(l.items, item{text: r.Reading.Ask, under: why})
		}
	}
	if len(l.items) > 0 {
		parts = append(parts, l)
	}
	if len(skipped) > 0 {
		parts = append(parts, para{lead: "Passed over when asked:", text: text.Sentence(titles(skipped))})
	}
	return parts
}

// skippedNow reports whether a reading was passed over in the end, which
// notHad says.
func (d *draft) skippedNow(r *engine.Reading) bool {
	return slices.ContainsFunc(d.rec.Readings, func(s engine.ReadingState) bool { return s.Reading == r && s.State == "skipped" })
}

// whyNotHad says why a reading that was asked for has no value. One that later
// work made out of date had one, and stands so among the takes.
func whyNotHad(r engine.ReadingState) string {
	switch r.State {
	case "skipped", "unable", "unsteady", "over range":
		if r.Take != nil && r.Take.Text != "" {
			return r.Take.Text
		}
		return r.State
	}
	return ""
}

// putBack lists every temporary change the walk made, whether it has been undone,
// and how that is done where it has not.
func (d *draft) putBack() section {
	s := section{title: "What the tests changed on the vehicle"}
	words := slices.Clone(d.rec.PutBack)
	for _, round := range d.rec.Rounds {
		for _, visit := range round.Steps {
			words = append(words, visit.Step.Leaves...)
		}
	}
	t := table{caption: "Temporary changes", head: []string{"Change", "Now"}}
	for i, w := range words {
		if slices.Contains(words[:i], w) {
			continue
		}
		state := "undone"
		if slices.Contains(d.rec.PutBack, w) {
			state = sentences("still so, to be put back before the vehicle is used", d.rec.Back[w])
		}
		t.rows = append(t.rows, []item{{text: text.Capital(text.Spoken(w))}, {text: state}})
	}
	s.parts = t.unlessEmpty()
	switch {
	case d.done() && len(t.rows) == 0:
		s.parts = []part{para{text: "Nothing: the tests left no temporary change on the vehicle."}}
	case d.done() && len(d.rec.PutBack) > 0:
		s.parts = append(s.parts, para{text: "The job is not closed before all of it is put back."})
	}
	return s
}

// noteHeads are the words with which a note can say what it is: "declined: new
// battery". They stand in the order of the report.
var noteHeads = []struct{ word, title string }{
	{"vehicle", "Vehicle"},
	{"customer", "In the customer's words"},
	{"old battery", "Old battery"},
	{"new battery", "New battery"},
	{"declined", "Declined by the customer"},
	{"advice", "Advice given"},
	{"", "Made on the way"},
}

// onTop is how many of the heads belong beside the words for the customer.
const onTop = 2

// whose tells whose vehicle it is and what the customer said of it, from the
// notes that begin so.
func (d *draft) whose() *facts {
	f := &facts{}
	filed := d.filed()
	for _, h := range noteHeads[:onTop] {
		for _, i := range filed[h.word] {
			f.add(h.title, i.text)
		}
	}
	return f
}

// filed sorts the notes by what they say they are.
func (d *draft) filed() map[string][]item {
	filed := map[string][]item{}
	for _, n := range d.rec.Notes {
		head, text := noteHead(n.Text)
		filed[head] = append(filed[head], item{text: text, under: join(d.noteStep(n.Step), d.clock.at(n.At))})
	}
	return filed
}

// notes files the other notes of the job under what they are about.
func (d *draft) notes() section {
	s := section{title: "Notes"}
	filed := d.filed()
	for _, h := range noteHeads[onTop:] {
		if len(filed[h.word]) > 0 {
			s.parts = append(s.parts, list{lead: h.title, items: filed[h.word]})
		}
	}
	return s
}

// noteHead splits a note into the word it begins with and the rest. A note that
// begins with none of the words is kept whole.
func noteHead(note string) (head, rest string) {
	before, after, found := strings.Cut(text.Clean(note), ":")
	word := strings.ToLower(strings.TrimSpace(before))
	for _, h := range noteHeads {
		if found && word != "" && h.word == word {
			return word, strings.TrimSpace(after)
		}
	}
	return "", note
}

// noteStep is the title of the step that was open when a note was made.
func (d *draft) noteStep(id string) string {
	if s := stepNamed(d.rec.Tree, id); s != nil {
		return s.Title
	}
	return text.Spoken(id)
}
