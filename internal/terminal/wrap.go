package terminal

import (
	"strings"

	"github.com/charmbracelet/lipgloss"
)

const (
	widest    = 80 // longer lines are hard to follow
	narrowest = 40 // below this the words no longer fit beside the marks
)

// wrap breaks text into lines of at most width columns, at blanks; a word
// longer than a line is cut. A number and its unit stay together. Lines after
// the first begin with indent blanks.
func wrap(text string, width, indent int) []string {
	var lines []string
	line, used, pad := "", 0, strings.Repeat(" ", indent)
	flush := func() {
		lines = append(lines, line)
		line, used = pad, indent
	}
	empty := true // nothing but padding stands on the line
	for _, word := range words(text) {
		w := lipgloss.Width(word)
		if !empty && used+1+w > width {
			flush()
			empty = true
		}
		for w > width-used && empty {
			head, tail := cut(word, width-used)
			line += head
			flush()
			word, w = tail, lipgloss.Width(tail)
		}
		if word == "" {
			continue
		}
		if !empty {
			line, used = line+" ", used+1
		}
		line, used, empty = line+word, used+w, false
	}
	if !empty || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// words splits text at blanks, but keeps "12.5 V" and "± 0.06" whole.
func words(text string) []string {
	fields := strings.Fields(text)
	var out []string
	for _, f := range fields {
		if n := len(out); n > 0 && joins(out[n-1], f) && len(out[n-1])+len(f) < 20 {
			out[n-1] += " " + f
			continue
		}
		out = append(out, f)
	}
	return out
}

func joins(before, after string) bool {
	if before == "±" {
		return true
	}
	last := before[len(before)-1]
	if last < '0' || last > '9' {
		return false
	}
	bare := strings.TrimRight(after, ".,;:)?")
	switch bare {
	case "V", "mV", "A", "mA", "Ah", "ohm", "mohm", "°C", "°F", "K", "%", "s", "min", "h", "d", "rpm", "mm", "m", "V/A":
		return true
	}
	return false
}

// cut splits word after as many runes as fit in width columns, at least one.
func cut(word string, width int) (string, string) {
	used := 0
	for i, r := range word {
		w := lipgloss.Width(string(r))
		if used+w > width && i > 0 {
			return word[:i], word[i:]
		}
		used += w
	}
	return word, ""
}
