package calc

import "deadflat/internal/unit"

// Source is where a number or a formula comes from.
type Source struct {
	Text       string
	Confidence Confidence
}

// Confidence says in words how well the source itself is known.
type Confidence string

// Figure is a number that some arithmetic rests on.
type Figure struct {
	Name   string
	Range  unit.Range
	Unit   string // of internal/unit; a unit it has not, such as 1/K, stands in Name and Unit is "1"
	Source Source
}

// Table is a published table of two columns.
type Table struct {
	Name         string
	XUnit, YUnit string
	Source       Source
	unit.Table
}
