package terminal

import "deadflat/internal/text"

// A part is one thing to be told, and what sort of thing it is. The faces lay
// parts out; they never add to what is said.
type part struct {
	kind  kind
	label string // "Caution", "Source"; empty for running text
	text  string
}

type kind int

const (
	plainText kind = iota
	title
	caution
	state // where the walk stands: what is possible, what is to be put back
	trouble
	slot   // one line of an explanation; its continuation is set in
	choice // one of several, set in
	drawn  // a line of a drawing, shown as it is
	gap    // an empty line
)

// whole is the part as one string, label first, safe to print.
func (p part) whole() string {
	if p.label == "" {
		return text.Clean(p.text)
	}
	return text.Clean(p.label) + ": " + text.Clean(p.text)
}

// lay wraps parts to width, one string a line.
func lay(parts []part, width int) []string {
	var lines []string
	for _, p := range parts {
		lines = append(lines, p.lay(width)...)
	}
	return lines
}

func (p part) lay(width int) []string {
	switch {
	case p.kind == drawn || p.kind == gap:
		return []string{p.text}
	case p.kind == choice:
		return text.Wrap(p.whole(), width, "  ", "    ")
	case p.label != "" || p.kind == slot:
		return text.Wrap(p.whole(), width, "", "  ")
	}
	return text.Wrap(p.whole(), width, "", "")
}

func say(k kind, label, text string) []part {
	if text == "" {
		return nil
	}
	return []part{{k, label, text}}
}

// page is a longer text that was asked for: why, how, the list.
type page struct {
	head  string
	parts []part
}
