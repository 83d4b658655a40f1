package main

import (
	"io"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// calcJSON is a result as JSON; its numbers are in the units beside them.
type calcJSON struct {
	Function   string          `json:"function"`
	Title      string          `json:"title"`
	Inputs     []calcInput     `json:"inputs"`
	Values     []calcNumber    `json:"values"`
	Says       []string        `json:"says,omitempty"`
	Opinions   []calcNumber    `json:"opinions,omitempty"`
	Candidates []calcCandidate `json:"candidates,omitempty"`
	Formula    string          `json:"formula"`
	Source     *calcSource     `json:"source"`
	Figures    []calcNumber    `json:"figures,omitempty"`
	Tables     []calcTable     `json:"tables,omitempty"`
}

type calcRange struct {
	Lo   float64 `json:"lo"`
	Best float64 `json:"best"`
	Hi   float64 `json:"hi"`
	Unit string  `json:"unit"`
}

type calcSource struct {
	Source     string `json:"source"`
	Confidence string `json:"confidence"`
}

type calcInput struct {
	Name    string     `json:"name"`
	Number  *calcRange `json:"number,omitempty"`
	Word    string     `json:"word,omitempty"`
	Assumed bool       `json:"assumed,omitempty"`
}

// calcNumber is a value (name, title), what a source says of a value (of, says,
// source), or a figure that all rests on (name, source).
type calcNumber struct {
	Name  string `json:"name,omitempty"`
	Title string `json:"title,omitempty"`
	Of    string `json:"of,omitempty"`
	Says  string `json:"says,omitempty"`
	calcRange
	*calcSource
}

type calcTable struct {
	Name string       `json:"name"`
	Over string       `json:"over"`
	Unit string       `json:"unit"`
	Rows [][2]float64 `json:"rows"`
	*calcSource
}

type calcCandidate struct {
	Name   string      `json:"name"`
	Fits   string      `json:"fits"` // yes, no, open
	Checks []calcCheck `json:"checks"`
}

type calcCheck struct {
	What string `json:"what"`
	Fits string `json:"fits"`
	Why  string `json:"why"`
}

func ranged(r unit.Range, name string) calcRange { return calcRange{r.Lo, r.Best, r.Hi, name} }

func sourced(s calc.Source) *calcSource { return &calcSource{s.Text, string(s.Confidence)} }

func writeCalcJSON(w io.Writer, fn *calc.Function, r calc.Result) error {
	out := calcJSON{Function: fn.Name, Title: fn.Title, Inputs: []calcInput{}, Values: []calcNumber{}, Says: r.Says, Formula: fn.Formula, Source: sourced(fn.Source)}
	for _, in := range r.Inputs {
		c := calcInput{Name: in.Param.Name, Assumed: in.Assumed}
		switch {
		case in.Param.Number():
			n := ranged(in.Arg.Range, in.Param.Unit)
			c.Number = &n
		case !in.Param.File:
			c.Word = in.Arg.Word()
		}
		out.Inputs = append(out.Inputs, c)
	}
	for _, v := range r.Values {
		out.Values = append(out.Values, calcNumber{Name: v.Name, Title: v.Title, calcRange: ranged(v.Range, v.Unit)})
	}
	for _, o := range r.Opinions {
		out.Opinions = append(out.Opinions, calcNumber{Of: o.Of, Says: o.Says, calcRange: ranged(o.Range, valueOf(r, o.Of).Unit), calcSource: sourced(o.Source)})
	}
	for _, f := range fn.Figures {
		out.Figures = append(out.Figures, calcNumber{Name: f.Name, calcRange: ranged(f.Range, f.Unit), calcSource: sourced(f.Source)})
	}
	for _, t := range fn.Tables {
		rows := make([][2]float64, len(t.X))
		for i := range rows {
			rows[i] = [2]float64{t.X[i], t.Y[i]}
		}
		out.Tables = append(out.Tables, calcTable{t.Name, t.XUnit, t.YUnit, rows, sourced(t.Source)})
	}
	for _, j := range r.Candidates {
		c := calcCandidate{Name: j.Name, Fits: fitsWord(j.Fits)}
		for _, check := range j.Checks {
			c.Checks = append(c.Checks, calcCheck{check.What, fitsWord(check.Fits), check.Why})
		}
		out.Candidates = append(out.Candidates, c)
	}
	return writeJSON(w, out)
}

func fitsWord(v unit.Verdict) string {
	return map[unit.Verdict]string{unit.Yes: "yes", unit.No: "no", unit.Open: "open"}[v]
}
