package report

import (
	"slices"

	"deadflat/internal/engine"
)

// outline is a report as its reader meets it, the same in every form but JSON.
type outline struct {
	title, subtitle string
	sections        []section
}

// section is one titled run of parts.
type section struct {
	title string
	role  role
	parts []part
}

// role tells a form how to set a section apart.
type role string

const (
	ordinary    role = ""
	forCustomer role = "customer" // the plain words that come first
	detail      role = "detail"   // where the working begins, on a new page
	tight       role = "tight"    // many small parts, set close
)

// part is a heading, para, list, table, facts, *scale, *circuit or *engine.Picture.
type part any

// heading stands over parts of a section. Level 3 is right under the section's
// title, level 4 under that.
type heading struct {
	level int
	text  string
}

// para is a paragraph; lead is its first words, set apart.
type para struct{ lead, text string }

// list is a list; a warning is set apart so that it cannot be overlooked.
type list struct {
	lead    string
	items   []item
	warning bool
}

// item is a point of a list, with what stands in smaller type under it.
type item struct{ text, under string }

// inline is an item where there is no smaller type.
func (i item) inline() string {
	if i.under == "" {
		return i.text
	}
	return i.text + " (" + i.under + ")"
}

// table is a table with a caption; the first cell of a row names the row. A
// small one holds more than is read at once: it is set in small type, or where
// there is none as a list.
type table struct {
	caption string
	head    []string
	rows    [][]item
	small   bool
}

// withoutEmptyColumns leaves out the columns in which no row says anything.
func (t table) withoutEmptyColumns() table {
	out := table{caption: t.caption, small: t.small, rows: make([][]item, len(t.rows))}
	for i, head := range t.head {
		if !slices.ContainsFunc(t.rows, func(row []item) bool { return row[i] != item{} }) {
			continue
		}
		out.head = append(out.head, head)
		for r, row := range t.rows {
			out.rows[r] = append(out.rows[r], row[i])
		}
	}
	return out
}

// unlessEmpty is the table as the part of a section, or nothing where it has no rows.
func (t table) unlessEmpty() []part {
	if len(t.rows) == 0 {
		return nil
	}
	return []part{t}
}

// facts is a list of names and what belongs to them.
type facts struct{ pairs [][2]string }

// add puts a pair in, unless there is nothing to say.
func (f *facts) add(name, text string) {
	if text != "" {
		f.pairs = append(f.pairs, [2]string{name, text})
	}
}

// after puts the list after other parts, unless it is empty.
func (f *facts) after(parts []part) []part {
	if len(f.pairs) == 0 {
		return parts
	}
	return append(parts, *f)
}

// each makes one list of another. It is never nil, so that JSON writes [] for none.
func each[A, B any](list []A, one func(A) B) []B {
	out := make([]B, len(list))
	for i, a := range list {
		out[i] = one(a)
	}
	return out
}

// draft is what the sections are written from.
type draft struct {
	rec   *engine.Record
	clock clock
}

// lay puts a whole report together.
func lay(rec *engine.Record) *outline {
	d := &draft{rec: rec, clock: newClock(rec)}
	o := &outline{title: rec.Tree.Title, subtitle: d.subtitle()}
	for _, s := range []section{
		d.customer(),
		d.finding(),
		d.takes(),
		d.steps(),
		d.closeCalls(),
		d.beforeAfter(),
		d.notTested(),
		d.putBack(),
		d.notes(),
		d.about(),
		d.annex(),
	} {
		if len(s.parts) > 0 {
			o.sections = append(o.sections, s)
		}
	}
	return o
}

// several reports whether the job went through more than one round, so that
// the rounds must be told apart.
func (d *draft) several() bool { return len(d.rec.Rounds) > 1 }

// done reports whether the walk has come to its end.
func (d *draft) done() bool { return d.rec.Next != nil && d.rec.Next.Result != nil }
