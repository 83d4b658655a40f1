package source

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
)

// Fault is one thing wrong in a file, found while reading it. It is a value, not a Go error.
type Fault struct {
	Rule    string // what was broken, in lower-case words joined by hyphens: "duplicate-key"
	Place   Place
	Width   int    // runes to underline, at least 1
	Message string // lower case, no full stop: what stands there, what was expected, what to do
	Notes   []Note
}

// Note adds to a fault what stands at another place: "first given here".
type Note struct {
	Place   Place
	Message string
}

// Limits on what a hostile file can make us keep and print.
const (
	keptFaults    = 1000
	printedFaults = 200
	printedOfRule = 20
	longestText   = 80  // runes of a text quoted in one of our messages
	longestWords  = 600 // runes of any message
)

// Faults collects the faults of any number of files. The zero value is ready for use.
// The same fault (rule, place and message) is kept once, however often it is added.
type Faults struct {
	list    []*Fault
	seen    map[faultKey]bool
	dropped int
	added   int
	lines   map[string][]string // the text of each kept file, by name
}

type faultKey struct {
	rule, message string
	place         Place
}

// Add keeps a fault. The pointer that it returns is good for adding notes.
func (f *Faults) Add(rule string, p Place, width int, format string, args ...any) *Fault {
	f.added++
	if len(f.list) >= keptFaults {
		f.dropped++
		return new(Fault)
	}
	message := cut(fmt.Sprintf(format, args...), longestWords)
	fault := &Fault{Rule: rule, Place: p, Width: max(width, 1), Message: message}
	key := faultKey{rule, message, p}
	if f.seen[key] {
		return fault
	}
	if f.seen == nil {
		f.seen = map[faultKey]bool{}
	}
	f.seen[key] = true
	f.list = append(f.list, fault)
	return fault
}

// Kept is how many faults are kept so far.
func (f *Faults) Kept() int { return len(f.list) }

// Note adds a note to the faults kept since Kept gave a number.
func (f *Faults) Note(since int, n Note) {
	for _, fault := range f.list[since:] {
		fault.Notes = append(fault.Notes, n)
	}
}

// short is a text as it is quoted in a message: an author's text may be as long as the file.
func short(text string) string { return cut(text, longestText) }

// cut gives at most so many runes of a text.
func cut(text string, most int) string {
	for i := range text {
		if most == 0 {
			return text[:i] + "…"
		}
		most--
	}
	return text
}

// Join takes over the faults of another collector, and the texts it keeps.
func (f *Faults) Join(o *Faults) {
	for _, fault := range o.list {
		f.Add(fault.Rule, fault.Place, fault.Width, "%s", fault.Message).Notes = fault.Notes
	}
	f.dropped += o.dropped
	for name, lines := range o.lines {
		f.keep(name, lines)
	}
}

// Keep remembers a file's text, so that Print can show the lines. Read does this by itself.
func (f *Faults) Keep(file *File) { f.keep(file.Name, strings.Split(string(file.Data), "\n")) }

func (f *Faults) keep(name string, lines []string) {
	if f.lines == nil {
		f.lines = map[string][]string{}
	}
	f.lines[name] = lines
}

// Sorted gives the faults by file, line and column. At most 1000 are kept; Len counts all.
func (f *Faults) Sorted() []Fault {
	sorted := make([]Fault, len(f.list))
	for i, fault := range f.list {
		sorted[i] = *fault
	}
	slices.SortStableFunc(sorted, func(a, b Fault) int {
		return cmp.Or(
			cmp.Compare(a.Place.File, b.Place.File),
			cmp.Compare(a.Place.Line, b.Place.Line),
			cmp.Compare(a.Place.Col, b.Place.Col),
			cmp.Compare(a.Rule, b.Rule),
			cmp.Compare(a.Message, b.Message),
		)
	})
	return sorted
}

// Len is the number of faults found, also of those that were too many to keep.
func (f *Faults) Len() int { return len(f.list) + f.dropped }

// Added is how often a fault was added, those counted again that were known already: whoever reads
// a part of a file anew learns from it whether that part is free of faults.
func (f *Faults) Added() int { return f.added }

// Empty tells that nothing is wrong.
func (f *Faults) Empty() bool { return f.Len() == 0 }

// Print writes the faults in order: message, the line with a caret under the spot, the notes.
// It stops after 200, and after 20 of one rule, and says how many more there are. Faults in the
// files named come first, and those in others apart from them.
func (f *Faults) Print(w io.Writer, first ...string) {
	sorted := f.Sorted()
	rank := func(fault Fault) int {
		if len(first) == 0 || slices.Contains(first, fault.Place.File) {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(sorted, func(a, b Fault) int { return rank(a) - rank(b) })
	of, more, last := map[string]int{}, map[string]int{}, 0
	printed := 0
	for _, fault := range sorted {
		if of[fault.Rule]++; of[fault.Rule] > printedOfRule {
			more[fault.Rule]++
			continue
		}
		if printed++; printed > printedFaults {
			break
		}
		if rank(fault) > last {
			last = 1
			fmt.Fprintln(w, "in files of the program, where a fault may follow from yours:")
		}
		fmt.Fprintf(w, "%s: %s [%s]\n", fault.Place, visible(fault.Message), visible(fault.Rule))
		f.printLine(w, fault)
		for _, note := range fault.Notes {
			fmt.Fprintf(w, "%s: %s\n", note.Place, visible(note.Message))
		}
	}
	f.printMore(w, min(printed, printedFaults), more)
}

// printMore says how many faults were not printed.
func (f *Faults) printMore(w io.Writer, printed int, more map[string]int) {
	left := f.Len() - printed
	for _, rule := range slices.Sorted(maps.Keys(more)) {
		if printed < printedFaults {
			fmt.Fprintf(w, "and %d more [%s]\n", more[rule], visible(rule))
			left -= more[rule]
		}
	}
	if left > 0 {
		fmt.Fprintf(w, "and %d more\n", left)
	}
}
