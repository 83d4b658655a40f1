package main

import (
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"

	"deadflat/internal/job"
)

const versionHelp = `Print the version of the program and of what it writes and reads.`

func newVersion(s streams) *cobra.Command {
	return &cobra.Command{
		Use:     "version",
		Short:   "Print the version",
		Long:    versionHelp,
		Example: "  deadflat version",
		Args:    words(0, 0, ""),
		RunE: func(*cobra.Command, []string) error {
			build, goVersion := "unknown", "an unknown Go"
			if info, ok := debug.ReadBuildInfo(); ok {
				build, goVersion = info.Main.Version, info.GoVersion
			}
			if build == "" || build == "(devel)" {
				build = "(built from a work tree)"
			}
			_, err := fmt.Fprintf(s.out, "deadflat %s\njob files: format version %d\nbuilt with %s\n", build, job.Kind.Version, goVersion)
			return err
		},
	}
}
