package main

import (
	"io"
	"strings"

	"github.com/spf13/cobra"

	"deadflat/internal/draw"
	"deadflat/internal/engine"
)

const drawHelp = `Draw a tree on one sheet, to hang up or to look at.

TREE is the name of a tree, or a YAML file of your own. Steps are numbered, and
every way leads to a higher number. Each step lists when it goes on where; a
line shows the way where the next step stands near, and a boxed number where it
does not. Findings have pointed ends, those that stop the work are square. What
limits come to that depend on a reading stands behind the findings; with --set they
are worked out for one vehicle, as far as its answers go, and the drawing says so.

--job marks the way of a walk on its own edition of the tree. --cases marks
what none of the worked cases beside the tree (NAME.cases.yaml) comes to.

--as svg (the usual form) and html fit a sheet of A3; dot and mermaid are graphs
for other programs; sheet is a checklist for A4 to fill in by hand.`

const drawExamples = `  deadflat draw no-start -o no-start.svg
  deadflat draw my-tree.yaml --cases --as html -o my-tree.html
  deadflat draw --job last -o way.svg
  deadflat draw no-start --as sheet --set battery_temp="5 °C" --set chemistry=flooded -o sheet.html`

var drawForms = []string{"svg", "html", "dot", "mermaid", "sheet"}

// drawFlags are the choices of one run of draw.
type drawFlags struct {
	as, job, own string
	out          output
	cases        bool
	set          []string
}

func newDraw(s streams) *cobra.Command {
	var f drawFlags
	c := &cobra.Command{
		Use:               "draw TREE|FILE | draw --job JOB",
		Short:             "Draw a tree on one sheet, or as a checklist to fill in by hand",
		Long:              drawHelp + "\n\n" + exitHelp,
		Example:           drawExamples,
		Args:              words(0, 1, "TREE|FILE"),
		ValidArgsFunction: completeTrees,
		RunE:              func(_ *cobra.Command, args []string) error { return f.run(s, args) },
	}
	c.Flags().StringVar(&f.as, "as", "svg", "form of the drawing: "+strings.Join(drawForms, ", "))
	c.Flags().StringVarP(&f.out.path, "output", "o", "", outputHelp)
	c.Flags().StringVar(&f.own, "tree", "", ownHelp)
	c.Flags().StringVar(&f.job, "job", "", "mark the way of this `JOB`: a name, last, or a file")
	c.Flags().BoolVar(&f.cases, "cases", false, "mark what the worked cases come to")
	c.Flags().StringArrayVar(&f.set, "set", nil, "an answer that settles limits, as `NAME=VALUE`; may be repeated")
	completeFlag(c, "as", drawForms)
	return c
}

func (f *drawFlags) run(s streams, args []string) error {
	if err := among("form", f.as, drawForms); err != nil {
		return err
	}
	var o draw.Options
	tree, err := f.tree(s, args, &o)
	if err != nil {
		return err
	}
	if o.Given, err = givenAnswers(tree, f.set); err != nil {
		return err
	}
	plan := draw.New(tree, o)
	return f.out.write(s, map[string]func(io.Writer) error{
		"svg": plan.SVG, "html": plan.HTML, "dot": plan.Dot, "mermaid": plan.Mermaid, "sheet": plan.Sheet,
	}[f.as])
}

// tree is the tree to draw: the one named, or the one that a job carries.
func (f *drawFlags) tree(s streams, args []string, o *draw.Options) (*engine.Tree, error) {
	switch {
	case f.job == "" && len(args) == 0 && f.own == "":
		return nil, usage("name a tree or a file: deadflat trees lists the trees")
	case f.job == "":
		lib, tree, err := loadWithCases(strings.Join(args, ""), f.own, s.err)
		if err != nil {
			return nil, err
		}
		f.out.mode, f.out.reads = forAll, sourceNames(lib)
		if f.cases {
			o.Cases, err = coverageOf(lib, tree, s.err)
		}
		return tree, err
	case len(args) > 0 || f.own != "" || f.cases:
		return nil, usage("--job draws the tree that the job carries: leave out the tree's name, --tree and --cases")
	}
	j, err := findJob(f.job)
	if err != nil {
		return nil, err
	}
	walk, err := j.Replay()
	if err != nil {
		return nil, err
	}
	f.out.mode, f.out.reads = forOwner, []string{j.Path}
	o.Walk = walk.Record()
	return j.Tree, nil
}

// givenAnswers reads answers as a person types them, by the readings' names.
func givenAnswers(t *engine.Tree, set []string) ([]draw.Given, error) {
	var out []draw.Given
	for _, assignment := range set {
		name, typed, ok := strings.Cut(assignment, "=")
		if !ok {
			return nil, usage("--set %q: expected NAME=VALUE", assignment)
		}
		column, err := t.Column(name)
		switch {
		case err != nil:
			return nil, usage("--set: %w", err)
		case column.Step != nil:
			return nil, usage("--set %q: name a reading, not a step", assignment)
		}
		answer, refusal := column.Reading.Parse(typed, nil)
		if refusal != nil {
			return nil, usage("--set %s: %s", name, refusal.Reason)
		}
		out = append(out, draw.Given{Reading: column.Reading, Answer: answer})
	}
	return out, nil
}
