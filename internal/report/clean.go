package report

import (
	"strconv"
	"strings"

	"deadflat/internal/text"
)

// sentences joins texts into one paragraph, leaving the empty ones out.
func sentences(texts ...string) string {
	var out []string
	for _, t := range texts {
		if t = text.Sentence(t); t != "" {
			out = append(out, t)
		}
	}
	return strings.Join(out, " ")
}

// number prints a number with a fixed count of decimals and never as "-0".
func number(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}
