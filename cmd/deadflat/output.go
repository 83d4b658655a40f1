package main

import (
	"encoding/json"
	"io"

	"deadflat/internal/report"
)

// writeJSON writes a value for other programs, indented for a person.
func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(jsonWriter{w})
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// jsonWriter passes JSON on with the runes that would act on a terminal escaped.
// No write may end inside a rune.
type jsonWriter struct{ to io.Writer }

func (w jsonWriter) Write(text []byte) (int, error) {
	if _, err := w.to.Write(report.EscapeJSON(text)); err != nil {
		return 0, err
	}
	return len(text), nil
}
