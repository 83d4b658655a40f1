package leadacid

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// The columns of a list of candidates, in the order in which the example has
// them; a list may have them in any order.
var listColumns = []string{"name", "chemistry", "box", "layout", "post", "hold_down", "capacity", "rating", "standard"}

var (
	layoutNames = []string{"right", "left"}
	postNames   = []string{"standard", "thin"}
)

// The size of a list that is still read.
const (
	mostListBytes = 1 << 20
	mostListRows  = 10_000
	mostNameRunes = 80
	mostFaults    = 20
)

// ListFault is something wrong in a list of candidates.
type ListFault struct {
	Line    int // from 1, the header's line
	Message string
}

// ListFaults is the error of a list of candidates: everything found wrong in it,
// in the order of its lines, cut after twenty.
type ListFaults []ListFault

func (f ListFaults) Error() string {
	var lines []string
	for _, fault := range f {
		lines = append(lines, fmt.Sprintf("line %d: %s", fault.Line, fault.Message))
	}
	return strings.Join(lines, "\n")
}

// readBatteries reads a list of candidates: CSV with a header line of the nine
// columns, in any order. Capacity and rating may have their unit with them, and
// words may be in any case of letters. The error is a [ListFaults].
func readBatteries(text string) ([]battery, error) {
	l := &list{}
	l.read(text)
	if len(l.faults) > 0 {
		return nil, l.faults
	}
	return l.batteries, nil
}

type list struct {
	batteries []battery
	faults    ListFaults
	seen      map[string]int // names, with the line they stand in
}

func (l *list) fault(line int, format string, args ...any) {
	if len(l.faults) < mostFaults {
		l.faults = append(l.faults, ListFault{line, fmt.Sprintf(format, args...)})
	}
}

func (l *list) read(text string) {
	text = strings.TrimPrefix(text, "\ufeff")
	switch {
	case len(text) > mostListBytes:
		l.fault(1, "the list is longer than 1 MB")
		return
	case !utf8.ValidString(text):
		l.fault(1, "the list is not in UTF-8: save it again as UTF-8")
		return
	}
	reader := csv.NewReader(strings.NewReader(text))
	reader.FieldsPerRecord = -1
	header, err := reader.Read()
	if err != nil {
		l.fault(1, "the header line is missing: expected the columns %s", strings.Join(listColumns, ", "))
		return
	}
	columns, ok := l.header(header)
	if !ok {
		return
	}
	l.seen = map[string]int{}
	for {
		record, err := reader.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		var broken *csv.ParseError
		if errors.As(err, &broken) {
			l.fault(broken.StartLine, "%s", plainCSV(broken.Err))
			return
		}
		line, _ := reader.FieldPos(0)
		if len(l.seen) == mostListRows {
			l.fault(line, "the list has more than %d batteries", mostListRows)
			return
		}
		if len(record) != len(header) {
			l.fault(line, "the line has %d fields, the header %d", len(record), len(header))
			continue
		}
		l.row(line, record, columns)
	}
	if len(l.seen) == 0 && len(l.faults) == 0 {
		l.fault(1, "there is no battery in the list")
	}
}

// plainCSV says in plain words what the CSV reader found.
func plainCSV(err error) string {
	switch {
	case errors.Is(err, csv.ErrQuote):
		return `a quotation mark is not closed, or something stands behind it`
	case errors.Is(err, csv.ErrBareQuote):
		return `a quotation mark stands inside a field: put the whole field in quotation marks, and write it twice`
	}
	return err.Error()
}

// header finds the place of each column.
func (l *list) header(fields []string) (map[string]int, bool) {
	columns := map[string]int{}
	for i, f := range fields {
		name := strings.ToLower(strings.TrimSpace(f))
		_, twice := columns[name]
		switch {
		case len(fields) == 1 && strings.Contains(name, ";"):
			l.fault(1, "the columns are parted by semicolons: save the list with commas")
			return nil, false
		case !slices.Contains(listColumns, name):
			l.fault(1, "%s is not a column: expected %s", quote(f), strings.Join(listColumns, ", "))
		case twice:
			l.fault(1, "the column %s stands there twice", quote(name))
		}
		columns[name] = i
	}
	for _, name := range listColumns {
		if _, ok := columns[name]; !ok {
			l.fault(1, "the column %q is missing", name)
		}
	}
	return columns, len(l.faults) == 0
}

func (l *list) row(line int, record []string, columns map[string]int) {
	field := func(name string) string { return strings.TrimSpace(record[columns[name]]) }
	word := func(name string, known []string) string {
		got := field(name)
		for _, k := range known {
			if strings.EqualFold(k, got) {
				return k
			}
		}
		l.fault(line, "%s is %s: expected one of %s", name, quote(got), strings.Join(known, ", "))
		return ""
	}
	l.batteries = append(l.batteries, battery{
		name: l.name(line, field("name")), box: l.text(line, "box", field("box")),
		chemistry: word("chemistry", kinds(unsure)), layout: word("layout", layoutNames), post: word("post", postNames),
		holdDown: word("hold_down", holdNames), standard: word("standard", standardNames),
		capacity: l.number(line, "capacity", field("capacity"), capacity), rating: l.number(line, "rating", field("rating"), ratingAmps),
	})
}

func (l *list) name(line int, s string) string {
	if before, ok := l.seen[s]; ok {
		l.fault(line, "%s stands in line %d already", quote(s), before)
	}
	l.seen[s] = line
	return l.text(line, "name", s)
}

// text takes a name that will be printed.
func (l *list) text(line int, what, s string) string {
	switch {
	case s == "":
		l.fault(line, "%s is missing", what)
	case utf8.RuneCountInString(s) > mostNameRunes:
		l.fault(line, "%s is longer than %d characters", what, mostNameRunes)
	case strings.ContainsFunc(s, func(r rune) bool { return !unicode.IsPrint(r) }):
		l.fault(line, "%s holds a character that cannot be printed: %s", what, quote(s))
	}
	return s
}

func (l *list) number(line int, what, s string, q *calc.Quantity) float64 {
	r, err := unit.ParseRange(s, q.Measure())
	if err == nil && r.Lo != r.Hi {
		err = errors.New("expected one number")
	}
	if err == nil {
		err = q.Check(r)
	}
	if err != nil {
		l.fault(line, "%s: %s", what, err)
	}
	return r.Best
}

// quote puts text in quotes for a message: one line, nothing that moves the
// cursor, and not too long.
func quote(s string) string {
	runes := []rune(s)
	if len(runes) > 40 {
		s = string(runes[:40]) + "..."
	}
	return fmt.Sprintf("%q", s)
}
