// Command deadflat finds out why a 12-volt vehicle will not start, or why its
// battery keeps going flat: it walks a person from reading to reading to an
// explained finding, or decides from readings in a file.
//
// This package reads flags, opens files, calls a package and prints. It holds
// no diagnosis. One file holds one command, with its help on top.
package main

import "os"

func main() {
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
