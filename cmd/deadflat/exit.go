package main

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"syscall"

	"deadflat/internal/source"
)

// The exit codes of every command.
const (
	exitDone   = 0 // done: a finding was reached, nothing is wrong
	exitFaults = 1 // faults found, more readings needed, or a job not finished
	exitUsage  = 2 // wrong command line
	exitIO     = 3 // could not read or write
)

const exitHelp = `Exit codes: 0 done; 1 faults found, more readings needed, or a job not
finished; 2 wrong command line; 3 could not read or write.`

// errFaults ends a command with code 1 when everything has been said already.
var errFaults = errors.New("faults found")

// faultsError ends a command with code 1 and the faults of a file.
type faultsError struct{ *source.Faults }

func (f faultsError) Error() string {
	var b strings.Builder
	f.Print(&b)
	return strings.TrimSuffix(b.String(), "\n")
}

// usageError is a mistake on the command line that only shows while the command
// runs.
type usageError struct{ error }

func usage(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// exitCode sorts the error a command ended with. started tells whether the
// command line had been understood before it came up.
func exitCode(err error, started bool) int {
	var wrong usageError
	var faults faultsError
	switch {
	case err == nil:
		return exitDone
	case !started || errors.As(err, &wrong):
		return exitUsage
	case errors.Is(err, errFaults), errors.As(err, &faults):
		return exitFaults
	}
	return exitIO
}

// needsNoWords reports whether an error needs no words: the faults were printed, or
// whoever read our output has gone away.
func needsNoWords(err error) bool {
	return errors.Is(err, errFaults) || errors.Is(err, syscall.EPIPE)
}

// plainPath takes the system call's name out of a file error: "open" helps
// nobody at the bonnet.
func plainPath(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return fmt.Errorf("%q: %w", p.Path, p.Err)
	}
	return err
}
