package leadacid

// Source is where a number or a formula comes from.
type Source struct {
	Text       string
	Confidence Confidence
}

// Confidence says how well the source itself is known. Excerpts of public
// handbooks were read; paid standards were not.
type Confidence string

// The kinds of confidence, the best first.
const (
	Definition    Confidence = "definition, or a law of physics"
	SeenTwice     Confidence = "two or more texts agree"
	Seen          Confidence = "one text"
	Derived       Confidence = "worked out from other figures here"
	MemoryChecked Confidence = "from memory, and agrees with a cross-check"
	Memory        Confidence = "from memory"
	Practice      Confidence = "common practice, no source"
	Choice        Confidence = "this program's own choice"
)

// practiced is common practice that was seen in print, though in no standard and
// no public handbook; how often is the confidence.
func practiced(c Confidence) Source { return Source{"common practice, no source", c} }

// Sources that many figures share.
var (
	fromMemory  = Source{"from memory", Memory}
	derived     = Source{string(Derived), Derived}
	ownChoice   = Source{"this program's own choice", Choice}
	circuitLaw  = Source{"Ohm's law", Definition}
	loadTable   = Source{"TM 5-4210-230-14&P-1, Table 5", SeenTwice}
	dropRule    = Source{"TM 10-3930-671-24, Volt Drop Tests", Seen}
	ventingRule = Source{"EN IEC 62485-2 (and EN 50272-2), as a worked example after it prints it", SeenTwice}
)

// Figure is a number that some arithmetic rests on.
type Figure struct {
	Name   string
	Range  Range
	Unit   string // of internal/unit; a unit it has not, such as 1/K, stands in Name and Unit is "1"
	Source Source
}

// Table is a published table of two columns. Between its rows it is read in a
// straight line; beyond its ends the end row holds.
type Table struct {
	Name       string
	Over, Unit string       // units of the first and the second column
	Rows       [][2]float64 // the first column rises
	Source     Source
}

func (t *Table) at(x float64) float64 {
	rows := t.Rows
	if x <= rows[0][0] {
		return rows[0][1]
	}
	for i := 1; i < len(rows); i++ {
		a, b := rows[i-1], rows[i]
		if x <= b[0] {
			return a[1] + (b[1]-a[1])*(x-a[0])/(b[0]-a[0])
		}
	}
	return rows[len(rows)-1][1]
}

// over reads the table for a range. Its second column rises all the way or
// falls all the way.
func (t *Table) over(r Range) Range {
	return Over(func(x []float64) float64 { return t.at(x[0]) }, r)
}

// turned is the table read the other way round, by its second column, which
// rises.
func (t *Table) turned() *Table {
	back := &Table{Name: t.Name, Over: t.Unit, Unit: t.Over, Source: t.Source}
	for _, row := range t.Rows {
		back.Rows = append(back.Rows, [2]float64{row[1], row[0]})
	}
	return back
}

// Opinion is what one source says of a quantity.
type Opinion struct {
	Says   string // what it is: "table for a battery of 1.280 when full"
	Range  Range
	Source Source
}

// Agreed is a quantity of which several sources speak. Range covers what all of
// them say, and its Best is the Best of the first.
type Agreed struct {
	Range    Range
	Opinions []Opinion
}

// agree joins opinions, the one to go by first.
func agree(all ...Opinion) Agreed {
	a := Agreed{Range: all[0].Range, Opinions: all}
	for _, o := range all[1:] {
		a.Range = a.Range.Join(o.Range)
	}
	return a
}
