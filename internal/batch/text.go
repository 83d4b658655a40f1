package batch

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"

	"deadflat/internal/engine"
)

// Line gives a result as one line of text, for streams.
func (d *Decider) Line(r *Result) string {
	var b strings.Builder
	if r.Line > 0 {
		fmt.Fprintf(&b, "line %d", r.Line)
	}
	if len(r.Vehicle) > 0 {
		fmt.Fprintf(&b, " (%s)", clean(string(r.Vehicle)))
	}
	if b.Len() > 0 {
		b.WriteString(": ")
	}
	switch r.State() {
	case Bad:
		fmt.Fprintf(&b, "error: %s", clean(r.Err.Error()))
	case Found:
		fmt.Fprintf(&b, "%s (%s)", clean(r.Ending.Finding.Title), r.runner.Certainty())
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
	p.line("%s, edition %d, %s", clean(d.Tree.Title), d.Tree.Edition, d.Tree.Hash)
	p.line("Meter: %s", clean(d.Meter.Name))
	if len(r.Vehicle) > 0 {
		p.line("Vehicle: %s", clean(string(r.Vehicle)))
	}
	if r.Err != nil {
		p.line("error: %s", clean(r.Err.Error()))
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
type page struct{ b *bytes.Buffer }

func (p page) line(format string, args ...any) { fmt.Fprintf(p.b, format+"\n", args...) }

func (p page) head(title string) { p.line("\n%s", title) }

// say writes a labelled line unless there is nothing to say.
func (p page) say(label, text string) {
	if text != "" {
		p.line("  %s: %s", label, clean(text))
	}
}

func (p page) finding(r *engine.Result) {
	p.head("Finding")
	p.line("  %s", clean(r.Finding.Title))
	for _, c := range r.Finding.Cautions {
		p.say("Caution", c)
	}
	p.say("How sure", string(r.Certainty))
	p.say("Faults", strings.Join(r.Finding.Faults, ", "))
	p.say("Remedy", r.Remedy)
	p.say("For the customer", r.Customer)
	p.say("Left open", r.Open)
	p.say("Put back", strings.Join(r.PutBack, ", "))
}

func (p page) next(rec *engine.Record) {
	n := nextOf(rec)
	p.head("Needed next")
	p.line("  At step %s: %s", n.Step, clean(n.Title))
	for _, r := range n.Readings {
		kind := r.Unit
		if r.Choices != nil {
			kind = strings.Join(r.Choices, " | ")
		}
		if r.Optional {
			kind += ", may be left out"
		}
		p.line("  %s: %s [%s]", r.Name, clean(r.Ask), clean(kind))
	}
	if n.Done {
		p.line("  %s.%s: that the step was carried out [yes]", n.Step, doneWord)
	}
	p.head("Still possible")
	for _, f := range rec.Next.Possible {
		p.line("  %s", clean(f.Title))
	}
}

func (p page) path(rec *engine.Record) {
	p.head("The way there")
	for _, round := range rec.Rounds {
		for _, v := range round.Steps {
			p.line("  %s (%s)", clean(v.Step.Title), v.Step.ID)
			if v.Explanation != nil {
				p.explanation(v.Explanation)
			}
		}
	}
}

func (p page) explanation(e *engine.Explanation) {
	if e.Claim != "" {
		p.line("    %s", clean(e.Claim))
	}
	for _, f := range e.Facts {
		p.say("  Read", joined(", ", f.Ask+" "+f.Text, f.Place, f.How))
	}
	for _, c := range e.Rules {
		p.say("  Held against", joined("; ", joined(", ", c.Left, c.Value, c.Is+" "+c.Limit)+": "+c.Holds, c.Margin, c.Source))
	}
	p.say("  Not the other way", e.Foil)
	p.say("  Would change it", e.Flip)
	p.say("  How sure", e.Sure)
	p.say("  Rules out", strings.Join(e.Clears, ", "))
	p.say("  Says nothing about", e.NotYet)
	if e.Next != "" {
		p.line("    %s", clean(e.Next))
	}
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
		p.line("  %s: %s", clean(t.Reading.Ask), clean(joined(", ", t.Text, step, t.How, stale)))
	}
}

func (p page) doubts(r *engine.Result) {
	if len(r.Close) > 0 {
		p.head("Close calls")
		for _, c := range r.Close {
			p.line("  %s: %s", clean(c.Step.Title), clean(c.Text))
		}
	}
	if len(r.Cleared) > 0 {
		p.head("Ruled out")
		for _, f := range r.Cleared {
			p.line("  %s", clean(f.Title))
		}
	}
	if len(r.NotTested) > 0 {
		p.head("Not tested")
		for _, n := range r.NotTested {
			p.line("  %s: %s", clean(n.Finding.Title), clean(n.Why))
		}
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

// clean keeps what a row or a tree says from steering a terminal: everything
// that is not seen when printed becomes a blank.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == '\u2028' || r == '\u2029' {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
}
