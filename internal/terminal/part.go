package terminal

import (
	"strings"

	"deadflat/internal/text"
)

// A Part is one thing to be told, and what sort of thing it is. The faces lay
// parts out; they never add to what is said.
type Part struct {
	Kind  Kind
	Label string // "Caution", "Source"; empty for running text
	Text  string
	In    int // columns that it is set in by
}

// Kind is what sort of thing a part is.
type Kind int

const (
	Plain   Kind = iota
	Title        // names what follows
	Caution      // what can hurt
	State        // where it stands: what is possible, what is to be put back
	Trouble      // why something was not taken
	Slot         // one line of an explanation; its continuation is set in
	Drawn        // a line of a drawing, shown as it is
	Gap          // an empty line
)

// Paragraphs are parts of running text, one a string, set in by the blanks that they
// begin with. An empty one is a gap.
func Paragraphs(lines []string) []Part {
	out := make([]Part, len(lines))
	for i, t := range lines {
		words := strings.TrimLeft(t, " ")
		out[i] = Part{Text: words, In: len(t) - len(words)}
		if words == "" {
			out[i] = Part{Kind: Gap}
		}
	}
	return out
}

// drawn are the lines of a drawing.
func drawn(lines []string) []Part {
	out := make([]Part, len(lines))
	for i, l := range lines {
		out[i] = Part{Kind: Drawn, Text: l}
	}
	return out
}

// whole is the part as one string, label first, safe to print.
func (p Part) whole() string {
	if p.Label == "" {
		return text.Clean(p.Text)
	}
	return text.Clean(p.Label) + ": " + text.Clean(p.Text)
}

// lay wraps parts to width, one string a line.
func lay(parts []Part, width int) []string {
	var lines []string
	for _, p := range parts {
		lines = append(lines, p.lay(width)...)
	}
	return lines
}

func (p Part) lay(width int) []string {
	if p.Kind == Drawn || p.Kind == Gap {
		return []string{p.Text}
	}
	first := strings.Repeat(" ", p.In)
	rest := first
	if p.Label != "" || p.Kind == Slot || p.In > 0 {
		rest += "  "
	}
	return text.Wrap(p.whole(), width, first, rest)
}

// say is one part, or none where there is nothing to say.
func say(k Kind, label, text string) []Part {
	if text == "" {
		return nil
	}
	return []Part{{Kind: k, Label: label, Text: text}}
}
