package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// longestMeaning bounds what stands beside a name in a list, in characters.
const longestMeaning = 90

// listNames lists the names that files declare, shipped ones and those in own: all rows
// in which every word stands.
func listNames(s streams, own string, words []string) error {
	sources, _, err := gather(own)
	if err != nil {
		return err
	}
	all, faults := engine.Names(sources)
	all = slices.DeleteFunc(all, func(n engine.Name) bool {
		return !hasAll(strings.Join(nameCells(n), " ")+" "+n.Means+" "+n.What, words)
	})
	if err := writeNames(s.out, all); err != nil {
		return err
	}
	if !faults.Empty() {
		faults.Print(s.err)
		return errFaults
	}
	if len(all) == 0 {
		return usage("no name has %q in its row: deadflat trees --names lists them all", strings.Join(words, " "))
	}
	return nil
}

func hasAll(row string, words []string) bool {
	row = strings.ToLower(row)
	return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(row, strings.ToLower(w)) })
}

func nameCells(n engine.Name) []string {
	id := text.Shorten(text.Clean(n.ID), longestMeaning)
	if n.Short != "" {
		id += " (" + n.Short + ")"
	}
	return []string{id, text.Shorten(n.Means, longestMeaning), fmt.Sprintf("%s:%d", text.Clean(n.Place.File), n.Place.Line)}
}

// writeNames writes one table for each sort of name.
func writeNames(w io.Writer, all []engine.Name) error {
	var b strings.Builder
	table := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	for i, n := range all {
		if i == 0 || n.What != all[i-1].What {
			if i > 0 {
				fmt.Fprintln(table)
			}
			fmt.Fprintf(table, "%s\tWHAT IT IS\tSTANDS IN\n", strings.ToUpper(n.What))
		}
		fmt.Fprintln(table, strings.Join(nameCells(n), "\t"))
	}
	table.Flush() // into memory
	_, err := io.WriteString(w, b.String())
	return err
}
