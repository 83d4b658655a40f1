package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/text"
	"deadflat/internal/unit"
)

// jsonFormat is the number of the JSON contract that doc.go describes. It goes
// up when a field changes its meaning or goes away, not when one is added.
const jsonFormat = 2

// JSON writes the report for other programs: one object, indented, in the shape
// of Document. Errors are w's.
func JSON(w io.Writer, rec *engine.Record) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("", "  ")
	if err := e.Encode(NewDocument(rec)); err != nil {
		return fmt.Errorf("write report: %w", err)
	}
	return emit(w, EscapeJSON(b.Bytes()))
}

// EscapeJSON writes the runes of a JSON text that would act on a terminal as \u
// escapes, so that they are kept but not sent. Such runes can only stand inside
// strings.
func EscapeJSON(doc []byte) []byte {
	if bytes.IndexFunc(doc, acts) < 0 {
		return doc
	}
	var out bytes.Buffer
	for _, r := range string(doc) {
		switch {
		case !acts(r):
			out.WriteRune(r)
		case r > 0xFFFF:
			r -= 0x10000
			fmt.Fprintf(&out, `\u%04x\u%04x`, 0xD800+r>>10, 0xDC00+r&0x3FF)
		default:
			fmt.Fprintf(&out, `\u%04x`, r)
		}
	}
	return out.Bytes()
}

func acts(r rune) bool { return r != '\n' && text.Hidden(r) }

// NewDocument lays a record out in the shape of the JSON report.
func NewDocument(rec *engine.Record) *Document {
	d := &draft{rec: rec, clock: newClock(rec)}
	doc := &Document{
		Report: jsonFormat, Title: rec.Tree.Title, Begun: stamp(rec.Begun), Ended: stamp(rec.Ended), Finished: d.done(),
		Customer: some(d.customerWords()),
		Takes:    jsonTakes(rec.Takes), Dropped: jsonTakes(rec.Dropped),
		PutBack: some(rec.PutBack), HowBack: howBack(rec), Closed: d.done() && len(rec.PutBack) == 0, Suspected: findingIDs(rec.Suspected), Kit: jsonKit(rec),
		Cranks: rec.Cranks, Undone: rec.Undone, Paused: rec.Paused,
		Trees: []Tree{}, Rounds: []Round{}, BeforeAfter: []Retake{}, Readings: make([]Standing, 0, len(rec.Readings)), Notes: []Note{},
	}
	for _, t := range d.trees() {
		doc.Trees = append(doc.Trees, Tree{t.Name, t.Title, t.Edition, t.Hash, t.Author, t.Reviewed, t.Changed})
	}
	for i, r := range rec.Rounds {
		doc.Rounds = append(doc.Rounds, jsonRound(i+1, r))
	}
	for _, p := range pairs(rec.Takes) {
		doc.BeforeAfter = append(doc.BeforeAfter, Retake{p.before.Reading.ID, p.before.Seq, p.after.Seq})
	}
	for _, r := range rec.Readings {
		doc.Readings = append(doc.Readings, jsonStanding(r))
	}
	for _, n := range rec.Notes {
		doc.Notes = append(doc.Notes, Note{stamp(n.At), n.Step, n.Text})
	}
	if !d.done() && rec.Next != nil && rec.Next.Step != nil {
		doc.Next = jsonNext(rec.Next)
	}
	return doc
}

func howBack(rec *engine.Record) []string {
	out := []string{}
	for _, w := range rec.PutBack {
		out = append(out, rec.Back[w])
	}
	return out
}

func jsonKit(rec *engine.Record) Kit {
	k := Kit{Meter: rec.Kit.Meter, Has: rec.Kit.Has}
	if rec.Meter != nil {
		k.MeterTitle, k.MeterSource = rec.Meter.Title, rec.Meter.Source
	}
	return k
}

func jsonRound(n int, r engine.RoundRecord) Round {
	out := Round{Round: n, Tree: r.Tree.Name, Steps: []Step{}}
	for _, v := range r.Steps {
		s := Step{ID: v.Step.ID, Title: v.Step.Title, Kind: string(v.Step.Kind), At: stamp(v.At), Takes: []int{}}
		for _, t := range v.Takes {
			s.Takes = append(s.Takes, t.Seq)
		}
		if v.Explanation != nil {
			s.Why = jsonWhy(v.Explanation)
		}
		out.Steps = append(out.Steps, s)
	}
	if r.Result != nil {
		out.Result = jsonResult(r.Result)
	}
	return out
}

func jsonWhy(e *engine.Explanation) *Why {
	out := &Why{
		Claim: e.Claim, Foil: e.Foil, Flip: e.Flip, Sure: e.Sure, Clears: e.Clears, NotYet: e.NotYet, Next: e.Next,
		Provisional: e.Provisional, Facts: []Fact{}, Rules: []Comparison{},
	}
	if b := e.Branch; b != nil {
		out.To, out.Branch = targetID(b.To), b.Text
	}
	for _, f := range e.Facts {
		fact := Fact{Text: f.Text, Place: f.Place, How: f.How, Assumed: f.Assumed}
		if f.Reading != nil {
			fact.Reading = f.Reading.ID
			fact.Range = rangeOf(f.Reading, f.Best, f.Lo, f.Hi)
		}
		out.Facts = append(out.Facts, fact)
	}
	for _, c := range e.Rules {
		out.Rules = append(out.Rules, jsonComparison(c))
	}
	return out
}

