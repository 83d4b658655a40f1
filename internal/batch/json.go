package batch

import (
	"encoding/json"
	"math"
	"slices"
	"strconv"

	"deadflat/internal/engine"
	"deadflat/internal/unit"
)

// The types below are the JSON of a result. Fields are only ever added; a
// reader skips the ones it does not know. Quantities are {"value", "unit"} in
// the unit of their reading.

type jsonResult struct {
	Line    int    `json:"line,omitempty"` // of the row in its input
	Vehicle string `json:"vehicle,omitempty"`
	Tree    string `json:"tree"`
	Edition int    `json:"edition"`
	Hash    string `json:"hash"`
	Meter   string `json:"meter"`
	State   State  `json:"state"` // "finding", "more" or "error"
	Error   string `json:"error,omitempty"`

	Finding   *jsonFinding     `json:"finding,omitempty"`
	Certainty engine.Certainty `json:"certainty,omitempty"` // "firm", "not firm" or "not known"
	Cautions  []string         `json:"cautions,omitempty"`
	Next      *jsonNext        `json:"next,omitempty"`      // with state "more"
	Remaining []string         `json:"remaining,omitempty"` // ids of findings still possible, with state "more"

	Path       []jsonVisit     `json:"path,omitempty"`
	Takes      []jsonTake      `json:"takes,omitempty"`
	CloseCalls []jsonClose     `json:"close_calls,omitempty"`
	Cleared    []string        `json:"cleared,omitempty"` // ids of findings ruled out
	NotTested  []jsonNotTested `json:"not_tested,omitempty"`
	PutBack    []string        `json:"put_back,omitempty"`
	Unused     []string        `json:"unused,omitempty"` // names given that no step asked for
}

type jsonFinding struct {
	ID       string   `json:"id"`
	Title    string   `json:"title"`
	Action   string   `json:"action"`
	Faults   []string `json:"faults"`
	Stop     bool     `json:"stop,omitempty"`
	Remedy   string   `json:"remedy,omitempty"`
	Customer string   `json:"customer,omitempty"`
	Open     string   `json:"open,omitempty"` // what stays unproved
}

type jsonNext struct {
	Step     string        `json:"step"`
	Title    string        `json:"title"`
	Readings []jsonReading `json:"readings,omitempty"`
	Done     bool          `json:"done,omitempty"` // the step wants "step.done"
}

type jsonReading struct {
	Name     string   `json:"name"` // what to give it under: with its step when the bare name is used up
	Ask      string   `json:"ask"`
	Unit     string   `json:"unit,omitempty"`
	Choices  []string `json:"choices,omitempty"`
	Optional bool     `json:"optional,omitempty"`
}

type jsonVisit struct {
	Step        string           `json:"step"`
	Title       string           `json:"title"`
	Branch      string           `json:"branch,omitempty"`
	To          string           `json:"to,omitempty"` // id of a step or a finding
	Explanation *jsonExplanation `json:"explanation,omitempty"`
}

type jsonExplanation struct {
	Claim       string     `json:"claim"`
	Facts       []jsonFact `json:"facts,omitempty"`
	Rules       []jsonRule `json:"rules,omitempty"`
	Foil        string     `json:"foil,omitempty"`
	Flip        string     `json:"flip,omitempty"`
	Sure        string     `json:"sure,omitempty"`
	Clears      []string   `json:"clears,omitempty"`
	NotYet      string     `json:"not_yet,omitempty"`
	Next        string     `json:"next,omitempty"`
	Provisional bool       `json:"provisional,omitempty"`
}

type jsonFact struct {
	Reading string `json:"reading"`
	Ask     string `json:"ask"`
	Text    string `json:"text"`
	Place   string `json:"place,omitempty"`
	How     string `json:"how,omitempty"`
	Assumed bool   `json:"assumed,omitempty"`
}

type jsonRule struct {
	Left   string `json:"left"`
	Value  string `json:"value"`
	Is     string `json:"is"` // what is true of the best values: "is below", "is not"; "" when not known
	Limit  string `json:"limit"`
	Holds  string `json:"holds"` // how far: "clear" for everything that can be true, "too close to call", "not known"
	Margin string `json:"margin,omitempty"`
	Source string `json:"source,omitempty"`
}

type jsonTake struct {
	Reading string        `json:"reading"`
	Step    string        `json:"step,omitempty"`
	Text    string        `json:"text"`
	State   string        `json:"state"`
	How     string        `json:"how,omitempty"`
	Best    *jsonQuantity `json:"best,omitempty"` // of a number
	Low     *jsonQuantity `json:"low,omitempty"`  // the least it can be
	High    *jsonQuantity `json:"high,omitempty"` // the most it can be
	Choice  []string      `json:"choice,omitempty"`
	Stale   bool          `json:"stale,omitempty"`
}

