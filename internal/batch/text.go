package batch

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// Line gives a result as one line of text, for streams.
func (d *Decider) Line(r *Result) string {
	var b strings.Builder
	if r.Line > 0 {
		fmt.Fprintf(&b, "line %d", r.Line)
	}
	if len(r.Vehicle) > 0 {
		fmt.Fprintf(&b, " (%s)", text.Clean(string(r.Vehicle)))
	}
	if b.Len() > 0 {
		b.WriteString(": ")
	}
	switch r.State() {
	case Bad:
		fmt.Fprintf(&b, "error: %s", text.Clean(r.Err.Error()))
	case Found:
		fmt.Fprintf(&b, "%s (%s)", text.Clean(r.Ending.Finding.Title), r.runner.Certainty())
	case More:
		rec := r.runner.Record()
		n := nextOf(rec)
		fmt.Fprintf(&b, "needs %s at step %s; findings still possible: %d", strings.Join(n.names(), ", "), n.Step, len(rec.Next.Possible))
	}
	return b.String()
}

// names lists what is needed next by the names it can be given under.
func (n *jsonNext) names() []string {
	var names []string
	for _, r := range n.Readings {
		if !r.Optional {
			names = append(names, r.Name)
		}
	}
	if n.Done {
		names = append(names, n.Step+"."+doneWord)
	}
	return names
}

// Text gives a result as a page of text, for one vehicle.
func (d *Decider) Text(r *Result) []byte {
	var b bytes.Buffer
	p := page{&b}
	p.line("%s, edition %d, %s", text.Clean(d.Tree.Title), d.Tree.Edition, d.Tree.Hash)
	p.line("Meter: %s", text.Clean(d.Meter.Name))
	if len(r.Vehicle) > 0 {
		p.line("Vehicle: %s", text.Clean(string(r.Vehicle)))
	}
	if r.Err != nil {
		p.line("error: %s", text.Clean(r.Err.Error()))
		return b.Bytes()
	}
	rec := r.runner.Record()
	result := rec.Next.Result
	if result != nil {
		p.finding(result)
	} else {
		p.next(rec)
	}
	p.path(rec)
	p.takes("Readings", rec.Takes)
	if result != nil {
		p.doubts(result)
	}
	p.takes("Given, but not asked for on this way", rec.Dropped)
	return b.Bytes()
}

// page writes the parts of a text result.
type page struct{ b io.Writer }

func (p page) line(format string, args ...any) { fmt.Fprintf(p.b, format+"\n", args...) }

func (p page) head(title string) { p.line("\n%s", title) }

// say writes a labelled line unless there is nothing to say.
func (p page) say(label, says string) {
	if says != "" {
		p.line("  %s: %s", label, text.Clean(says))
	}
}

func (p page) finding(r *engine.Result) {
	p.head("Finding")
	p.line("  %s", text.Clean(r.Finding.Title))
	for _, c := range r.Finding.Cautions {
		p.say("Caution", c)
	}
	if !r.Finding.Stop || r.Certainty != engine.Firm { // of a stop there is nothing to be sure
		p.say("How sure", string(r.Certainty))
	}
	p.say("Faults", strings.Join(r.Finding.Faults, ", "))
	p.say("Remedy", r.Remedy)
	p.say("For the customer", r.Customer)
	p.say("Left open", r.Open)
	for _, word := range r.PutBack {
		p.say("Still changed on the vehicle", strings.TrimSuffix(text.Spoken(word)+": "+r.Back[word], ": "))
	}
}

func (p page) next(rec *engine.Record) {
	n := nextOf(rec)
	p.head("Needed next")
	p.line("  At step %s: %s", n.Step, text.Clean(n.Title))
	for _, r := range n.Readings {
		kind := r.Unit
		if r.Choices != nil {
			kind = strings.Join(r.Choices, " | ")
		}
		if r.Optional {
			kind += ", may be left out"
		}
		p.line("  %s: %s [%s]", r.Name, text.Clean(r.Ask), text.Clean(kind))
	}
	if n.Done {
		p.line("  %s.%s: that the step was carried out [yes]", n.Step, doneWord)
	}
	p.head("Still possible")
	for _, f := range rec.Next.Possible {
		p.line("  %s", text.Clean(f.Title))
	}
}

