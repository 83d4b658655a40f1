package engine

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/eval"
)

// mirrored turns every comparison of a tree round: a < b becomes not (b <= a). With over,
// its sides are moved over as well: 0 stands against b - a.
func mirrored(t *Tree, over bool) {
	done := map[*eval.Program]bool{}
	turn := func(p *eval.Program) {
		if p == nil || done[p] {
			return
		}
		done[p] = true
		was := map[int]bool{}
		for i, a := range p.Atoms {
			if a.Kind != eval.Compare || a.Op == eval.Equal {
				continue
			}
			was[i] = true
			a.Op = eval.Less + eval.LessEqual - a.Op
			a.Written = map[string]string{"<": "<=", "<=": "<"}[a.Written]
			a.Left, a.Right, a.Diff = a.Right, a.Left, a.Diff.Negated()
			if over {
				a.Left, a.Right = a.Diff, a.Diff.Negated().Negated()
				a.Right.K, a.Right.Terms, a.Right.Limits = 0, nil, nil
			}
		}
		for _, g := range p.Guards {
			g.Root = turned(g.Root, was)
		}
	}
	for _, p := range t.Programs() {
		turn(p)
	}
	for _, r := range t.Readings {
		for _, o := range r.Odd {
			turn(o.If.Program())
		}
		if r.Assume != nil && r.Assume.If != nil {
			turn(r.Assume.If.Program())
		}
	}
}

func turned(n *eval.Node, atoms map[int]bool) *eval.Node {
	if n.Kind == eval.Leaf && atoms[n.Atom] {
		return &eval.Node{Kind: eval.Not, Kids: []*eval.Node{{Kind: eval.Leaf, Atom: n.Atom}}}
	}
	out := *n
	out.Kids = nil
	for _, k := range n.Kids {
		out.Kids = append(out.Kids, turned(k, atoms))
	}
	return &out
}

// nearLimit is an answer, mostly at a limit of the tree or a few counts beside it.
func nearLimit(t *rapid.T, tree *Tree, r *Reading) *Answer {
	a := drawAnswer(t, r)
	if !r.Number() {
		return a
	}
	var at []float64
	for _, l := range tree.Limits {
		if l.Unit.Dim != r.Unit.Dim {
			continue
		}
		for _, x := range numbers(l) {
			if x >= r.Span[0] && x <= r.Span[1] {
				at = append(at, x)
			}
		}
	}
	if len(at) == 0 || rapid.IntRange(0, 3).Draw(t, r.ID+" anywhere") == 0 {
		return a
	}
	a.Held = ""
	a.Value = r.Unit.From(rapid.SampledFrom(at).Draw(t, r.ID+" at")) + float64(rapid.IntRange(-5, 5).Draw(t, r.ID+" beside"))/100
	return a
}

// outline is what a walk came to: steps, branches, how sure, and the facts, whose order
// goes by how a comparison is written.
func outline(w *Walk) []string {
	var out []string
	for i, v := range w.visits {
		var facts, clears []string
		for _, f := range v.Explanation.Facts {
			facts = append(facts, f.sentence())
		}
		slices.Sort(facts)
		for _, f := range w.s.decisions[i].clears() {
			clears = append(clears, f.ID)
		}
		to := v.Explanation.Branch.To
		out = append(out, fmt.Sprint(v.Step.ID, " by ", w.s.decisions[i].how, " to ", targetTitle(to), " ", v.Explanation.Sure, facts, clears))
	}
	p := w.Next()
	if p.Result != nil {
		out = append(out, fmt.Sprint(p.Result.Finding.ID, " ", p.Result.Certainty, " ", len(p.Result.Close)))
	}
	return append(out, p.Stuck)
}

// sameMirrored walks a tree at random and its mirrored twins with the same answers. It
// gives the decisions taken by the safer side.
func sameMirrored(t *rapid.T, tree *Tree, twins ...*Tree) (safer int) {
	kit := Kit{Meter: "workshop", Has: tree.Words.Equipment}
	w := NewWalk(tree, FindMeter("workshop"), kit)
	for range 60 {
		p := w.Next()
		if p.Result != nil || p.Stuck != "" {
			break
		}
		ev := Event{At: noon, Step: p.Step.ID, Do: DoDone}
		if !p.Ack {
			f := p.Fields[0]
			ev.Do, ev.Reading, ev.Answer = DoAnswer, f.Reading.ID, nearLimit(t, tree, f.Reading)
			ev.Answer.Sure = true
		}
		_, err := w.Answer(ev)
		require.NoError(t, err)
	}
	for _, twin := range twins {
		again := NewWalk(twin, FindMeter("workshop"), kit)
		_, err := again.Answer(w.Events()...)
		require.NoError(t, err)
		require.Equal(t, outline(w), outline(again))
	}
	for _, d := range w.s.decisions {
		if d.how == bySafer {
			safer++
		}
	}
	return safer
}

