package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"time"
	"unicode/utf16"

	"deadflat/internal/engine"
	"deadflat/internal/text"
	"deadflat/internal/unit"
)

// jsonFormat is the number of the JSON contract that doc.go describes. It goes
// up when a field changes its meaning or goes away, not when one is added.
const jsonFormat = 2

// JSON writes the report in the shape of Document, indented. Errors are w's.
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
		if !acts(r) {
			out.WriteRune(r)
			continue
		}
		for _, half := range utf16.Encode([]rune{r}) {
			fmt.Fprintf(&out, `\u%04x`, half)
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
		Trees:    each(d.trees(), jsonTree), Rounds: each(rec.Rounds, jsonRound), Readings: each(rec.Readings, jsonStanding),
		Takes: each(rec.Takes, jsonTake), Dropped: each(rec.Dropped, jsonTake),
		BeforeAfter: each(pairs(rec.Takes), func(p pair) Retake { return Retake{p.before.Reading.ID, p.before.Seq, p.after.Seq} }),
		Notes:       each(rec.Notes, func(n engine.Note) Note { return Note{stamp(n.At), n.Step, n.Text} }),
		PutBack:     some(rec.PutBack), HowBack: each(rec.PutBack, func(w string) string { return rec.Back[w] }), Closed: d.done() && len(rec.PutBack) == 0, Suspected: findingIDs(rec.Suspected), Kit: jsonKit(rec),
		Cranks: rec.Cranks, Undone: rec.Undone, Paused: rec.Paused,
	}
	for i := range doc.Rounds {
		doc.Rounds[i].Round = i + 1
	}
	if !d.done() && rec.Next != nil && rec.Next.Step != nil {
		doc.Next = jsonNext(rec.Next)
	}
	return doc
}

func jsonTree(t *engine.Tree) Tree {
	out := Tree{t.Name, t.Title, t.Edition, t.Hash, t.Author, "draft", t.Review.Said, t.Changed}
	if r := t.Review; !r.Draft() {
		out.Status, out.Reviewed = "reviewed", "by "+r.By+" on "+r.Day
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

func jsonRound(r engine.RoundRecord) Round {
	out := Round{Tree: r.Tree.Name, Steps: each(r.Steps, jsonStep)}
	if r.Result != nil {
		out.Result = jsonResult(r.Result)
	}
	return out
}

func jsonStep(v engine.Visit) Step {
	out := Step{ID: v.Step.ID, Title: v.Step.Title, Kind: string(v.Step.Kind), At: stamp(v.At)}
	out.Takes = each(v.Takes, func(t engine.Take) int { return t.Seq })
	if v.Explanation != nil {
		out.Why = jsonWhy(v.Explanation)
	}
	if p := v.Step.Picture; p != nil {
		out.Picture = &Picture{p.File, p.Text}
	}
	return out
}

func jsonWhy(e *engine.Explanation) *Why {
	out := &Why{
		Claim: e.Claim, Foil: e.Foil, Flip: e.Flip, Sure: e.Sure, Clears: e.Clears, NotYet: e.NotYet, Next: e.Next,
		Provisional: e.Provisional, Facts: each(e.Facts, jsonFact), Rules: each(e.Rules, jsonComparison),
	}
	if b := e.Branch; b != nil {
		out.To, out.Branch = targetID(b.To), b.Text
	}
	return out
}

func jsonFact(f engine.Fact) Fact {
	out := Fact{Text: f.Text, Place: f.Place, How: f.How, Assumed: f.Assumed}
	if f.Reading != nil {
		out.Reading = f.Reading.ID
		out.Range = rangeOf(f.Reading, f.Best, f.Lo, f.Hi)
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
		Missing: each(r.Missing, func(m engine.Missing) string { return m.Text }),
		Cleared: findingIDs(r.Cleared), Close: each(r.Close, jsonCloseCall), NotTested: each(r.NotTested, func(n engine.NotTested) NotTested {
			return NotTested{n.Finding.ID, n.Finding.Title, n.Why}
		}),
	}
	return out
}

func jsonCloseCall(c engine.CloseCall) CloseCall {
	out := CloseCall{Step: c.Step.ID, How: c.How, Text: c.Text, Matters: c.Matters, Ends: c.Ends}
	if u, ok := unit.Lookup(c.Unit); ok {
		out.Margin, out.Doubt = quantity(c.Margin, u), quantity(c.Doubt, u)
	}
	return out
}

func jsonTake(t engine.Take) Take {
	r := t.Reading
	out := Take{
		Seq: t.Seq, Reading: r.ID, Ask: r.Ask, Round: t.Round, At: stamp(t.At), State: t.State, Stale: t.Stale,
		Text: t.Text, How: t.How, Red: r.Red, Black: r.Black, Clamp: r.Clamp, Choice: t.Answer.Choice,
	}
	if t.Step != nil {
		out.Step = t.Step.ID
	}
	if t.State == "taken" || t.State == "assumed" {
		out.Range = rangeOf(r, t.Best, t.Lo, t.Hi)
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
	return &Next{
		Step: p.Step.ID, Title: p.Step.Title, Done: p.Ack, Readings: each(p.Fields, jsonWanted), Cautions: some(p.Cautions),
		Possible: findingIDs(p.Possible), Fewest: p.Fewest, Most: p.Most,
	}
}

func jsonWanted(f engine.Field) Wanted {
	out := Wanted{Reading: f.Reading.ID, Name: f.Name, Ask: f.Reading.Ask, Choices: f.Reading.List(), Several: f.Reading.Many(), Optional: f.Optional}
	if f.Reading.Number() {
		out.Unit = f.Reading.Unit.Name
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
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64) // what was just printed is a number
	return &Quantity{v + 0, u.Name}                                    // + 0 takes the sign from -0
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
	return each(fs, func(f *engine.Finding) string { return f.ID })
}

// some keeps an empty list from printing as null.
func some(words []string) []string {
	return append([]string{}, words...)
}

func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.RFC3339)
}
