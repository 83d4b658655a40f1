package eval

import (
	"math"
	"math/big"
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"

	"deadflat/internal/unit"
)

// How the highest, the lowest or the spread of several readings is compared.
//
// The highest lies below a limit when all of them do and above it when one does; the
// lowest the other way round; the spread is the highest of the differences, each reading
// less each other. So such a comparison is an and, or an or, over comparisons of sums,
// and all that holds of those holds of it: what doubt they have in common cancels, and it
// is decided, proved and changed like any other guard.

// extremes are the functions, with what expr needs to check their types. There they go by
// names that no reading can have (flatten), so that readings and limits may be called alike.
var extremes = map[string]any{
	"highest": func(...any) float64 { return 0 },
	"lowest":  func(...any) float64 { return 0 },
	"spread":  func(...any) float64 { return 0 },
}

// mostOf bounds the readings of one function; a spread makes a comparison of each pair.
const mostOf = 12

// Extreme is the highest, the lowest or the spread of several readings.
type Extreme struct {
	Func string // "highest", "lowest" or "spread"
	Vars []*Var // the readings, in the order written
	Text string // as written, or the name of the value that it is
	Dim  unit.Dim
	of   []*Linear // the readings; of a spread each less each other
	sum  *Linear   // over the highest and the lowest of them
}

// Over works it out over the given values; it is not known unless all readings are.
func (x *Extreme) Over(values []Value) Interval {
	end := math.Max
	if x.Func == "lowest" {
		end = math.Min
	}
	r := x.of[0].Over(values)
	for _, l := range x.of[1:] {
		in := l.Over(values)
		r.Lo, r.Best, r.Hi = end(r.Lo, in.Lo), end(r.Best, in.Best), end(r.Hi, in.Hi)
		r.Known, r.Assumed = r.Known && in.Known, r.Assumed || in.Assumed
	}
	return r
}

// Operand is one side of a comparison: a sum, or an extreme in place of it.
type Operand struct {
	*Linear
	Extreme *Extreme
}

func (s Operand) text() string {
	if s.Extreme != nil {
		return s.Extreme.Text
	}
	return s.Linear.Text
}

func (s Operand) dim() unit.Dim {
	if s.Extreme != nil {
		return s.Extreme.Dim
	}
	return s.Linear.Dim
}

// sums are the sums that stand on the side, and the one that stands for all of them.
func (s Operand) sums() (all []*Linear, one *Linear) {
	if s.Extreme != nil {
		return s.Extreme.of, s.Extreme.sum
	}
	return []*Linear{s.Linear}, s.Linear
}

// Group is the comparison of an extreme with a sum: an and, or an or, over the atoms that it
// is made of. It is not known unless all readings are: the highest of six cells is nobody's
// guess from five.
type Group struct {
	Extreme *Extreme
	Atoms   []int
	All     bool  // all of the atoms must hold, else one of them
	Whole   *Atom // the same as one comparison, over the highest and the lowest of the readings
	Right   bool  // the extreme stands on the right
}

// group makes the comparison left OP right, OP being < or <=, one side being an extreme.
func (c *Compiler) group(left, right Operand, op string) *Node {
	lefts, l := left.sums()
	rights, r := right.sums()
	whole := compareAtom(l, r, op)
	if n := c.groups[whole.Text]; n != nil {
		return n
	}
	g := &Group{Extreme: left.Extreme, Whole: whole}
	if g.Extreme == nil {
		g.Extreme, g.Right = right.Extreme, true
	}
	n := &Node{Kind: Or, Of: g}
	if g.All = (g.Extreme.Func == "lowest") == g.Right; g.All {
		n.Kind = And
	}
	for _, l := range lefts {
		for _, r := range rights {
			a := compareAtom(l, r, op)
			a.Of = g
			g.Atoms, n.Kids = append(g.Atoms, len(c.prog.Atoms)), append(n.Kids, leaf(len(c.prog.Atoms)))
			c.prog.Atoms = append(c.prog.Atoms, a)
		}
	}
	c.groups[whole.Text] = n
	return n
}

// verdict joins those of the atoms.
func (g *Group) verdict(trace []Trace) Verdict {
	v := verdict(g.All, !g.All)
	for _, i := range g.Atoms {
		switch t := trace[i].Verdict; {
		case t == Unknown:
			return Unknown
		case g.All:
			v = and(v, t)
		default:
			v = or(v, t)
		}
	}
	return v
}

// Speaks gives the atom that speaks for the group: of those that carry its verdict, the
// one of the highest reading, the lowest, or the two that lie farthest apart.
func (g *Group) Speaks(trace []Trace) int {
	v, at := g.verdict(trace), -1
	for _, i := range g.Atoms {
		t := &trace[i]
		if t.Verdict == v && (at < 0 || g.All == (t.Diff.Best > trace[at].Diff.Best) && t.Diff.Best != trace[at].Diff.Best) {
			at = i
		}
	}
	return at
}

