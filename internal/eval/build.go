package eval

import (
	"math/big"
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"

	"deadflat/internal/source"
	"deadflat/internal/unit"
)

// builder turns a checked expression into nodes, atoms and sums.
type builder struct {
	c    *Compiler
	text []rune
}

// boolean builds what must be true or false.
func (b *builder) boolean(n ast.Node) *Node {
	switch n := n.(type) {
	case *ast.BinaryNode:
		switch n.Operator {
		case "and", "&&":
			return join(And, b.boolean(n.Left), b.boolean(n.Right))
		case "or", "||":
			return join(Or, b.boolean(n.Left), b.boolean(n.Right))
		case "in":
			return b.in(n)
		case "<", "<=", ">", ">=", "==", "!=":
			return b.compare(n)
		}
	case *ast.UnaryNode:
		if n.Operator == "not" || n.Operator == "!" {
			return &Node{Kind: Not, Kids: []*Node{b.boolean(n.Node)}}
		}
	case *ast.CallNode:
		return b.call(n)
	case *ast.IdentifierNode:
		if v := b.variable(n); v != nil && v.Kind == YesNo {
			return leaf(b.c.atom(&Atom{Kind: OneOf, Var: v, Set: 1 << 1, Text: v.ID}))
		}
	}
	return b.wrong("not-a-guard", n, "this is neither true nor false")
}

// wrong books a fault of what should be true or false, and stands in for it.
func (b *builder) wrong(rule string, n ast.Node, format string, args ...any) *Node {
	b.c.fault(rule, n, format, args...)
	return &Node{Kind: Always}
}

func leaf(atom int) *Node { return &Node{Kind: Leaf, Atom: atom} }

// join keeps "a and b and c" one level deep.
func join(kind NodeKind, kids ...*Node) *Node {
	n := &Node{Kind: kind}
	for _, k := range kids {
		if k.Kind == kind && k.Of == nil {
			n.Kids = append(n.Kids, k.Kids...)
		} else {
			n.Kids = append(n.Kids, k)
		}
	}
	return n
}

func (b *builder) call(n *ast.CallNode) *Node {
	arg := n.Arguments[0]
	if n.Callee.(*ast.IdentifierNode).Value == "done" {
		id := arg.(*ast.IdentifierNode).Value
		return leaf(b.c.atom(&Atom{Kind: DoneIs, Step: b.c.Scope.Step(id), Text: "done(" + id + ")"}))
	}
	v := b.variable(arg)
	if v == nil {
		return b.wrong("not-allowed", arg, "known takes the name of a reading")
	}
	return leaf(b.c.atom(&Atom{Kind: KnownIs, Var: v, Text: "known(" + v.ID + ")"}))
}

// variable resolves a reading or step.reading; nil for a value or a limit.
func (b *builder) variable(n ast.Node) *Var {
	id, ok := n.(*ast.IdentifierNode)
	if !ok {
		return nil
	}
	head, name, ok := strings.Cut(id.Value, ".")
	switch {
	case !ok:
		return b.c.Scope.Var(id.Value)
	case head == "limits":
		return nil
	}
	return b.c.Scope.Take(head, name)
}

// in builds `choice in ["a", "b"]`, and `"a" in several`.
func (b *builder) in(n *ast.BinaryNode) *Node {
	if v := b.variable(n.Right); v != nil && v.Many() {
		return leaf(b.c.atom(&Atom{Kind: OneOf, Var: v, Set: v.With(b.word(v, n.Left, v.List())), Text: b.slice(n)}))
	}
	v := b.variable(n.Left)
	list, ok := n.Right.(*ast.ArrayNode)
	if v == nil || v.Number() || !ok {
		return b.wrong("not-allowed", n, `in asks whether a choice is in a list: type in ["agm", "gel"]`)
	}
	var set uint64
	for _, k := range list.Nodes {
		set |= v.Set(b.word(v, k, v.Choices))
	}
	return leaf(b.c.atom(&Atom{Kind: OneOf, Var: v, Set: set, Text: b.slice(n)}))
}

// word is one quoted word of a list; "" where it is not.
func (b *builder) word(v *Var, n ast.Node, list []string) string {
	s, ok := n.(*ast.StringNode)
	if !ok {
		b.c.fault("not-allowed", n, "%s is a choice; compare it with a word in quotes", v.ID)
		return ""
	}
	if !slices.Contains(list, s.Value) {
		b.c.fault("unknown-choice", n, "%q is not a choice of %s%s", s.Value, v.ID, source.DidYouMean(s.Value, list))
	}
	return s.Value
}

