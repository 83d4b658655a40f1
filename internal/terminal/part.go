package terminal

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
	switch {
	case p.kind == gap:
		return ""
	case p.label == "":
		return clean(p.text)
	}
	return clean(p.label) + ": " + clean(p.text)
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
	case p.kind == drawn:
		return []string{p.text}
	case p.kind == choice:
		lines := wrap(p.whole(), width-2, 2)
		for i := range lines {
			lines[i] = "  " + lines[i]
		}
		return lines
	case p.label != "" || p.kind == slot:
		return wrap(p.whole(), width, 2)
	}
	return wrap(p.whole(), width, 0)
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
