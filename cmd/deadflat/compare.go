package main

import (
	"io"
	"strings"

	"github.com/spf13/cobra"

	"deadflat/internal/compare"
	"deadflat/internal/engine"
	"deadflat/internal/prove"
)

const compareHelp = `Say what changed between two editions of a tree: steps, readings, limits with the
old and the new value, branches and findings; which answers now go another way at
a step; and which would come to another finding, with one witness each.

OLD and NEW are YAML files, folders, or names of shipped trees. Where a folder
holds several trees, TREE says which.

Which answers go another way at a step, or are let through by a hazard rule, is
proved, for every step and rule that stands in both editions and every answer
that both can be given. It is about exact answers, not about what is asked at all,
and takes both editions for sound (deadflat prove). Of answers with doubt it says
so too where nothing that settles them was changed. A step that is too complex is
said to be undecided, and is tried at its limits.

The changed findings are found by trial, not by proof: both editions are walked
with the answers of the worked cases beside them, with changes of those on both
sides of every limit, and with walks that are led to what the proof found. What no
walk reached is said. Of very large trees some is left out, and that is said too.`

const compareExamples = `  deadflat compare old/left-on.yaml left-on.yaml
  deadflat compare no-start my-trees no-start
  deadflat compare old/left-on.yaml left-on.yaml --json`

func newCompare(s streams) *cobra.Command {
	walks, asJSON := compare.Walks, false
	c := &cobra.Command{
		Use:     "compare OLD NEW [TREE]",
		Short:   "Say what changed between two editions of a tree, and what follows",
		Long:    compareHelp + "\n\n" + exitHelp,
		Example: compareExamples,
		Args:    words(2, 3, "OLD NEW [TREE]"),
		RunE: func(_ *cobra.Command, args []string) error {
			if walks < 1 || walks > mostWalks {
				return usage("--walks is %d: expected 1 to %d", walks, mostWalks)
			}
			return compareEditions(s, args[0], args[1], strings.Join(args[2:], ""), walks, asJSON)
		},
	}
	c.Flags().IntVar(&walks, "walks", walks, "how many times both editions are walked")
	c.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	return c
}

const mostWalks = 100_000

// edition is one edition with what stands beside it.
type edition struct {
	lib  *engine.Library
	tree *engine.Tree
}

func loadEdition(path, name string, errs io.Writer) (e edition, err error) {
	if name == "" || !isPath(path) {
		name, path = path, ""
	}
	e.lib, e.tree, err = loadWithCases(name, path, errs)
	return e, err
}

func compareEditions(s streams, oldPath, newPath, name string, walks int, asJSON bool) error {
	old, err := loadEdition(oldPath, name, s.err)
	if err != nil {
		return err
	}
	now, err := loadEdition(newPath, name, s.err)
	if err != nil {
		return err
	}
	if old.tree.Name != now.tree.Name {
		return usage("%q is tree %q and %q is tree %q: these are not two editions of one tree", oldPath, old.tree.Name, newPath, now.tree.Name)
	}
	r := &compare.Report{Name: now.tree.Name, Was: old.tree.Edition, Is: now.tree.Edition, Changes: compare.Changes(old.tree, now.tree)}
	var cases []prove.Walked
	cases, r.Unwalked = casesOf(old, now)
	r.Proof = compare.Prove(old.tree, now.tree)
	r.Trial = compare.Try(old.tree, now.tree, cases, r.Proof, walks)
	if asJSON {
		return writeJSON(s.out, r)
	}
	return r.Text(s.out)
}

// casesOf walks the worked cases beside either edition on that edition. A case of
// both is taken once, as the new edition has it.
func casesOf(old, now edition) (cases []prove.Walked, unwalked []string) {
	known := map[string]bool{}
	for _, e := range []edition{now, old} {
		walked, faults := prove.WalkCases(e.lib, e.tree, e.lib.Sources())
		for _, f := range faults.Sorted() {
			unwalked = append(unwalked, f.Place.String()+": "+f.Message)
		}
		for _, w := range walked {
			if !known[w.Case] {
				known[w.Case] = true
				cases = append(cases, w)
			}
		}
	}
	return cases, unwalked
}
