package main

import (
	"fmt"
	"io"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"deadflat/internal/engine"
	"deadflat/internal/prove"
	"deadflat/internal/source"
)

const proveHelp = `Prove that trees are sound, before anybody follows them: that every answer inside
the spans has one branch and no more, that nothing is decided on a reading that
was not taken, has gone stale or could not be taken, that every step and finding
can be come to, that nothing is charged, loaded, cranked or jumped without a
hazard rule, and what else the rules demand (--explain lists them).

Each fault comes with its place, with answers that show it, and where it helps
with a line to paste. What cannot be decided is said to be undecided. Remarks
are worth a look; the tree is sound all the same.

The worked cases beside a tree (NAME.cases.yaml) are walked, and what they do not
cover is named. --mutate changes limits, guards, targets and hazard rules a little,
one at a time, and names the changes that no case notices, with a case that would.

Whether a tree is good advice it cannot say.`

const proveExamples = `  deadflat prove                         the shipped trees
  deadflat prove no-start --mutate
  deadflat prove my-trees/
  deadflat prove --explain gap`

const proveExit = `Exit codes: 0 sound; 1 faults found, or something could not be decided; 2 wrong
command line; 3 could not read.`

type proveFlags struct {
	json, mutate bool
	explain      string
}

func newProve(s streams) *cobra.Command {
	var f proveFlags
	c := &cobra.Command{
		Use:               "prove [TREE|FILE|FOLDER]...",
		Short:             "Prove that trees are sound, or show where they are not",
		Long:              proveHelp + "\n\n" + proveExit,
		Example:           proveExamples,
		ValidArgsFunction: completeTrees,
		RunE: func(c *cobra.Command, args []string) error {
			if c.Flags().Changed("explain") {
				if len(args) > 0 {
					return usage("--explain stands alone, without a tree")
				}
				return explainRule(s.out, f.explain)
			}
			return f.run(s, args)
		},
	}
	c.Flags().BoolVar(&f.json, "json", false, "write JSON")
	c.Flags().BoolVar(&f.mutate, "mutate", false, "name the small changes that no worked case notices")
	c.Flags().StringVar(&f.explain, "explain", "", "explain the `RULE` in brackets at the end of a message; \"all\" lists them")
	return c
}

func (f *proveFlags) run(s streams, args []string) error {
	// As for a walk: looking for what is thrown away would take a fifth of the time.
	// Four times the memory in use, up to a gigabyte: common practice, no source.
	debug.SetGCPercent(400)
	debug.SetMemoryLimit(1 << 30)
	sources, names, err := proveSources(args)
	if err != nil {
		return err
	}
	lib, err := load(sources, s.out)
	if err != nil {
		return err
	}
	for _, n := range names {
		if _, err := treeNamed(lib, n); err != nil {
			return err
		}
	}
	report := prove.Library(lib, names, prove.Options{Mutate: f.mutate})
	write := report.Print
	if f.json {
		write = func(w io.Writer) error { return writeJSON(w, report.JSON()) }
	}
	if err := write(s.out); err != nil {
		return err
	}
	if !report.Sound() {
		return errFaults
	}
	return nil
}

// proveSources gathers what is to be loaded, and the names of the trees to prove:
// none for all that are loaded. An argument that is neither a shipped tree nor a
// path is taken for a tree that is not there.
func proveSources(args []string) ([]engine.Source, []string, error) {
	sources := shippedSources()
	var names []string
	for _, a := range args {
		if slices.ContainsFunc(sources, func(x engine.Source) bool { return declared(x) == "tree "+a }) {
			names = append(names, a)
			continue
		}
		if !strings.ContainsAny(a, `/\.`) {
			if _, err := readSources(a); err != nil {
				return nil, nil, usage("%q is neither a shipped tree nor a file or folder", a)
			}
		}
		with, theirs, err := gatherOver(sources, a)
		if err != nil {
			return nil, nil, err
		}
		sources = append(with, casesBeside(a, with)...)
		names = append(names, theirs...)
		if len(theirs) == 0 && allRead(with) { // else loading says what is wrong with them
			return nil, nil, usage("%q holds no tree", a)
		}
	}
	return sources, names, nil
}

// allRead reports whether files are YAML that can be read.
func allRead(files []engine.Source) bool {
	faults := &source.Faults{}
	for _, s := range files {
		if !engine.IsPicture(s.Name) {
			source.Read(s.Name, s.Data, faults)
		}
	}
	return faults.Empty()
}

// casesBeside reads NAME.cases.yaml beside the file NAME.yaml.
func casesBeside(path string, have []engine.Source) []engine.Source {
	ext := filepath.Ext(path)
	if !isYAML(path) {
		return nil // a folder, whose files were all read
	}
	beside := strings.TrimSuffix(path, ext) + ".cases" + ext
	if slices.ContainsFunc(have, func(s engine.Source) bool { return s.Name == beside }) {
		return nil
	}
	cases, err := readSources(beside)
	if err != nil {
		return nil // there are none
	}
	return cases
}

// explainRule prints one rule with its samples, or the list of all.
func explainRule(w io.Writer, id string) error {
	if id == "all" || id == "" {
		for _, r := range prove.Rules {
			if _, err := fmt.Fprintf(w, "%-20s %s\n", r.ID, r.Title); err != nil {
				return err
			}
		}
		return nil
	}
	r := prove.RuleNamed(id)
	if r == nil {
		return usage("there is no rule %q%s", id, source.DidYouMean(id, prove.RuleIDs()))
	}
	_, err := io.WriteString(w, r.Text())
	return err
}