type jsonQuantity struct {
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

type jsonClose struct {
	Step    string `json:"step"`
	Taken   string `json:"taken,omitempty"` // the branch
	How     string `json:"how"`
	Text    string `json:"text"`
	Matters bool   `json:"matters,omitempty"`
}

type jsonNotTested struct {
	Finding string `json:"finding"`
	Why     string `json:"why"`
}

// JSON gives a result as one JSON object without line breaks.
func (d *Decider) JSON(r *Result) []byte {
	text, err := json.Marshal(d.jsonOf(r))
	if err != nil {
		// Only a number that is not finite could do that, and quantity lets none
		// through.
		panic(err)
	}
	return text
}

// CSV gives a result as a table of one line under its header.
func (d *Decider) CSV(r *Result) []byte {
	return newCSVWriter(d.Tree, d.RawCells).row([]byte(csvHeader), r)
}

func (d *Decider) jsonOf(r *Result) *jsonResult {
	j := &jsonResult{
		Line: r.Line, Vehicle: string(r.Vehicle), State: r.State(),
		Tree: d.Tree.Name, Edition: d.Tree.Edition, Hash: d.Tree.Hash, Meter: d.Meter.Name,
	}
	if r.Err != nil {
		j.Error = r.Err.Error()
		return j
	}
	rec := r.runner.Record()
	if result := rec.Next.Result; result != nil {
		j.setFinding(result)
	} else {
		j.Next = nextOf(rec)
		j.Remaining = ids(rec.Next.Possible)
		j.PutBack = rec.Next.PutBack
	}
	for _, t := range rec.Dropped {
		j.Unused = append(j.Unused, t.Reading.ID)
	}
	for _, round := range rec.Rounds {
		for _, v := range round.Steps {
			j.Path = append(j.Path, jsonVisitOf(v))
		}
	}
	for _, t := range rec.Takes {
		j.Takes = append(j.Takes, jsonTakeOf(t))
	}
	return j
}

func (j *jsonResult) setFinding(r *engine.Result) {
	f := r.Finding
	j.Finding = &jsonFinding{
		ID: f.ID, Title: f.Title, Action: f.Action, Faults: f.Faults, Stop: f.Stop,
		Remedy: r.Remedy, Customer: r.Customer, Open: r.Open,
	}
	if j.Finding.Faults == nil {
		j.Finding.Faults = []string{}
	}
	j.Certainty, j.Cautions, j.Cleared, j.PutBack = r.Certainty, f.Cautions, ids(r.Cleared), r.PutBack
	for _, c := range r.Close {
		call := jsonClose{Step: c.Step.ID, How: c.How, Text: c.Text, Matters: c.Matters}
		if c.Taken != nil {
			call.Taken = c.Taken.Text
		}
		j.CloseCalls = append(j.CloseCalls, call)
	}
	for _, n := range r.NotTested {
		j.NotTested = append(j.NotTested, jsonNotTested{Finding: n.Finding.ID, Why: n.Why})
	}
}

// nextOf says what is asked next, and under which names it can be given.
func nextOf(rec *engine.Record) *jsonNext {
	p := rec.Next
	n := &jsonNext{Step: p.Step.ID, Title: p.Step.Title, Done: p.Ack}
	for _, f := range p.Fields {
		r := jsonReading{Name: wantedName(rec, p.Step, f.Reading), Ask: f.Reading.Ask, Choices: f.Reading.Choices, Optional: f.Optional}
		if f.Reading.Number() {
			r.Unit = f.Reading.Unit.Name
		}
		n.Readings = append(n.Readings, r)
	}
	return n
}

// wantedName is the name under which a reading that is asked for can be given:
// the bare one unless an earlier take has used it, or the step wants a take of
// its own.
func wantedName(rec *engine.Record, s *engine.Step, r *engine.Reading) string {
	used := slices.ContainsFunc(rec.Takes, func(t engine.Take) bool { return t.Reading == r })
	if used || s.Kind == engine.Retest {
		return s.ID + "." + r.ID
	}
	return r.ID
}

func jsonVisitOf(v engine.Visit) jsonVisit {
	j := jsonVisit{Step: v.Step.ID, Title: v.Step.Title}
	e := v.Explanation
	if e == nil {
		return j
	}
	j.Branch, j.To = e.Branch.Text, targetID(e.Branch.To)
	j.Explanation = &jsonExplanation{
		Claim: e.Claim, Foil: e.Foil, Flip: e.Flip, Sure: e.Sure,
		Clears: e.Clears, NotYet: e.NotYet, Next: e.Next, Provisional: e.Provisional,
	}
	for _, f := range e.Facts {
		j.Explanation.Facts = append(j.Explanation.Facts, jsonFact{
			Reading: f.Reading.ID, Ask: f.Ask, Text: f.Text, Place: f.Place, How: f.How, Assumed: f.Assumed,
		})
	}
	for _, c := range e.Rules {
		j.Explanation.Rules = append(j.Explanation.Rules, jsonRule{
			Left: c.Left, Value: c.Value, Is: c.Is, Limit: c.Limit, Holds: c.Holds, Margin: c.Margin, Source: c.Source,
		})
	}
	return j
}

func jsonTakeOf(t engine.Take) jsonTake {
	j := jsonTake{Reading: t.Reading.ID, Text: t.Text, State: t.State, How: t.How, Choice: t.Answer.Choice, Stale: t.Stale}
	if t.Step != nil {
		j.Step = t.Step.ID
	}
	if t.Reading.Number() && (t.State == "taken" || t.State == "assumed") {
		j.Best, j.Low, j.High = quantity(t.Best, t.Reading.Unit), quantity(t.Lo, t.Reading.Unit), quantity(t.Hi, t.Reading.Unit)
	}
	return j
}

// quantity is nil for an end that is not known: JSON has no infinity. Nine
// digits are far more than any meter gives, and leave out what sums of binary
// fractions add behind them.
func quantity(base float64, u *unit.Unit) *jsonQuantity {
	if math.IsInf(base, 0) || math.IsNaN(base) {
		return nil
	}
	value, err := strconv.ParseFloat(strconv.FormatFloat(u.From(base), 'g', 9, 64), 64)
	if err != nil {
		return nil
	}
	return &jsonQuantity{Value: value, Unit: u.Name}
}

func ids(findings []*engine.Finding) []string {
	var out []string
	for _, f := range findings {
		out = append(out, f.ID)
	}
	return out
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
