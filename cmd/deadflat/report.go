package main

import (
	"io"
	"strings"

	"github.com/spf13/cobra"

	"deadflat/internal/drill"
	"deadflat/internal/engine"
	"deadflat/internal/job"
	"deadflat/internal/report"
)

const reportHelp = `Write up a job: first a plain paragraph for the customer, then the finding and
its remedy, every reading and every step with what it was held against, what was
not tested, and what is still to be put back.

JOB is a name that "deadflat jobs" lists, the beginning of one, "last", or a
file. The job may still be going on. The file of a drill is written up as well, as
text or html.`

const reportExamples = `  deadflat report last
  deadflat report last --as html -o report.html
  deadflat report ./van.job --as json`

// forms are the ways a report can be written.
var forms = []string{"text", "markdown", "html", "json"}

func newReport(s streams) *cobra.Command {
	var as, path string
	c := &cobra.Command{
		Use:               "report JOB",
		Short:             "Write up a job for the customer and for the file",
		Long:              reportHelp + "\n\n" + exitHelp,
		Example:           reportExamples,
		Args:              words(1, 1, "JOB"),
		ValidArgsFunction: completeJobs,
		RunE:              func(_ *cobra.Command, args []string) error { return writeReport(s, args[0], as, path) },
	}
	c.Flags().StringVar(&as, "as", "text", "form of the report: "+strings.Join(forms, ", "))
	c.Flags().StringVarP(&path, "output", "o", "", outputHelp)
	completeFlag(c, "as", forms)
	return c
}

func writeReport(s streams, typed, as, path string) error {
	if drill.Kind.Is(typed) {
		return writeDrill(s, typed, as, path)
	}
	if err := among("form", as, forms); err != nil {
		return err
	}
	j, err := findJob(typed)
	if err != nil {
		return err
	}
	walk, err := j.Replay()
	if err != nil {
		return err
	}
	sayWhole(s.err, job.Kind, j.Path, j.Torn, j.Summed)
	out := output{path: path, mode: forOwner, reads: []string{j.Path}}
	return out.write(s, func(w io.Writer) error { return reportForm[as](w, walk.Record()) })
}

var reportForm = map[string]func(io.Writer, *engine.Record) error{
	"text":     func(w io.Writer, rec *engine.Record) error { return report.Text(w, rec, reportColumns) },
	"markdown": report.Markdown,
	"html":     report.HTML,
	"json":     report.JSON,
}

// findJob reads the job a person named.
func findJob(typed string) (*job.Job, error) {
	path, err := find(job.Kind, typed)
	if err != nil {
		return nil, err
	}
	return job.Read(path, tradeFunctions()...)
}