func jsonComparison(c engine.Comparison) Comparison {
	out := Comparison{Left: c.Left, Value: c.Value, Is: c.Is, Limit: c.Limit, Holds: c.Holds, Margin: c.Margin, Source: c.Source}
	if c.Reading != nil {
		out.Reading = c.Reading.ID
	}
	if u, ok := unit.Lookup(c.UnitName); ok && c.Drawn {
		out.Range = Range{quantity(c.Best, u), quantity(c.Lo, u), quantity(c.Hi, u)}
		out.LimitLow, out.LimitHigh = quantity(c.LimitLo, u), quantity(c.LimitHi, u)
	}
	return out
}

func jsonResult(r *engine.Result) *Result {
	f := r.Finding
	out := &Result{
		Finding: f.ID, Title: f.Title, Faults: some(f.Faults), Action: f.Action, Stop: f.Stop, Certainty: string(r.Certainty),
		Cautions: some(f.Cautions), Remedy: r.Remedy, ProveBy: f.ProveBy, Open: r.Open,
		Cleared: findingIDs(r.Cleared), Close: []CloseCall{}, NotTested: []NotTested{},
	}
	for _, c := range r.Close {
		call := CloseCall{Step: c.Step.ID, How: c.How, Text: c.Text, Matters: c.Matters, Ends: c.Ends}
		if u, ok := unit.Lookup(c.Unit); ok {
			call.Margin, call.Doubt = quantity(c.Margin, u), quantity(c.Doubt, u)
		}
		out.Close = append(out.Close, call)
	}
	for _, n := range r.NotTested {
		out.NotTested = append(out.NotTested, NotTested{n.Finding.ID, n.Finding.Title, n.Why})
	}
	return out
}

func jsonTakes(takes []engine.Take) []Take {
	out := make([]Take, 0, len(takes))
	for _, t := range takes {
		r := t.Reading
		take := Take{
			Seq: t.Seq, Reading: r.ID, Ask: r.Ask, Round: t.Round, At: stamp(t.At), State: t.State, Stale: t.Stale,
			Text: t.Text, How: t.How, Red: r.Red, Black: r.Black, Clamp: r.Clamp, Choice: t.Answer.Choice,
		}
		if t.Step != nil {
			take.Step = t.Step.ID
		}
		if t.State == "taken" || t.State == "assumed" {
			take.Range = rangeOf(r, t.Best, t.Lo, t.Hi)
		}
		out = append(out, take)
	}
	return out
}

func jsonStanding(r engine.ReadingState) Standing {
	out := Standing{Reading: r.Reading.ID, State: r.State}
	if r.Take != nil {
		out.Take = r.Take.Seq
	}
	return out
}

func jsonNext(p *engine.Prompt) *Next {
	out := &Next{Step: p.Step.ID, Title: p.Step.Title, Done: p.Ack, Readings: []Wanted{}, Cautions: some(p.Cautions), Possible: findingIDs(p.Possible), Fewest: p.Fewest, Most: p.Most}
	for _, f := range p.Fields {
		w := Wanted{Reading: f.Reading.ID, Name: f.Name, Ask: f.Reading.Ask, Choices: f.Reading.Choices, Optional: f.Optional}
		if f.Reading.Number() {
			w.Unit = f.Reading.Unit.Name
		}
		out.Readings = append(out.Readings, w)
	}
	return out
}

// rangeOf gives what can be true of a number in its reading's unit.
func rangeOf(r *engine.Reading, best, lo, hi float64) Range {
	if !r.Number() || r.Unit == nil {
		return Range{}
	}
	return Range{quantity(best, r.Unit), quantity(lo, r.Unit), quantity(hi, r.Unit)}
}

// quantity shows a number of base units in a unit, to twelve figures: what lies
// past them is the arithmetic's, not the meter's. Nil when it is not finite.
func quantity(base float64, u *unit.Unit) *Quantity {
	v := u.From(base)
	if !finite(v) {
		return nil
	}
	return &Quantity{roundTo(v, 12), u.Name}
}

// roundTo rounds to a count of significant figures.
func roundTo(v float64, figures int) float64 {
	if v == 0 {
		return 0
	}
	places := float64(figures) - math.Ceil(math.Log10(math.Abs(v)))
	scale := math.Pow(10, places)
	return math.Round(v*scale) / scale
}

func targetID(t engine.Target) string {
	switch {
	case t.Step != nil:
		return t.Step.ID
	case t.Finding != nil:
		return t.Finding.ID
	}
	return ""
}

func findingIDs(fs []*engine.Finding) []string {
	out := make([]string, len(fs))
	for i, f := range fs {
		out[i] = f.ID
	}
	return out
}

// some keeps an empty list from printing as null.
func some(words []string) []string {
	if words == nil {
		return []string{}
	}
	return words
}

func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.RFC3339)
}