func (p page) path(rec *engine.Record) {
	p.head("The way there")
	for _, round := range rec.Rounds {
		for _, v := range round.Steps {
			p.line("  %s (%s)", text.Clean(v.Step.Title), v.Step.ID)
			if v.Explanation != nil {
				p.explanation(v.Explanation)
			}
		}
	}
}

func (p page) explanation(e *engine.Explanation) {
	if e.Claim != "" {
		p.line("    %s", text.Clean(e.Claim))
	}
	for _, f := range e.Facts {
		p.say("  Read", joined(", ", told(f.Ask, f.Text), f.Place, f.How))
	}
	for _, c := range e.Rules {
		p.say("  Held against", joined("; ", compared(c), c.Margin, c.Source))
	}
	p.say("  Not the other way", e.Foil)
	p.say("  Would change it", e.Flip)
	p.say("  How sure", e.Sure)
	p.say("  Rules out", strings.Join(e.Clears, "; "))
	p.say("  Says nothing about", e.NotYet)
	if e.Next != "" {
		p.line("    %s", text.Clean(e.Next))
	}
}

// told is what was asked and what came of it.
func told(ask, text string) string {
	if strings.HasSuffix(ask, "?") {
		return ask + " " + text
	}
	return ask + ": " + text
}

// compared is a reading and how it compares with what it was held against, as it
// is true of the best values.
func compared(c engine.Comparison) string {
	left := c.Left
	if c.Value != "" && c.Value != c.Limit {
		left += " (" + c.Value + ")"
	}
	switch {
	case c.Is == "":
		return "how " + left + " compares with " + c.Limit + " is not known"
	case !c.Drawn && c.Holds == "too close to call":
		return left + " may or may not be " + c.Limit
	}
	return joined(" ", left, c.Is, c.Limit)
}

func (p page) takes(title string, takes []engine.Take) {
	if len(takes) > 0 {
		p.head(title)
	}
	for _, t := range takes {
		step, stale := "", ""
		if t.Step != nil {
			step = "at " + t.Step.ID
		}
		if t.Stale {
			stale = "no longer valid"
		}
		p.line("  %s", text.Clean(joined(", ", told(t.Reading.Ask, t.Text), step, t.How, stale)))
	}
}

func (p page) doubts(r *engine.Result) {
	if len(r.Close) > 0 {
		p.head("Close calls")
		for _, c := range r.Close {
			p.line("  %s: %s", text.Clean(c.Step.Title), text.Clean(c.Text))
		}
	}
	if r.Finding.Stop {
		p.line("\nThe tests stopped at this finding, so nothing else was tested.")
		return
	}
	if len(r.Cleared) > 0 {
		p.head("Ruled out")
		for _, f := range r.Cleared {
			p.line("  %s", text.Clean(f.Title))
		}
	}
	p.notTested(r)
}

// notTested names the findings whose test was asked for in vain, and counts
// those that were not looked for.
func (p page) notTested(r *engine.Result) {
	unasked, unsettled := 0, 0
	var named []string
	for _, n := range r.NotTested {
		switch n.Why {
		case "not asked on this way":
			unasked++
		case "tested, neither found nor ruled out":
			unsettled++
		default:
			named = append(named, fmt.Sprintf("%s: %s", n.Finding.Title, n.Why))
		}
	}
	if len(named) > 0 {
		p.head("Could not be tested")
		for _, n := range named {
			p.line("  %s", text.Clean(n))
		}
	}
	if unasked+unsettled > 0 {
		p.head("Not needed")
		if unasked > 0 {
			p.line("  Findings that were not looked for on this way: %d", unasked)
		}
		if unsettled > 0 {
			p.line("  Findings that what was read neither shows nor rules out: %d", unsettled)
		}
		p.line("  --json has their names.")
	}
}

// joined joins the texts that are not empty.
func joined(sep string, texts ...string) string {
	var some []string
	for _, t := range texts {
		if t != "" {
			some = append(some, t)
		}
	}
	return strings.Join(some, sep)
}
