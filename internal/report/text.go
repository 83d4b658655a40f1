package report

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// Text writes the report for a terminal: no colour, no control codes, lines of
// at most width columns, which are 40 to 100. The only error is w's.
func Text(w io.Writer, rec *engine.Record, width int) error {
	t := &textForm{width: min(100, max(40, width))}
	t.outline(lay(rec))
	return emit(w, t.Bytes())
}

// emit writes a finished report in one go.
func emit(w io.Writer, report []byte) error {
	if _, err := w.Write(report); err != nil {
		return fmt.Errorf("write report: %w", err)
	}
	return nil
}

// textForm prints an outline as text.
type textForm struct {
	bytes.Buffer
	width int
}

func (t *textForm) outline(o *outline) {
	t.block("", "", o.title)
	t.block("", "", o.subtitle)
	for _, s := range o.sections {
		t.underlined(s.title, "=")
		for _, p := range s.parts {
			t.part(p)
		}
	}
}

// part prints one part and a blank line after it.
func (t *textForm) part(p part) {
	switch p := p.(type) {
	case heading:
		t.underlined(p.text, "-")
		return
	case para:
		t.block("", "", strings.TrimSpace(text.Clean(p.lead)+" "+text.Clean(p.text)))
	case *engine.Picture:
		t.part(pictured(p))
	case list:
		t.list(p)
	case facts:
		for _, f := range p.pairs {
			t.block("", "    ", f[0]+": "+f[1])
		}
	case table:
		t.table(p)
	case *scale:
		t.block("", "", p.title+": "+p.value)
		t.drawing(p.lines(t.width - 2))
	case *circuit:
		t.block("", "", p.words())
		t.drawing(p.lines(t.width - 2))
	}
	t.WriteByte('\n')
}

func (t *textForm) underlined(title, rule string) {
	if !bytes.HasSuffix(t.Bytes(), []byte("\n\n")) {
		t.WriteByte('\n')
	}
	lines := text.Wrap(title, t.width, "", "")
	t.WriteString(strings.Join(lines, "\n") + "\n" + strings.Repeat(rule, widest(lines)) + "\n\n")
}

func widest(lines []string) int { return slices.Max(append(each(lines, text.Width), 0)) }

func (t *textForm) list(l list) {
	lead := l.lead
	if l.warning {
		lead = "CAUTION. " + lead
	}
	if lead != "" {
		t.block("", "", lead)
	}
	for _, i := range l.items {
		t.point(i)
	}
}

// point prints a point of a list.
func (t *textForm) point(i item) {
	t.block("- ", "  ", i.text)
	if i.under != "" {
		t.block("  ", "  ", "("+text.Clean(i.under)+")")
	}
}

// drawing prints the lines of a drawing, whose texts are clean already.
func (t *textForm) drawing(lines []string) {
	t.WriteByte('\n')
	for _, l := range lines {
		t.WriteString("  " + strings.TrimRight(l, " ") + "\n")
	}
}

// block prints a text wrapped, its first line after first and the others after
// rest.
func (t *textForm) block(first, rest, s string) {
	for _, line := range text.Wrap(s, t.width, first, rest) {
		t.WriteString(line + "\n")
	}
}
