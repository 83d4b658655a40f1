package main

import (
	"fmt"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"deadflat/internal/job"
)

const jobsHelp = `List the jobs kept on this computer, the one worked on last first: its name,
when it was begun, how it stands, and the tree it walks.

The name, or the beginning of it, goes to "deadflat walk --resume" and to
"deadflat report"; "last" stands for the first of the list. Jobs are kept under
XDG_STATE_HOME, or ~/.local/state, in deadflat/jobs: one file a job. To be rid
of a job, delete its file.`

func newJobs(s streams) *cobra.Command {
	return &cobra.Command{
		Use:     "jobs",
		Short:   "List the jobs kept on this computer",
		Long:    jobsHelp,
		Example: "  deadflat jobs",
		Args:    words(0, 0, ""),
		RunE:    func(*cobra.Command, []string) error { return listJobs(s) },
	}
}

func listJobs(s streams) error {
	folder, err := job.Kind.Folder()
	if err != nil {
		return err
	}
	entries, err := job.List(folder, tradeFunctions()...)
	if err != nil {
		return err
	}
	if len(entries) == 0 {
		_, err := fmt.Fprintf(s.err, "there is no job in %q yet: deadflat walk begins one\n", folder)
		return err
	}
	table := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "JOB\tBEGUN\tSTATE\tTREE")
	unsummed := 0
	for _, e := range entries {
		if e.Unsummed {
			unsummed++
		}
		fmt.Fprintf(table, "%s\t%s\t%s\t%s\n", e.Name, e.Begun.Local().Format("2006-01-02 15:04"), e.State, e.Title)
	}
	if err := table.Flush(); err != nil || unsummed == 0 {
		return err
	}
	_, err = fmt.Fprintf(s.err, "begun by an older program and without checksums, so that a change would not be noticed: %d of %d\n", unsummed, len(entries))
	return err
}
