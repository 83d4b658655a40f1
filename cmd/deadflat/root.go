package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"github.com/spf13/cobra"

	"deadflat/internal/text"
)

const rootHelp = `deadflat finds out why a 12-volt vehicle will not start, or why its battery
keeps going flat. It says what to look at and where the probes go, takes what
the meter shows, and ends with a finding that is explained step by step.

Where the work can hurt somebody, the vehicle's own instructions, local rules
and licensed practice come first.`

const rootExamples = `  deadflat walk                      start at the vehicle that will not start
  deadflat walk --resume last        go on where you left off
  deadflat report last --as html -o report.html
  deadflat decide no-start --set complaint="silent lamps bright" --set rest_voltage=12.6`

// streams are the three streams of the program.
type streams struct{ in, out, err *os.File }

// run is the program without its process: arguments in, exit code out.
func run(args []string, in, out, errs *os.File) int {
	// With the signal ignored a reader that goes away is an error of one write,
	// so that a job in hand is closed in good order.
	signal.Ignore(syscall.SIGPIPE)
	started := false
	root := newRoot(streams{in, out, errs})
	// An error before this is a wrong command line: it comes when that is understood.
	root.PersistentPreRun = func(*cobra.Command, []string) { started = true }
	help := &noting{to: out}
	root.SetOut(help)
	root.SetArgs(args)
	ran, err := root.ExecuteC()
	if err == nil && help.err != nil {
		err, started = help.err, true
	}
	code := exitCode(err, started)
	var faults faultsError
	switch {
	case err == nil || needsNoWords(err):
	case errors.As(err, &faults):
		fmt.Fprintln(errs, faults)
	default:
		fmt.Fprintf(errs, "deadflat: %s\n", plainPath(err))
		if code == exitUsage {
			fmt.Fprintf(errs, "see: %s --help\n", ran.CommandPath())
		}
	}
	return code
}

// untilSignal is a context that ends with Ctrl-C, SIGTERM or another signal named.
func untilSignal(also ...os.Signal) (context.Context, context.CancelFunc) {
	return signal.NotifyContext(context.Background(), append(also, os.Interrupt, syscall.SIGTERM)...)
}

// noting keeps the first error of a writer: the command library drops those of its
// help.
type noting struct {
	to  io.Writer
	err error
}

func (n *noting) Write(p []byte) (int, error) {
	written, err := n.to.Write(p)
	n.err = cmp.Or(n.err, err)
	return written, err
}

// newRoot puts the commands together.
func newRoot(s streams) *cobra.Command {
	root := &cobra.Command{
		Use:           "deadflat",
		Short:         "Find out why a 12-volt vehicle will not start",
		Long:          rootHelp + "\n\n" + exitHelp,
		Example:       rootExamples,
		SilenceErrors: true,
		SilenceUsage:  true,
		RunE:          func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	root.SetIn(s.in)
	root.SetErr(s.err)
	root.AddCommand(newWalk(s), newJobs(s), newDecide(s), newReport(s), newNew(s), newDraw(s), newSchema(s), newCompare(s), newTry(s), newProve(s), newTrial(s), newDrill(s), newTrees(s), newCalc(s), newVersion(s), newCompletion(s))
	root.SetHelpCommand(newHelp())
	// The command library names a flag as it was typed, control codes and all.
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return errors.New(text.Clean(err.Error())) })
	return root
}
