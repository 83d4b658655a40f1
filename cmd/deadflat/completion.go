package main

import (
	"strings"

	"github.com/spf13/cobra"

	"deadflat/internal/source"
)

const completionHelp = `Print a script that lets your shell complete commands, trees and jobs when you
press Tab: for bash, zsh, fish or powershell. Load it from your shell's own
start-up file.`

const completionExamples = `  source <(deadflat completion bash)
  deadflat completion fish > ~/.config/fish/completions/deadflat.fish`

// shells are those that completion can be written for.
var shells = []string{"bash", "zsh", "fish", "powershell"}

func newCompletion(s streams) *cobra.Command {
	return &cobra.Command{
		Use:       "completion SHELL",
		Short:     "Print a script for completion in your shell",
		Long:      completionHelp,
		Example:   completionExamples,
		Args:      words(1, 1, strings.Join(shells, "|")),
		ValidArgs: shells,
		RunE: func(c *cobra.Command, args []string) error {
			root := c.Root()
			switch args[0] {
			case "bash":
				return root.GenBashCompletionV2(s.out, true)
			case "zsh":
				return root.GenZshCompletion(s.out)
			case "fish":
				return root.GenFishCompletion(s.out, true)
			case "powershell":
				return root.GenPowerShellCompletionWithDesc(s.out)
			}
			return usage("there is no completion for %q%s: %s", args[0], source.DidYouMean(args[0], shells), strings.Join(shells, ", "))
		},
	}
}
