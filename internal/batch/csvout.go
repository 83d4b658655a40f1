package batch

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// csvHeader is the first line of CSV results. Lists in a field are joined by
// "; ". What does not fit a table (path, takes, explanations, what was not
// tested) is in the JSON.
const csvHeader = "line,vehicle,state,finding,faults,certainty,close_calls,next_step,next_readings,remaining,error,tree,edition,hash\n"

// csvWriter prints results as CSV. What is the same in every row, or for every
// vehicle with one finding, is put together once. It may be shared.
type csvWriter struct {
	cell     func(out, text []byte) []byte // appends a field that holds a stranger's text
	findings [][]byte                      // by index: ",finding,ID,FAULTS,"
	tail     []byte                        // ",TREE,EDITION,HASH\n"
}

func newCSVWriter(t *engine.Tree, rawCells bool) *csvWriter {
	w := &csvWriter{cell: appendCell, findings: make([][]byte, len(t.Findings))}
	if rawCells {
		w.cell = appendField
	}
	for _, f := range t.Findings {
		row := appendField([]byte(",finding,"), []byte(f.ID))
		row = appendField(append(row, ','), []byte(strings.Join(f.Faults, "; ")))
		w.findings[f.Index] = append(row, ',')
	}
	w.tail = appendField([]byte{','}, []byte(t.Name))
	w.tail = strconv.AppendInt(append(w.tail, ','), int64(t.Edition), 10)
	w.tail = append(appendField(append(w.tail, ','), []byte(t.Hash)), '\n')
	return w
}

// row appends a result as one line.
func (w *csvWriter) row(out []byte, r *Result) []byte {
	out = strconv.AppendInt(out, int64(r.Line), 10)
	out = w.cell(append(out, ','), r.Vehicle)
	switch r.State() {
	case Found:
		out = append(out, w.findings[r.Ending.Finding.Index]...)
		out = append(out, r.runner.Certainty()...)
		out = strconv.AppendInt(append(out, ','), int64(r.runner.CloseCalls()), 10)
		out = append(out, ",,,,"...)
	case More:
		n := r.runner.Wants()
		out = append(out, ",more,,,,,"...)
		// Names are small letters, digits and _ . / alone and need no quotes.
		out = append(append(out, n.Step.ID...), ',')
		for i, name := range n.Names {
			out = append(append(out, between(i)...), name...)
		}
		out = append(out, ',')
		for i, f := range n.Possible {
			out = append(append(out, between(i)...), f.ID...)
		}
		out = append(out, ',')
	default:
		out = append(out, ",error,,,,,,,,"...)
		out = w.cell(out, []byte(r.Err.Error()))
	}
	return append(out, w.tail...)
}

// between stands before the i-th entry of a list.
func between(i int) string {
	if i == 0 {
		return ""
	}
	return "; "
}

// CSV gives a result as a table of one line under its header.
func (d *Decider) CSV(r *Result) []byte {
	return newCSVWriter(d.Tree, d.RawCells).row([]byte(csvHeader), r)
}

// appendCell is appendField for a text that a spreadsheet might run as a formula: that
// gets an apostrophe in front, by which a spreadsheet knows a text. Numbers stay.
// Source: OWASP, "CSV Injection".
func appendCell(out, cell []byte) []byte {
	if !plainField(cell) {
		cell = []byte(text.Clean(string(cell)))
	}
	begin, _ := utf8.DecodeRune(bytes.TrimLeft(cell, " "))
	if strings.ContainsRune("=+-@＝＋－＠", begin) && !signedNumber.Match(cell) {
		cell = append([]byte{'\''}, cell...)
	}
	return appendField(out, cell)
}

var signedNumber = regexp.MustCompile(`^[+-](\d+[.,]?\d*|[.,]\d+)([eE][+-]?\d+)?$`)

// appendField appends a field, in quotes where CSV wants them. Line breaks in
// it become blanks, so that a row stays a line on the way out as on the way in.
func appendField(out, field []byte) []byte {
	if !plainField(field) {
		field = []byte(text.Clean(string(field)))
	}
	if bytes.IndexByte(field, '"') < 0 && bytes.IndexByte(field, ',') < 0 {
		return append(out, field...)
	}
	out = append(out, '"')
	out = append(out, bytes.ReplaceAll(field, []byte{'"'}, []byte(`""`))...)
	return append(out, '"')
}

// plainField reports whether a field is printable ASCII and needs no cleaning.
func plainField(field []byte) bool {
	for _, c := range field {
		if c < ' ' || c >= utf8.RuneSelf || c == 0x7f {
			return false
		}
	}
	return true
}
