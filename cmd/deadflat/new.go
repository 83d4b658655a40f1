package main

import (
	_ "embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"deadflat/internal/engine"
)

// A starting tree and its worked cases. NAME stands for the name of the tree.
//
//go:embed starting/tree.yaml
var startingTree string

//go:embed starting/cases.yaml
var startingCases string

const startHelp = `Write a tree to begin with: NAME.yaml, which explains itself, and its worked cases,
NAME.cases.yaml. It is sound as it stands ("deadflat prove NAME.yaml" says so);
change one thing at a time from there. A file that is there already is left alone.`

const startExamples = `  deadflat new left-on
  deadflat new left-on -o my-trees`

func newNew(s streams) *cobra.Command {
	var folder string
	c := &cobra.Command{
		Use:     "new NAME",
		Short:   "Write a tree to begin with, and its worked cases",
		Long:    startHelp + "\n\n" + exitHelp,
		Example: startExamples,
		Args:    words(1, 1, "NAME"),
		RunE:    func(_ *cobra.Command, args []string) error { return writeNew(s, args[0], folder) },
	}
	c.Flags().StringVarP(&folder, "output", "o", ".", "write into this `FOLDER`; it is made if it is not there")
	return c
}

func writeNew(s streams, name, folder string) error {
	if !engine.FileName.MatchString(name) {
		return usage("a tree's name is made of small letters, digits, - and _, 64 at most, and begins with a letter, not %q", name)
	}
	lib, _, err := loadLibrary("", s.err)
	if err != nil {
		return err
	}
	if lib.Tree(name) != nil {
		return usage("%q is a tree of the program, and yours would take its place: choose another name", name)
	}
	files := [][2]string{
		{filepath.Join(folder, name+".yaml"), startingTree},
		{filepath.Join(folder, name+".cases.yaml"), startingCases},
	}
	for _, f := range files {
		if _, err := os.Lstat(f[0]); !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("%q is there already and is left alone", f[0])
		}
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	for i, f := range files {
		if err := replaceFile(f[0], []byte(strings.ReplaceAll(f[1], "NAME", name)), forAll); err != nil {
			if i > 0 {
				os.Remove(files[0][0]) // so that it can be tried again
			}
			return err
		}
	}
	_, err = fmt.Fprintf(s.out, "%s\n%s\n", files[0][0], files[1][0])
	return err
}
