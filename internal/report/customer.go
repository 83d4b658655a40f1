package report

import (
	"cmp"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// subtitle says what this paper is and when the work was done.
func (d *draft) subtitle() string {
	begun, ended := d.rec.Begun, d.rec.Ended
	switch {
	case begun.IsZero():
		return "Report of the tests"
	case d.clock.days:
		return "Report of the tests from " + day(begun) + ", " + begun.Format("15:04") + ", to " + day(ended) + ", " + ended.Format("15:04")
	default:
		return "Report of the tests on " + day(begun) + ", " + begun.Format("15:04") + " to " + ended.Format("15:04")
	}
}

// customer is the plain paragraph for the owner, one for each round: what it
// found, in the words that the tree has for the owner, and what that rests on.
// The last says how far to rely on it and what is still open.
func (d *draft) customer() section {
	parts := each(d.customerWords(), func(text string) part { return para{text: text} })
	return section{title: "For the customer", role: forCustomer, parts: d.whose().after(parts)}
}

// customerWords are the paragraphs for the owner.
func (d *draft) customerWords() []string {
	var out []string
	for i, round := range d.rec.Rounds {
		r := round.Result
		if r == nil {
			continue
		}
		decided := ""
		if i == 0 || measured(round) {
			decided = decidedBy(round)
		}
		out = append(out, sentences(d.leadIn(i), cmp.Or(r.Customer, r.Finding.Title), decided))
	}
	if last := sentences(append(d.standing(), d.openWork())...); last != "" {
		out = append(out, last)
	}
	return out
}

// leadIn joins a round to the ones before it: the same tests once more, or the
// next part of the job.
func (d *draft) leadIn(i int) string {
	if i == 0 {
		return ""
	}
	t := d.rec.Rounds[i].Tree
	if t == nil || slices.ContainsFunc(d.rec.Rounds[:i], func(r engine.RoundRecord) bool { return r.Tree == t }) {
		return "The vehicle was then tested again"
	}
	return "The next part of the work was “" + text.Clean(t.Title) + "”"
}

// measured reports whether an instrument decided a round. An answer to what is
// asked of whoever does the work tells the owner nothing once it has gone on.
func measured(round engine.RoundRecord) bool {
	v := settled(round)
	if v.fact != nil {
		return byInstrument(*v.fact)
	}
	return v.rule != nil && slices.ContainsFunc(lastDecision(round).Facts, byInstrument)
}

func byInstrument(f engine.Fact) bool {
	r := f.Reading
	return r != nil && r.Number() && (r.Red != "" || r.Clamp != "")
}

// standing says in plain words where the job stands and how far its last
// finding can be relied on.
func (d *draft) standing() []string {
	switch {
	case d.done():
		return []string{standing(d.rec.Next.Result)}
	case d.several():
		return []string{"The tests after that work are not finished, so it is not proved yet that nothing else is wrong"}
	default:
		return []string{"The tests are not finished", "Until they are, nothing should be replaced on the strength of this paper"}
	}
}

// openWork warns of what is still undone on the vehicle.
func (d *draft) openWork() string {
	if len(d.rec.PutBack) == 0 {
		return ""
	}
	return "Still changed on the vehicle, and to be undone before it is used: " + text.List(each(d.rec.PutBack, text.Spoken), "and")
}

// standing says how far a result can be relied on. A stop that no close call
// touches is no matter of more or less sure.
func standing(r *engine.Result) string {
	switch {
	case r.Certainty == engine.Likely && len(r.Missing) > 0:
		missing := each(r.Missing, func(m engine.Missing) string { return m.Text })
		return "This finding is likely, not firm. What would prove it was not read: " + text.List(missing, "and")
	case r.Certainty == engine.Likely:
		return "This finding is likely, not firm: a reading came too close to its limit, and on the other side of that limit the work may be different"
	case r.Finding.Stop:
		return ""
	}
	return "This finding is firm: no reading that it rests on came too close to a limit to be relied on"
}
