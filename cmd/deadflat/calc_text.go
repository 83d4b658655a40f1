package main

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// A calculation as text for a person: result first, then what was taken for
// granted and where sources part; with --explain what it all rests on.

func writeResult(b *strings.Builder, r calc.Result) {
	for _, v := range r.Values {
		fmt.Fprintf(b, "%s: %s\n", v.Title, rangeText(v.Range, v.Unit, v.Decimals))
	}
	for _, said := range r.Says {
		fmt.Fprintln(b, said)
	}
	writeCandidates(b, r.Candidates)
	for _, in := range r.Inputs {
		if in.Assumed {
			fmt.Fprintf(b, "not given, so taken: %s\n", inputText(in))
		}
	}
	of := ""
	for _, o := range r.Opinions {
		v := valueOf(r, o.Of)
		if o.Of != of {
			of = o.Of
			fmt.Fprintf(b, "sources, for \"%s\":\n", v.Title)
		}
		fmt.Fprintf(b, "  %s, %s (%s)\n", rangeText(o.Range, v.Unit, v.Decimals), o.Says, sourceText(o.Source))
	}
}

// writeCandidates prints each candidate with what decides: all that speaks
// against it, or else all that speaks for it.
func writeCandidates(b *strings.Builder, all []calc.Candidate) {
	heading := map[unit.Verdict]string{unit.Yes: "fits", unit.Open: "cannot be told", unit.No: "does not fit"}
	for i, j := range all {
		fmt.Fprintf(b, "%d. %s: %s\n", i+1, j.Name, heading[j.Fits])
		for _, check := range j.Checks {
			if j.Fits == unit.Yes || check.Fits != unit.Yes {
				fmt.Fprintf(b, "   %s\n", check.Why)
			}
		}
	}
}

func valueOf(r calc.Result, name string) calc.Value {
	for _, v := range r.Values {
		if v.Name == name {
			return v
		}
	}
	return calc.Value{}
}

// rangeText writes a range: the value to show and, where they print otherwise,
// both ends, rounded outwards so that nothing true is left out.
func rangeText(r unit.Range, unitName string, decimals int) string {
	scale := math.Pow(10, float64(decimals))
	const hair = 1e-6 // so that 9.6 does not become 9.5 for want of the last bit
	if r.Lo != r.Hi {
		r.Lo, r.Hi = math.Floor(r.Lo*scale+hair)/scale, math.Ceil(r.Hi*scale-hair)/scale
	}
	return formatRange(r, unitName, decimals)
}

// plainRange writes a range to seven figures at most: enough to check by hand, and
// 0.30000000000000004 is 0.3.
func plainRange(r unit.Range, unitName string) string {
	return formatRange(unit.Range{Lo: tidy(r.Lo), Best: tidy(r.Best), Hi: tidy(r.Hi)}, unitName, -1)
}

func tidy(v float64) float64 {
	out, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 7, 64), 64) // what was just printed is a number
	return out
}

func formatRange(r unit.Range, unitName string, decimals int) string {
	u := unit.Must(unitName)
	text := func(v float64) string { return unit.Format(u.Base(v), u, decimals) }
	if text(r.Lo) == text(r.Hi) {
		return text(r.Best)
	}
	bare, _, _ := strings.Cut(text(r.Lo), " ")
	return fmt.Sprintf("%s (%s to %s)", text(r.Best), bare, text(r.Hi))
}

func sourceText(s calc.Source) string {
	switch {
	case strings.Contains(s.Text, string(s.Confidence)):
		return s.Text
	case strings.HasPrefix(string(s.Confidence), s.Text):
		return string(s.Confidence)
	}
	return s.Text + "; " + string(s.Confidence)
}

func inputText(in calc.Input) string {
	switch {
	case in.Param.File && in.Assumed:
		return in.Param.Name + ", an invented one"
	case in.Param.File:
		return in.Param.Name
	case in.Param.Number():
		return in.Param.Name + " " + plainRange(in.Arg.Range, in.Param.Unit)
	}
	return in.Param.Name + " " + in.Arg.Word()
}

// writeGrounds prints the formula, what was put in, and what it rests on.
func writeGrounds(b *strings.Builder, fn *calc.Function, r calc.Result) {
	fmt.Fprintf(b, "\n%s\n%s\n\nformula\n  %s\n  source: %s\n", fn.Title, fn.Doc, fn.Formula, sourceText(fn.Source))
	fmt.Fprintln(b, "put in")
	for _, in := range r.Inputs {
		mark := ""
		if in.Assumed {
			mark = ", not given"
		}
		fmt.Fprintf(b, "  %s%s\n", inputText(in), mark)
	}
	if len(fn.Figures)+len(fn.Tables) > 0 {
		fmt.Fprintln(b, "rests on")
	}
	for _, f := range fn.Figures {
		fmt.Fprintf(b, "  %s: %s (%s)\n", f.Name, plainRange(f.Range, f.Unit), sourceText(f.Source))
	}
	for _, t := range fn.Tables {
		fmt.Fprintf(b, "  table %s: %s (%s)\n", t.Name, rowsText(t), sourceText(t.Source))
	}
}

func rowsText(t *calc.Table) string {
	var rows []string
	for i, x := range t.X {
		rows = append(rows, plainRange(unit.Exactly(t.Y[i]), t.YUnit)+" at "+plainRange(unit.Exactly(x), t.XUnit))
	}
	return strings.Join(rows, ", ")
}

// describe says what a function is for and what it takes.
func describe(w io.Writer, fn *calc.Function) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n%s\n\n", fn.Name, fn.Title, fn.Doc)
	for _, p := range fn.Params {
		fmt.Fprintf(&b, "  %s: %s\n    %s\n", p.Name, p.Doc, takesText(p))
	}
	fmt.Fprintf(&b, "\nformula: %s\nsource: %s\n", fn.Formula, sourceText(fn.Source))
	_, err := io.WriteString(w, b.String())
	return err
}

// takesText says what values a parameter takes, and what stands in for it.
func takesText(p calc.Param) string {
	var s string
	switch {
	case p.File:
		s = "a file"
	case len(p.Choices) > 0:
		s = "one of " + strings.Join(p.Choices, ", ")
	case len(p.Only) > 0:
		all := names(p.Only, func(v float64) string { return plainRange(unit.Exactly(v), "1") })
		s = "one of " + strings.Join(all, ", ") + " " + p.Unit
	default:
		s = plainRange(unit.Exactly(p.Lo), p.Unit) + " to " + plainRange(unit.Exactly(p.Hi), p.Unit)
	}
	switch {
	case p.Assume != nil:
		in := calc.Input{Param: p, Arg: *p.Assume, Assumed: true}
		s += "; when not given, " + strings.TrimPrefix(inputText(in), p.Name+" ")
	case p.Optional:
		s += "; may be left out"
	}
	return s
}
