package main

import (
	"io"
	"strings"

	"github.com/spf13/cobra"
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
			if err := among("completion for", args[0], shells); err != nil {
				return err
			}
			root := c.Root()
			return map[string]func(io.Writer) error{
				"bash":       func(w io.Writer) error { return root.GenBashCompletionV2(w, true) },
				"zsh":        root.GenZshCompletion,
				"fish":       func(w io.Writer) error { return root.GenFishCompletion(w, true) },
				"powershell": root.GenPowerShellCompletionWithDesc,
			}[args[0]](s.out)
		},
	}
}
