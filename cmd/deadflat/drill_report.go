package main

import (
	"fmt"
	"io"
	"strings"

	"deadflat/internal/drill"
	"deadflat/internal/source"
	"deadflat/internal/terminal"
)

// drillForms are the ways in which a drill can be written up.
var drillForms = []string{"text", "html"}

// reportColumns is the width of a written report, of a job as of a drill.
const reportColumns = 80

// writeDrill writes a drill up.
func writeDrill(s streams, path, as, to string) error {
	d, err := readDrill(s, path)
	if err != nil {
		return err
	}
	var write func(io.Writer) error
	switch as {
	case "text":
		write = func(w io.Writer) error { return drillText(w, d) }
	case "html":
		write = d.HTML
	default:
		return usage("a drill is not written as %q%s: %s", as, source.DidYouMean(as, drillForms), strings.Join(drillForms, " or "))
	}
	return output{path: to, mode: forAll, reads: []string{path}}.write(s, write)
}

func drillText(w io.Writer, d *drill.Drill) error {
	o := terminal.Options{Width: reportColumns}
	if err := terminal.Tell(w, append(d.Head(), append([]string{""}, strings.Split(d.Debrief(), "\n")...)...), o); err != nil {
		return err
	}
	for _, t := range d.Traces() {
		for _, slow := range []bool{false, true} {
			if _, err := fmt.Fprintf(w, "%s:\n%s\n\n", t.Title(slow), strings.Join(t.Draw(slow, t.Seconds(slow), reportColumns, 22), "\n")); err != nil {
				return err
			}
		}
	}
	return nil
}
