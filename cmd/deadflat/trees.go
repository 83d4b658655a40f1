package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"deadflat/internal/engine"
	"deadflat/internal/source"
)

const treesHelp = `List the trees, or show the steps, readings and findings of one, with the names
by which "deadflat decide" takes them. Of shared declarations (common, charger and
so on) it shows every name.

--names lists what a tree may name: readings, limits, values, hazard rules, findings,
points, states, acts, equipment, faults and so on, with what each is and where it
stands. Words narrow it down to the rows in which all of them stand.

--check loads trees and prints everything that is wrong with them, with its
place: the shipped ones, or the files and folders named. It says nothing about
whether a tree is good advice.`

const treesExamples = `  deadflat trees
  deadflat trees no-start
  deadflat trees common
  deadflat trees --names limit drop
  deadflat trees --check
  deadflat trees --check my-trees/`

func newTrees(s streams) *cobra.Command {
	var check, list bool
	var own string
	c := &cobra.Command{
		Use:               "trees [NAME] | trees --names [WORD]... | trees --check [FILE|FOLDER]...",
		Short:             "List the trees, show one, or check them for faults",
		Long:              treesHelp + "\n\n" + exitHelp,
		Example:           treesExamples,
		ValidArgsFunction: completeTrees,
		RunE: func(c *cobra.Command, args []string) error {
			if err := apart(c, "check", "tree", "names"); err != nil {
				return err
			}
			switch {
			case check:
				return checkTrees(s, args)
			case list:
				return listNames(s, own, args)
			}
			if err := words(0, 1, "[NAME]")(c, args); err != nil {
				return err
			}
			if len(args) == 1 {
				return showTree(s, args[0], own)
			}
			return listTrees(s, own)
		},
	}
	c.Flags().BoolVar(&check, "check", false, "load trees and print all their faults")
	c.Flags().BoolVar(&list, "names", false, "list what trees may name, and where it stands")
	c.Flags().StringVar(&own, "tree", "", ownHelp)
	return c
}

func listTrees(s streams, own string) error {
	lib, _, err := loadLibrary(own, s.err)
	if err != nil {
		return err
	}
	table := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "TREE\tEDITION\tREVIEWED\tSTEPS\tFINDINGS\tTITLE")
	for _, t := range lib.Trees() {
		fmt.Fprintf(table, "%s\t%d\t%s\t%d\t%d\t%s\n", t.Name, t.Edition, cmp.Or(t.Review.Day, "draft"), len(t.Steps), len(t.Findings), t.Title)
	}
	return table.Flush()
}

// checkTrees loads what the paths name, each together with what is shipped, and
// prints every fault. Faults are what was asked for, so they are the output.
func checkTrees(s streams, paths []string) error {
	if len(paths) == 0 {
		paths = []string{""}
	}
	clean := true
	for _, path := range paths {
		sources, theirs, err := gather(path)
		if err != nil {
			return err
		}
		lib, err := load(sources, s.out)
		if errors.Is(err, errFaults) {
			clean = false
			continue
		}
		if err != nil {
			return err
		}
		names := theirs
		if path == "" {
			names = treeNames(lib)
		}
		if _, err := fmt.Fprintf(s.out, "no faults found in %s\n", counted(names)); err != nil {
			return err
		}
	}
	if !clean {
		return errFaults
	}
	return nil
}

// counted says how many trees there are and which.
func counted(names []string) string {
	switch len(names) {
	case 0:
		return "shared declarations; there is no tree among them"
	case 1:
		return "tree " + names[0]
	}
	return fmt.Sprintf("%d trees: %s", len(names), strings.Join(names, ", "))
}

func showTree(s streams, name, own string) error {
	lib, _, err := loadLibrary(own, s.err)
	if err != nil {
		return err
	}
	t := lib.Tree(name)
	if t == nil {
		return showShared(s, lib, name)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\nedition %d, %s\n%s\n", t.Name, t.Title, t.Edition, t.Hash, t.Review)
	if t.Summary != "" {
		fmt.Fprintf(&b, "%s\n", t.Summary)
	}
	if len(t.Uses) > 0 {
		fmt.Fprintf(&b, "uses %s (deadflat trees NAME lists what stands there)\n", strings.Join(t.Uses, ", "))
	}
	for _, part := range []func(io.Writer, *engine.Tree){showSteps, showReadings, showFindings} {
		b.WriteByte('\n')
		table := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
		part(table, t)
		if err := table.Flush(); err != nil {
			return err
		}
	}
	_, err = io.WriteString(s.out, b.String())
	return err
}

// showShared shows what a shared file declares.
func showShared(s streams, lib *engine.Library, name string) error {
	all, _ := engine.Names(lib.Sources()) // what hides names is told where trees are loaded
	known := treeNames(lib)
	for _, n := range all {
		if in, shared := strings.CutPrefix(n.In, "shared "); shared {
			known = append(known, in)
		}
	}
	if !slices.Contains(known, name) {
		return usage("there is no tree and no shared file %q%s", name, source.DidYouMean(name, known))
	}
	return writeNames(s.out, slices.DeleteFunc(all, func(n engine.Name) bool { return n.In != "shared "+name }))
}

func showSteps(w io.Writer, t *engine.Tree) {
	fmt.Fprintln(w, "STEP\tKIND\tTITLE\tREADINGS")
	for _, step := range t.Steps {
		takes := names(step.Take, func(r *engine.Reading) string { return r.ID })
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", step.ID, step.Kind, step.Title, strings.Join(takes, ", "))
	}
}

func showReadings(w io.Writer, t *engine.Tree) {
	fmt.Fprintln(w, "READING\tTYPED AS\tASKS FOR\tIN")
	for _, r := range t.Readings {
		in := strings.Join(r.List(), map[bool]string{false: " | ", true: " + "}[r.Many()])
		if r.Number() {
			in = r.Unit.Name
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", r.ID, r.Short, r.Ask, in)
	}
}

func showFindings(w io.Writer, t *engine.Tree) {
	fmt.Fprintln(w, "FINDING\tTITLE")
	for _, f := range t.Findings {
		fmt.Fprintf(w, "%s\t%s\n", f.ID, f.Title)
	}
}
