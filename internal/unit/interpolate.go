package unit

import "math"

// Table is a quantity over another, in points between which it runs in straight
// lines; beyond the ends the end point holds. X ascends.
type Table struct{ X, Y []float64 }

// Points makes a table of rows of x and y.
func Points(rows [][2]float64) Table {
	var t Table
	for _, row := range rows {
		t.X, t.Y = append(t.X, row[0]), append(t.Y, row[1])
	}
	return t
}

// At looks x up.
func (t *Table) At(x float64) float64 {
	n := len(t.X)
	if x <= t.X[0] {
		return t.Y[0]
	}
	if x >= t.X[n-1] {
		return t.Y[n-1]
	}
	i := 1 // tables are short
	for t.X[i] < x {
		i++
	}
	if t.X[i] == x {
		return t.Y[i]
	}
	return t.Y[i-1] + (t.Y[i]-t.Y[i-1])*(x-t.X[i-1])/(t.X[i]-t.X[i-1])
}

// Over is the range of the table while x runs through its range: its ends and
// every point between them.
func (t *Table) Over(x Range) Range {
	r := x.Map(t.At)
	for i, at := range t.X {
		if x.Lo < at && at < x.Hi {
			r.Lo, r.Hi = math.Min(r.Lo, t.Y[i]), math.Max(r.Hi, t.Y[i])
		}
	}
	return r
}

// Inverse looks up x by y. Y must ascend.
func (t *Table) Inverse() *Table { return &Table{X: t.Y, Y: t.X} }

// Steepest is the greatest slope between two points, either way.
func (t *Table) Steepest() float64 {
	most := 0.0
	for i := 1; i < len(t.X); i++ {
		most = math.Max(most, math.Abs((t.Y[i]-t.Y[i-1])/(t.X[i]-t.X[i-1])))
	}
	return most
}
