package main

import (
	"io"

	"github.com/spf13/cobra"

	"deadflat/internal/schema"
)

const schemaHelp = `Print a JSON Schema (draft 2020-12) of the files a trainer writes: trees, shared
declarations, the list of faults and worked cases. With it an editor completes
keys, explains them, and marks many slips while you type.

Write it beside your trees, and put this line first in each of them:

  # yaml-language-server: $schema=deadflat.schema.json

Editors with a YAML language server find the schema by that line. Some have a
setting instead that names the schema for all files of a folder.

A schema sees the shape of a file. What a tree means, "deadflat prove" checks.`

const schemaExamples = `  deadflat schema -o deadflat.schema.json`

func newSchema(s streams) *cobra.Command {
	var path string
	c := &cobra.Command{
		Use:     "schema",
		Short:   "Print the JSON Schema by which an editor helps to write trees",
		Long:    schemaHelp + "\n\n" + exitHelp,
		Example: schemaExamples,
		Args:    words(0, 0, ""),
		RunE: func(*cobra.Command, []string) error {
			return output{path: path, mode: forAll}.write(s, func(w io.Writer) error {
				_, err := w.Write(schema.JSON())
				return err
			})
		},
	}
	c.Flags().StringVarP(&path, "output", "o", "", outputHelp)
	return c
}
