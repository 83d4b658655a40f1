package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// How well a source is known, the best first. Excerpts of public handbooks were
// read; paid standards were not.
const (
	definition    calc.Confidence = "definition, or a law of physics"
	seenTwice     calc.Confidence = "two or more texts agree"
	seen          calc.Confidence = "one text"
	workedOut     calc.Confidence = "worked out from other figures here"
	memoryChecked calc.Confidence = "from memory, and agrees with a cross-check"
	memory        calc.Confidence = "from memory"
	practice      calc.Confidence = "common practice, no source"
	choice        calc.Confidence = "this program's own choice"
)

// practiced is common practice that was seen in print, though in no standard and
// no public handbook; how often is the confidence.
func practiced(c calc.Confidence) calc.Source { return source("common practice, no source", c) }

// Sources that many figures share.
var (
	fromMemory  = source("from memory", memory)
	derived     = source(string(workedOut), workedOut)
	ownChoice   = source("this program's own choice", choice)
	circuitLaw  = source("Ohm's law", definition)
	loadTable   = source("TM 5-4210-230-14&P-1, Table 5", seenTwice)
	dropRule    = source("TM 10-3930-671-24, Volt Drop Tests", seen)
	ventingRule = source("EN IEC 62485-2 (and EN 50272-2), as a worked example after it prints it", seenTwice)
)

func source(text string, c calc.Confidence) calc.Source {
	return calc.Source{Text: text, Confidence: c}
}

func figure(name string, r unit.Range, unitName string, s calc.Source) calc.Figure {
	return calc.Figure{Name: name, Range: r, Unit: unitName, Source: s}
}

type rows = [][2]float64

func table(name, x, y string, s calc.Source, points rows) *calc.Table {
	return &calc.Table{Name: name, XUnit: x, YUnit: y, Source: s, Table: unit.Points(points)}
}

// span is a range that is not even on both sides.
func span(lo, best, hi float64) unit.Range { return unit.Range{Lo: lo, Best: best, Hi: hi} }

// agreed is a quantity of which several sources speak. Its range covers what all
// of them say, and its Best is that of the first.
type agreed struct {
	unit.Range
	opinions []calc.Opinion
}

func opinion(says string, r unit.Range, s calc.Source) calc.Opinion {
	return calc.Opinion{Says: says, Range: r, Source: s}
}

// agree joins opinions, the one to go by first.
func agree(all ...calc.Opinion) agreed {
	a := agreed{all[0].Range, all}
	for _, o := range all[1:] {
		a.Range = a.Hull(o.Range)
	}
	return a
}

// opinionsOf takes published figures for what their sources say.
func opinionsOf(figures ...calc.Figure) []calc.Opinion {
	var all []calc.Opinion
	for _, f := range figures {
		all = append(all, opinion(f.Name, f.Range, f.Source))
	}
	return all
}
