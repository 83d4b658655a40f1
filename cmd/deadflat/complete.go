package main

import (
	"github.com/spf13/cobra"

	"deadflat/internal/engine"
	"deadflat/internal/job"
	"deadflat/internal/journal"
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
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveDefault
	}
	return keptNames(job.Kind)
}

// keptNames offers the files that are kept; a file of one's own can be named as well.
func keptNames(k *journal.Kind) ([]string, cobra.ShellCompDirective) {
	names := []string{journal.Last}
	if folder, err := k.Folder(); err == nil {
		kept, _ := k.Names(folder)
		names = append(names, kept...)
	}
	return names, cobra.ShellCompDirectiveDefault
}

// completeFlag offers a fixed set of words for a flag.
func completeFlag(c *cobra.Command, flag string, words []string) {
	offerFor(c, flag, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp))
}

// completeKept offers the files that are kept for a flag.
func completeKept(c *cobra.Command, flag string, k *journal.Kind) {
	offerFor(c, flag, func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) { return keptNames(k) })
}

func offerFor(c *cobra.Command, flag string, offer cobra.CompletionFunc) {
	// The only error is a flag of that name that does not exist: a mistake in
	// the lines before the call, found by the first test that runs.
	if err := c.RegisterFlagCompletionFunc(flag, offer); err != nil {
		panic(err)
	}
}
