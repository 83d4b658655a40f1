package trial

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
)

//go:embed page.html
var pageText string

var page = template.Must(template.New("page").Funcs(template.FuncMap{
	"percent": func(x float64) string { return fmt.Sprintf("%.2f %%", 100*x) },
	"bars":    bars,
	"rows":    rowBars,
	"heads":   func() []string { return scoreColumns[:] },
}).Parse(pageText))

// HTML writes the report as one page that needs nothing else.
func (r *Report) HTML(w io.Writer) error {
	return page.Execute(w, struct {
		*Report
		Overall []Bar
		Spreads []namedSpread
		Table   []Row
		Matrix  matrix
		Battery []Bar
	}{r, r.overall(), r.spreads(), r.table(), r.matrix(), r.ruleBars()})
}

func rowBars(rows []Row) []Bar {
	var out []Bar
	for _, x := range rows {
		out = append(out, Bar{x.Name, share(x.Right, x.Of)})
	}
	return out
}

func (r *Report) ruleBars() []Bar {
	var out []Bar
	for _, x := range r.Rules {
		out = append(out, Bar{x.Name + ": good battery replaced", x.Needless}, Bar{x.Name + ": bad battery found", x.Bad})
	}
	return out
}

// Bars are the shares of the bound with those of the tree.
func (b *Bound) Bars() []Bar {
	var out []Bar
	for _, x := range append([]Both{{"all with at most one fault", b.Right, b.Tree}, b.Repair}, b.Families...) {
		out = append(out, Bar{x.Name, x.Right}, Bar{x.Name + ": the tree", x.Tree})
	}
	return out
}

// Measures of the pictures, in their own units.
const (
	barHeight = 18
	barsLeft  = 400
	barsWide  = 320
	barsRight = 130
)

// picture is a row of bars, laid out.
type picture struct {
	Width, Height int
	Ticks         []tick
	Bars          []laid
}

type tick struct {
	X    float64
	Text string
}

type laid struct {
	Bar
	Y, Middle, Text int
	X, W            float64 // of the bar
	Low, High       float64 // of the range
	Value           string
	ValueX          int
}

// bars lays bars out on a scale from 0 to 100 %, each with its range as a line.
func bars(of []Bar) picture {
	p := picture{Width: barsLeft + barsWide + barsRight, Height: barHeight*len(of) + 24}
	for i := 0; i <= 100; i += 25 {
		p.Ticks = append(p.Ticks, tick{barsLeft + float64(i)/100*barsWide, fmt.Sprintf("%d %%", i)})
	}
	for i, b := range of {
		y := 20 + i*barHeight
		p.Bars = append(p.Bars, laid{Bar: b, Y: y + 3, Middle: y + barHeight/2, Text: y + 13, X: barsLeft, W: b.Share.Share * barsWide,
			Low: barsLeft + b.Low*barsWide, High: barsLeft + b.High*barsWide, Value: fmt.Sprintf("%.1f %% of %d", 100*b.Share.Share, b.Of), ValueX: barsLeft + barsWide + 10})
	}
	return p
}

// matrix is the table of faults against findings.
type matrix struct {
	Findings []string
	Rows     []matrixRow
}

type matrixRow struct {
	Name  string
	Of    int
	Cells []cell
}

type cell struct {
	Count int
	Share float64
	Right bool // most of them were right
}

func (r *Report) matrix() matrix {
	var m matrix
	at := map[string]int{}
	for _, row := range r.Faults {
		for _, f := range row.Findings {
			if _, known := at[f.Name]; !known {
				at[f.Name] = len(m.Findings)
				m.Findings = append(m.Findings, f.Name)
			}
		}
	}
	for _, row := range r.Faults {
		x := matrixRow{Name: row.Name, Of: row.Of, Cells: make([]cell, len(m.Findings))}
		for _, f := range row.Findings {
			x.Cells[at[f.Name]] = cell{Count: f.Count, Share: float64(f.Count) / float64(row.Of), Right: f.Right > f.Count/2}
		}
		m.Rows = append(m.Rows, x)
	}
	return m
}