func (b *builder) compare(n *ast.BinaryNode) *Node {
	if v := b.variable(n.Left); v != nil && !v.Number() {
		return b.compareChoice(n, v, n.Right)
	}
	if v := b.variable(n.Right); v != nil && !v.Number() {
		return b.compareChoice(n, v, n.Left)
	}
	before := len(b.c.Problems)
	left, right := Operand{Extreme: b.extreme(n.Left)}, Operand{Extreme: b.extreme(n.Right)}
	switch {
	case len(b.c.Problems) > before:
		return &Node{Kind: Always}
	case left.Extreme != nil && right.Extreme != nil:
		return b.wrong("not-allowed", n, "only one side of a comparison may be the %s or the %s of readings", left.Extreme.Func, right.Extreme.Func)
	case left.Extreme == nil:
		left.Linear = b.side(n.Left, n.Right)
	}
	if right.Extreme == nil {
		right.Linear = b.side(n.Right, n.Left)
	}
	if left == (Operand{}) || right == (Operand{}) {
		return &Node{Kind: Always}
	}
	if left.dim() != right.dim() {
		return b.wrong("unit-mismatch", n, "%q is %s, but %q is %s", left.text(), left.dim(), right.text(), right.dim())
	}
	if (n.Operator == "==" || n.Operator == "!=") && (left.dim() != (unit.Dim{}) || left.Extreme != nil || right.Extreme != nil) {
		return b.wrong("not-allowed", n, "a measured number is never exactly equal; use < <= > or >=")
	}
	return b.c.compareNode(left, right, n.Operator)
}

// side builds one side of a comparison. A bare 0 is a plain count and may stand
// only against one.
func (b *builder) side(n, other ast.Node) *Linear {
	if i, ok := n.(*ast.IntegerNode); ok && i.Value == 0 {
		before := len(b.c.Problems)
		o := b.sum(other)
		if o == nil || len(b.c.Problems) > before {
			b.c.Problems = b.c.Problems[:before]
			return &Linear{Exact: new(big.Rat), Text: "0"}
		}
		if o.Dim != (unit.Dim{}) {
			b.c.fault("bare-number", n, "0 of what? write a limit with a unit and a source, %q is %s", o.Text, o.Dim)
			return nil
		}
		return &Linear{Exact: new(big.Rat), Text: "0"}
	}
	l := b.sum(n)
	if l != nil {
		l.Text = b.slice(n)
	}
	return l
}

func (b *builder) compareChoice(n *ast.BinaryNode, v *Var, word ast.Node) *Node {
	if n.Operator != "==" && n.Operator != "!=" {
		return b.wrong("not-allowed", n, "%s is a choice; it can only be == or != a word in quotes", v.ID)
	}
	at := leaf(b.c.atom(&Atom{Kind: OneOf, Var: v, Set: v.Set(b.word(v, word, v.Choices)), Text: b.slice(n)}))
	if n.Operator == "!=" {
		return &Node{Kind: Not, Kids: []*Node{at}}
	}
	return at
}

// sum builds arithmetic. It returns nil after a problem.
func (b *builder) sum(n ast.Node) *Linear {
	switch n := n.(type) {
	case *ast.IntegerNode, *ast.FloatNode:
		b.c.fault("bare-number", n, "a bare number has no unit and no source; declare it as a limit")
	case *ast.StringNode:
		b.c.fault("not-allowed", n, "a word cannot be compared with a number")
	case *ast.IdentifierNode:
		return b.name(n)
	case *ast.UnaryNode:
		if n.Operator == "-" {
			if l := b.sum(n.Node); l != nil {
				if l.Dim.Point {
					b.c.fault("unit-mismatch", n, "a temperature cannot be negated; subtract another from it")
					return nil
				}
				return l.Negated()
			}
			return nil
		}
		b.c.fault("not-allowed", n, "%q cannot stand in a sum", n.Operator)
	case *ast.BinaryNode:
		return b.arithmetic(n)
	case *ast.CallNode:
		if f := callee(n); extremes[f] != nil {
			b.c.fault("not-allowed", n, "%s stands alone on its side of a comparison; take the rest to the other side", f)
			return nil
		}
		b.c.fault("not-allowed", n, "this cannot stand in a sum")
	default:
		b.c.fault("not-allowed", n, "this cannot stand in a sum")
	}
	return nil
}

func (b *builder) name(n *ast.IdentifierNode) *Linear {
	if v := b.variable(n); v != nil {
		return b.reading(n, v)
	}
	if name, ok := strings.CutPrefix(n.Value, "limits."); ok {
		return b.c.Scope.Limit(name).linear()
	}
	d := b.c.Scope.Derived(n.Value)
	if d.Extreme != nil {
		b.c.fault("not-allowed", n, "%q is the %s of readings and stands alone on its side of a comparison; take the rest to the other side", d.ID, d.Extreme.Func)
		return nil
	}
	return d.linear()
}

