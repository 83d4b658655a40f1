package main

import (
	"io"
	"os"
	"slices"
	"strings"

	"deadflat/internal/draw"
	"deadflat/internal/engine"
	"deadflat/internal/prove"
)

// gatherWithCases is gather with the worked cases that stand beside a single
// file: NAME.cases.yaml beside NAME.yaml.
func gatherWithCases(own string) (sources []engine.Source, theirs []string, err error) {
	sources, theirs, err = gather(own)
	if err != nil {
		return nil, nil, err
	}
	return append(sources, casesBeside(own, sources)...), theirs, nil
}

// loadWithCases loads a tree with the worked cases beside it: the one that is
// named, in own or shipped; without own a path may stand for the name.
func loadWithCases(name, own string, errs io.Writer) (*engine.Library, *engine.Tree, error) {
	if own == "" && isPath(name) {
		name, own = "", name
	}
	sources, theirs, err := gatherWithCases(own)
	if err != nil {
		return nil, nil, err
	}
	lib, err := load(sources, errs)
	if err != nil {
		return nil, nil, err
	}
	return chosen(lib, name, own, theirs, "")
}

// isPath tells the path of a file or folder from the name of a shipped tree.
func isPath(typed string) bool {
	if isYAML(typed) || strings.ContainsRune(typed, os.PathSeparator) {
		return true
	}
	return isFolder(typed)
}

// coverageOf walks the worked cases of a tree, and of the trees that it may run,
// and notes what they come to.
func coverageOf(lib *engine.Library, t *engine.Tree, errs io.Writer) (*draw.Coverage, error) {
	c := &draw.Coverage{}
	none := true
	for _, any := range lib.Trees() {
		if !slices.ContainsFunc(t.Steps, func(s *engine.Step) bool { return s.DeclaredIn() == any.Name }) {
			continue
		}
		walked, faults := prove.WalkCases(lib, any, lib.Sources())
		if !faults.Empty() {
			faults.Print(errs)
			return nil, errFaults
		}
		none = none && (any != t || len(walked) == 0)
		for _, w := range walked {
			c.Add(w.Record)
		}
	}
	if none {
		return nil, usage("tree %q has no worked cases beside it", t.Name)
	}
	return c, nil
}