// Wording is the comparison that atom i is, or of an extreme is a part of, as it was written.
// It is not ok for a part that is not the first.
func (p *Program) Wording(i int) (text string, ok bool) {
	if g := p.Atoms[i].Of; g != nil {
		return g.Whole.Text, i == g.Atoms[0]
	}
	return p.Atoms[i].Text, true
}

// Member is the side of a group's atom that is one of the extreme's sums, else nil.
func (a *Atom) Member() *Linear {
	switch {
	case a.Of == nil:
		return nil
	case a.Of.Right:
		return a.Right
	}
	return a.Left
}

// extreme builds a call of one of the functions, or a value that is one; nil where n is
// neither, or after a problem.
func (b *builder) extreme(n ast.Node) *Extreme {
	switch n := n.(type) {
	case *ast.IdentifierNode:
		if d := b.c.Scope.Derived(n.Value); d != nil && d.Extreme != nil {
			x, sum := *d.Extreme, *d.Extreme.sum
			x.Text, sum.Text, x.sum = d.ID, d.ID, &sum
			return &x
		}
	case *ast.CallNode:
		if f := callee(n); extremes[f] != nil {
			return b.extremeOf(n, f)
		}
	}
	return nil
}

func callee(n *ast.CallNode) string {
	id, _ := n.Callee.(*ast.IdentifierNode)
	if id == nil {
		return ""
	}
	return strings.TrimSuffix(id.Value, calledSuffix)
}

const calledSuffix = "()"

func (b *builder) extremeOf(n *ast.CallNode, f string) *Extreme {
	x := &Extreme{Func: f, Text: b.slice(n)}
	for _, k := range n.Arguments {
		v := b.variable(k)
		switch {
		case v == nil:
			b.c.fault("not-allowed", k, "%s takes names of readings; %q is none", f, b.slice(k))
			return nil
		case !v.Number():
			b.c.fault("not-allowed", k, "%s is a choice, not a number", v.ID)
			return nil
		case slices.Contains(x.Vars, v):
			b.c.fault("not-allowed", k, "%q stands in the list already", v.ID)
			return nil
		case len(x.Vars) > 0 && v.Unit.Dim != x.Vars[0].Unit.Dim:
			b.c.fault("unit-mismatch", k, "%q is %s, but %q is %s", v.ID, v.Unit.Dim, x.Vars[0].ID, x.Vars[0].Unit.Dim)
			return nil
		}
		x.Vars = append(x.Vars, v)
	}
	x.Dim = x.Vars[0].Unit.Dim
	var all []*Linear
	for _, v := range x.Vars {
		all = append(all, single(v))
	}
	highest := single(&Var{Domain: x.Vars[0].Domain, ID: f, Of: x.Vars})
	lowest := single(&Var{Domain: x.Vars[0].Domain, ID: f, Of: x.Vars, Least: true})
	switch f {
	case "highest":
		x.of, x.sum = all, highest
	case "lowest":
		x.of, x.sum = all, lowest
	default:
		x.Dim.Point = false
		x.sum = highest.plus(lowest, minusOne, x.Dim)
		for _, l := range all {
			for _, o := range all {
				if l != o {
					d := l.plus(o, minusOne, x.Dim)
					d.Text = l.Text + " - " + o.Text
					x.of = append(x.of, d)
				}
			}
		}
	}
	x.sum.Text = x.Text
	return x
}

// single is a reading as a sum.
func single(v *Var) *Linear {
	return &Linear{Dim: v.Unit.Dim, Exact: new(big.Rat), Terms: []Term{{Coef: 1, Exact: one, Var: v}}, Text: v.ID}
}

// allowExtreme books what may not stand in the brackets of one of the functions.
func (c *Compiler) allowExtreme(n *ast.CallNode, f string, depth int) {
	if len(n.Arguments) < 2 || len(n.Arguments) > mostOf {
		c.fault("not-allowed", n, "%s takes 2 to %d readings in its brackets, with commas between them", f, mostOf)
		return
	}
	for _, k := range n.Arguments {
		switch k.(type) {
		case *ast.IdentifierNode, *ast.MemberNode:
			c.allow(k, depth+1)
		default:
			c.fault("not-allowed", k, "%s takes names of readings in its brackets", f)
		}
	}
}

// Names lists the functions and their readings as a sentence does: "highest of a, b and c".
func (x *Extreme) Names(of func(*Var) string) string {
	var all []string
	for _, v := range x.Vars {
		all = append(all, of(v))
	}
	last := len(all) - 1
	return x.Func + " of " + strings.Join(all[:last], ", ") + " and " + all[last]
}