func (b *builder) reading(n ast.Node, v *Var) *Linear {
	if !v.Number() {
		b.c.fault("not-allowed", n, "%s is a choice, not a number", v.ID)
		return nil
	}
	return single(v)
}

func (b *builder) arithmetic(n *ast.BinaryNode) *Linear {
	if n.Operator != "+" && n.Operator != "-" && n.Operator != "*" {
		b.c.fault("not-allowed", n, "%q gives true or false and cannot stand in a sum", n.Operator)
		return nil
	}
	left, right := b.sum(n.Left), b.sum(n.Right)
	if left == nil || right == nil {
		return nil
	}
	if n.Operator == "*" {
		return b.product(n, left, right)
	}
	minus := n.Operator == "-"
	dim, ok := unit.Sum(left.Dim, right.Dim, minus)
	if !ok {
		b.c.fault("unit-mismatch", n, "%q is %s and %q is %s: they cannot be %s", b.slice(n.Left), left.Dim, b.slice(n.Right), right.Dim,
			map[bool]string{true: "subtracted", false: "added"}[minus])
		return nil
	}
	k := one
	if minus {
		k = minusOne
	}
	return left.plus(right, k, dim)
}

func (b *builder) product(n ast.Node, left, right *Linear) *Linear {
	if left.Dim.Point || right.Dim.Point {
		b.c.fault("unit-mismatch", n, "a temperature cannot be multiplied; subtract another from it first")
		return nil
	}
	number, sum := left, right
	if len(number.Terms) > 0 {
		number, sum = right, left
	}
	if len(number.Terms) > 0 {
		b.c.fault("not-linear", n, "two readings multiplied cannot be proved; multiply a reading by a constant limit")
		return nil
	}
	r := sum.scaled(number.Exact, left.Dim.Mul(right.Dim))
	r.Limits = slices.Concat(turned(number.Limits, sum.falls()), r.Limits)
	return r
}

// slice is the text of a node as the author wrote it.
func (b *builder) slice(n ast.Node) string {
	from, to := span(n)
	if from < 0 || to > len(b.text) || from >= to {
		return ""
	}
	return strings.TrimSpace(string(b.text[from:to]))
}

// span is the whole extent of a node; expr places a binary node at its operator.
func span(n ast.Node) (from, to int) {
	from, to = n.Location().From, n.Location().To
	widen := func(k ast.Node) {
		f, t := span(k)
		from, to = min(from, f), max(to, t)
	}
	switch n := n.(type) {
	case *ast.BinaryNode:
		widen(n.Left)
		widen(n.Right)
	case *ast.UnaryNode:
		widen(n.Node)
	case *ast.CallNode:
		widen(n.Callee)
		for _, a := range n.Arguments {
			widen(a)
		}
		to++
	case *ast.ArrayNode:
		for _, k := range n.Nodes {
			widen(k)
		}
		to++
	}
	return from, to
}

// negation gives, for a comparison that is true where another is not, that other.
var negation = map[string]string{">=": "<", ">": "<=", "!=": "=="}

// compareNode builds left OP right. A comparison and its negation share one atom,
// so that a step works each pair of sums out once.
func (c *Compiler) compareNode(left, right Operand, op string) *Node {
	if o, ok := negation[op]; ok {
		return &Node{Kind: Not, Kids: []*Node{c.compareNode(left, right, o)}}
	}
	if left.Extreme != nil || right.Extreme != nil {
		return c.group(left, right, op)
	}
	return leaf(c.atom(compareAtom(left.Linear, right.Linear, op)))
}

// compareAtom makes the atom left OP right, OP being < <= or ==.
func compareAtom(left, right *Linear, op string) *Atom {
	a := &Atom{Kind: Compare, Left: left, Right: right, Written: op, Text: left.Text + " " + op + " " + right.Text}
	switch op {
	case "<":
		a.Op = Less
	case "<=":
		a.Op = LessEqual
	default:
		a.Op = Equal
	}
	dim := left.Dim
	dim.Point = false
	a.Diff = left.plus(right, minusOne, dim)
	return a
}

// atom adds an atom unless the program has the same one already.
func (c *Compiler) atom(a *Atom) int {
	if at, ok := c.atoms[a.Text]; ok && a.Text != "" {
		return at
	}
	c.prog.Atoms = append(c.prog.Atoms, a)
	at := len(c.prog.Atoms) - 1
	c.atoms[a.Text] = at
	return at
}
