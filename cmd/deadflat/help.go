package main

import (
	"strings"

	"github.com/spf13/cobra"
)

const helpHelp = `Print what a command does, its flags and examples.`

// newHelp differs from the help that comes with the command library in one
// thing: asking for a command that does not exist is a wrong command line.
func newHelp() *cobra.Command {
	return &cobra.Command{
		Use:     "help [COMMAND]",
		Short:   "Print what a command does",
		Long:    helpHelp,
		Example: "  deadflat help\n  deadflat help walk",
		RunE: func(c *cobra.Command, args []string) error {
			about, rest, err := c.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return usage("there is no command %q to give help for", strings.Join(args, " "))
			}
			about.InitDefaultHelpFlag()
			return about.Help()
		},
	}
}
