package main

import (
	"github.com/spf13/cobra"

	"deadflat/internal/engine"
	"deadflat/internal/job"
)

// What the shell offers when Tab is pressed. Nothing here may print: on any
// trouble there is just nothing to offer.

func completeTrees(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	lib, _ := engine.Load(shippedSources(), tradeFunctions()...)
	return treeNames(lib), cobra.ShellCompDirectiveNoFileComp
}

func completeJobs(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	folder, err := job.Folder()
	if err != nil || len(args) > 0 {
		return nil, cobra.ShellCompDirectiveDefault
	}
	names := []string{"last"}
	entries, _ := job.List(folder, tradeFunctions()...)
	for _, e := range entries {
		names = append(names, e.Name)
	}
	return names, cobra.ShellCompDirectiveDefault
}

// completeFlag offers a fixed set of words for a flag.
func completeFlag(c *cobra.Command, flag string, words []string) {
	// The only error is a flag of that name that does not exist: a mistake in
	// the lines before the call, found by the first test that runs.
	if err := c.RegisterFlagCompletionFunc(flag, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)); err != nil {
		panic(err)
	}
}
