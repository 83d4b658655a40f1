package main

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"deadflat/internal/source"
)

// words checks how many words stand on a command line. what names them as the
// help does: "TREE [FILE|-]".
func words(least, most int, what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		switch {
		case len(args) < least:
			return usage("expected: %s %s", c.CommandPath(), what)
		case len(args) > most && most == 0:
			return usage("%s takes no words, but %q stands there", c.CommandPath(), strings.Join(args, " "))
		case len(args) > most:
			return usage("expected: %s %s; %q is too much", c.CommandPath(), what, strings.Join(args[most:], " "))
		}
		return nil
	}
}

// among refuses a word that is none of those known.
func among(what, word string, known []string) error {
	if slices.Contains(known, word) {
		return nil
	}
	return usage("there is no %s %q%s: %s", what, word, source.DidYouMean(word, known), strings.Join(known, ", "))
}

// apart refuses flags that do not go together with the first.
func apart(c *cobra.Command, flag string, others ...string) error {
	for _, other := range others {
		if c.Flags().Changed(flag) && c.Flags().Changed(other) {
			return usage("--%s and --%s do not go together", flag, other)
		}
	}
	return nil
}