// TestTheSaferSideIsTheLimits writes every comparison of every shipped tree the other way
// round, and demands the same walk, the same verdicts and the same facts.
func TestTheSaferSideIsTheLimits(t *testing.T) {
	lib, round, over := shipped(t), shipped(t), shipped(t)
	safer := 0
	for _, tree := range lib.Trees() {
		t.Run(tree.Name, func(t *testing.T) {
			twins := []*Tree{round.Tree(tree.Name), over.Tree(tree.Name)}
			mirrored(twins[0], false)
			mirrored(twins[1], true)
			rapid.Check(t, func(t *rapid.T) { safer += sameMirrored(t, tree, twins...) })
		})
	}
	t.Log(safer, "by the safer side")
	require.Positive(t, safer)
}

// sum is a few terms, each with its sign.
type sum []string

// String writes the sum as a guard holds it.
func (s sum) String() string {
	out := strings.TrimPrefix(strings.Join(s, " "), "+ ")
	return strings.Replace(out, "- ", "-", strings.Count(out[:1], "-"))
}

// moved takes term i of one sum over to another.
func moved(from, to sum, i int) (sum, sum) {
	term := map[string]string{"+": "-", "-": "+"}[from[i][:1]] + from[i][1:]
	return slices.Delete(slices.Clone(from), i, i+1), append(slices.Clone(to), term)
}

const oneComparison = `
tree: one
title: One comparison
edition: 1
begin: look
points: [plus, minus]
readings:
  rest: {ask: Rest, short: rest, unit: V, span: [0, 18], probe: {red: plus, black: minus}}
  load: {ask: Load, short: load, unit: V, span: [0, 18], probe: {red: plus, black: minus}}
  amps: {ask: Current, short: current, unit: A, span: [0, 900], clamp: plus}
limits:
  edge: {is: 12 V, source: definition%s}
  margin: {is: 0.5 V, source: definition%s}
  path: {is: 0.002 V/A, source: definition%s}
steps:
  look: {kind: measure, title: Look, together: true, take: [rest, load, amps], branches: [{if: '%s', to: low}, {if: 'not (%s)', to: good}]}
findings:
  low: {title: Low, action: charge}
  good: {title: Good, action: none}
`

// TestTheSaferSideOfARandomComparison moves the terms of random comparisons over and
// writes them the other way round.
func TestTheSaferSideOfARandomComparison(t *testing.T) {
	safer := 0
	terms := []string{"rest", "load", "limits.edge", "limits.margin", "limits.path * amps", "amps * limits.path"}
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) sum {
			out := sum{"+ " + rapid.SampledFrom(terms).Draw(t, name)}
			for range rapid.IntRange(0, 2).Draw(t, name+" more") {
				out = append(out, rapid.SampledFrom([]string{"+ ", "- "}).Draw(t, name+" sign")+rapid.SampledFrom(terms).Draw(t, name))
			}
			return out
		}
		left, right := draw("left"), draw("right")
		var sides []any
		for _, name := range []string{"edge", "margin", "path"} {
			sides = append(sides, rapid.SampledFrom([]string{"", ", safer: below", ", safer: above"}).Draw(t, name))
		}
		load := func(guard string) *Tree {
			lib, faults := Load([]Source{{Name: "one.yaml", Data: fmt.Appendf(nil, oneComparison, append(sides, guard, guard)...)}})
			require.True(t, faults.Empty(), "%s: %v", guard, faults.Sorted())
			return lib.Tree("one")
		}
		op := rapid.SampledFrom([]string{"<", "<=", ">", ">="}).Draw(t, "op")
		other := map[string]string{"<": ">", "<=": ">=", ">": "<", ">=": "<="}[op]
		twins := []*Tree{load(fmt.Sprint(right, " ", other, " ", left))}
		if len(left) > 1 {
			l, r := moved(left, right, rapid.IntRange(0, len(left)-1).Draw(t, "moved"))
			twins = append(twins, load(fmt.Sprint(l, " ", op, " ", r)), load(fmt.Sprint(r, " ", other, " ", l)))
		}
		safer += sameMirrored(t, load(fmt.Sprint(left, " ", op, " ", right)), twins...)
	})
	require.Positive(t, safer)
}

// TestAReadingAtTheLimitIsSaidToStandThere: nothing is 0.00 V from what was read.
func TestAReadingAtTheLimitIsSaidToStandThere(t *testing.T) {
	for guard, want := range map[string]string{
		"rest < limits.edge":                 "Rest of 12.00 V stands exactly at the limit and counts as below it.",
		"limits.edge > rest":                 "Rest of 12.00 V stands exactly at the limit and counts as below it.",
		"rest < limits.edge - limits.margin": "Rest of 11.49 V or less, 0.51 V from what was read, would have led there instead.",
	} {
		lib, faults := Load([]Source{{Name: "one.yaml", Data: fmt.Appendf(nil, oneComparison, ", safer: below", "", "", guard, guard)}})
		require.True(t, faults.Empty(), "%v", faults.Sorted())
		w := NewWalk(lib.Tree("one"), FindMeter("workshop"), Kit{})
		say(t, w, "rest 12", "load 0", "current 0")
		require.Len(t, w.visits, 1)
		require.Equal(t, want, w.visits[0].Explanation.Flip, guard)
	}
}
