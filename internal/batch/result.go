package batch

import (
	"encoding/json"
	"fmt"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/report"
	"deadflat/internal/text"
)

// Result is what came of one vehicle. It is good until its worker decides the
// next one.
type Result struct {
	Line    int    // of the row in its input; 0 without one
	Vehicle []byte // the label given
	Err     error  // what is wrong with the row; nothing below is set then

	Ending engine.Ending
	runner *engine.Runner
}

// State is how far a vehicle got.
type State string

// The states of a result.
const (
	Found State = "finding" // a finding was reached
	More  State = "more"    // a reading is needed that was not given
	Bad   State = "error"   // the row cannot be decided as it stands
)

// State sums a result up in one word.
func (r *Result) State() State {
	switch {
	case r.Err != nil:
		return Bad
	case r.Ending.Finding != nil:
		return Found
	}
	return More
}

// Record is the walk of a result, for reports; there is none where the row is in
// error. A label stands among the notes, where a report looks for the vehicle.
func (r *Result) Record() *engine.Record {
	rec := r.runner.Record()
	if len(r.Vehicle) > 0 {
		rec.Notes = append(rec.Notes, engine.Note{Text: "vehicle: " + string(r.Vehicle)})
	}
	return rec
}

// Envelope is a result as JSON: whose it is, how far it got, and the report.
// Fields are only ever added; a reader skips the ones it does not know.
type Envelope struct {
	Decide  int              `json:"decide"`            // number of this contract: 2
	Line    int              `json:"line,omitempty"`    // of the row in its input
	Vehicle string           `json:"vehicle,omitempty"` // the label given
	State   State            `json:"state"`             // "finding", "more" or "error"
	Error   string           `json:"error,omitempty"`   // with state "error": then there is no record
	Record  *report.Document `json:"record,omitempty"`  // as report --as json writes it
}

// envelopeFormat is the number of the contract. It goes up when a field changes its
// meaning or goes away.
const envelopeFormat = 2

// JSON gives a result as one JSON object without line breaks, in the shape of
// Envelope.
func (r *Result) JSON() []byte {
	e := Envelope{Decide: envelopeFormat, Line: r.Line, Vehicle: string(r.Vehicle), State: r.State()}
	if r.Err != nil {
		e.Error = r.Err.Error()
	} else {
		e.Record = report.NewDocument(r.Record())
	}
	out, err := json.Marshal(e)
	if err != nil {
		// Only a number that is not finite could do that, and a Document has none.
		panic(err)
	}
	return report.EscapeJSON(out)
}

// Summary gives a result as one line of text.
func (r *Result) Summary() string {
	whose := ""
	if r.Line > 0 {
		whose = fmt.Sprintf("line %d", r.Line)
	}
	if len(r.Vehicle) > 0 {
		whose = strings.TrimSpace(fmt.Sprintf("%s (%s)", whose, text.Clean(string(r.Vehicle))))
	}
	if whose != "" {
		whose += ": "
	}
	switch r.State() {
	case Bad:
		return whose + "error: " + text.Clean(r.Err.Error())
	case Found:
		return fmt.Sprintf("%s%s (%s)", whose, text.Clean(r.Ending.Finding.Title), r.runner.Certainty())
	}
	w := r.runner.Wants()
	return fmt.Sprintf("%sneeds %s at step %s; findings still possible: %d", whose, strings.Join(w.Names, ", "), w.Step.ID, len(w.Possible))
}

// Needs lists what is needed next by the names it can be given under, one a line.
func (r *Result) Needs() string {
	next := report.NewDocument(r.Record()).Next
	var b strings.Builder
	for _, w := range next.Readings {
		kind := w.Unit
		if w.Choices != nil {
			kind = strings.Join(w.Choices, map[bool]string{false: " | ", true: " + "}[w.Several])
		}
		if w.Optional {
			kind += ", may be left out"
		}
		fmt.Fprintf(&b, "  %s: %s [%s]\n", w.Name, text.Clean(w.Ask), text.Clean(kind))
	}
	if next.Done {
		fmt.Fprintf(&b, "  %s.%s: that the step was carried out [yes]\n", next.Step, doneWord)
	}
	return b.String()
}
